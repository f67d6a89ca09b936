"""A dog that was taken out of a draft, kept in the mentor's session so that it can be put back."""

from __future__ import annotations

from collections.abc import MutableMapping
from dataclasses import asdict, replace

from quizzes.kinds.placing.content import ClassContent, ClassKey, Dog

SLOT = "dog-taken-out"


def remember(session: MutableMapping, draft, content: ClassContent, key, dog: str):
    """Keep the dog as it stands in content and key, before it goes."""
    at = [one.id for one in content].index(dog)
    session[SLOT] = {
        "draft": draft.pk,
        "at": at,
        "dog": asdict(content.dogs[at]),
        "key": key.document(),
    }


def forget(session: MutableMapping):
    session.pop(SLOT, None)


def taken_out(session: MutableMapping, draft, content: ClassContent) -> Dog | None:
    """The dog that can be put back into this draft; None if there is none."""
    kept = session.get(SLOT)
    if not kept or kept["draft"] != draft.pk or kept["dog"]["id"] in content.by_id:
        return None
    return Dog(**kept["dog"])


def put_back(
    session: MutableMapping, dog: Dog, content: ClassContent, key: ClassKey
) -> tuple[ClassContent, ClassKey]:
    """Class and key with the dog where it stood.

    If the key was changed in between, only what was written on the dog comes back, and the
    dog waits in the line.
    """
    kept = session[SLOT]
    dogs = list(content)
    dogs.insert(kept["at"], dog)
    earlier = ClassKey.read(kept["key"])
    if earlier.without(dog.id) == key:
        back = earlier
    else:
        rulings = {one: r for one, r in earlier.rulings.items() if one == dog.id}
        back = replace(
            key,
            reasons={**earlier.reasons, **key.reasons},
            rulings={**rulings, **key.rulings},
        )
    return replace(content, dogs=tuple(dogs)), back
