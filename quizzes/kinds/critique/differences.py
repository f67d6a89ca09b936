"""What a draft changes in a critique that is in force, in sentences for its mentor."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from quizzes.kinds.critique.content import CritiqueContent, CritiqueKey


def critique_differences(
    before: tuple[CritiqueContent, CritiqueKey],
    after: tuple[CritiqueContent, CritiqueKey],
) -> list[str]:
    """What is asked first, then the mentor's own part."""
    (old, old_key), (new, new_key) = before, after
    return [*_task(old, new), *_key(old_key, new_key)]


def critique_texts(
    content: CritiqueContent, key: CritiqueKey
) -> dict[str, tuple[tuple[str, str], str]]:
    """What is said of the dog and what is asked for, then the mentor's own part."""
    dog, own = _("The dog"), _("Your own part")
    return {
        "ringside": ((dog, _("from the ring-side")), content.dog.ringside),
        "hands_on": ((dog, _("under the hand")), content.dog.hands_on),
        "checklist": (
            (_("Asked for"), _("what a critique covers")),
            ", ".join(content.checklist),
        ),
        "critique": ((own, _("critique")), key.critique),
        "points": ((own, _("points it should make")), ", ".join(key.points)),
    }


def _task(old: CritiqueContent, new: CritiqueContent) -> Iterator[str]:
    if old.dog != new.dog or old.place != new.place:
        yield _("The dog: what is said or shown of it.")
    if (old.least, old.most) != (new.least, new.most):
        text = _("Words: %(least)s to %(most)s instead of %(fewer)s to %(more)s.")
        yield text % {
            "least": new.least,
            "most": new.most,
            "fewer": old.least,
            "more": old.most,
        }
    if old.checklist != new.checklist:
        yield _("What a critique covers.")


def _key(old: CritiqueKey, new: CritiqueKey) -> Iterator[str]:
    if old.critique != new.critique:
        yield _("Your own critique.")
    if old.points != new.points:
        yield _("The points it should make.")
    if old.rubric != new.rubric:
        yield _(
            "The rubric; critiques handed in before are marked by the one they had."
        )
