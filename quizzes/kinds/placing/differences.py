"""What a draft changes in a class that is in force, in sentences for its mentor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from django.utils.translation import gettext as _

from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import ClassContent, ClassKey, Dog, with_numbers

DRAWING = ("faults", "coat_seed", "mirror", "build", "drawn")


def class_differences(
    before: tuple[ClassContent, ClassKey], after: tuple[ClassContent, ClassKey]
) -> list[str]:
    """Dogs first, then the key; armbands as worn after, or before by dogs that are gone."""
    (old, old_key), (new, new_key) = before, after
    worn = {dog.id: dog.armband for dog in (*old, *new)}
    return [
        *_places(old, new),
        *_dogs(old.by_id, new.by_id),
        *_order(old_key, new_key, worn),
        *_gaps(old_key, new_key, worn),
        *_rulings(old_key.rulings, new_key.rulings, worn),
        *_reasons(old_key, new_key, worn),
    ]


Texts = dict[str, tuple[tuple[str, str], str]]


def class_texts(content: ClassContent, key: ClassKey) -> Texts:
    """What is written of the dogs, then in the key, with armbands where the key names dogs."""
    worn = {dog.id: dog.armband for dog in content}
    found: Texts = {}
    for dog in content:
        name = str(dog.armband or "?")
        eye, hand = _("from the ring-side"), _("under the hand")
        found[f"{dog.id} ringside"] = ((name, eye), dog.ringside)
        found[f"{dog.id} hands_on"] = ((name, hand), dog.hands_on)
        if dog.id in key.rulings:
            reason = key.rulings[dog.id].get("reason", "")
            found[f"{dog.id} ruling"] = ((name, _("ruling")), reason)
    for pair in key.neighbours:
        if reason := key.reasons.get(pair):
            over = _("%(a)s over %(b)s") % {"a": worn[pair[0]], "b": worn[pair[1]]}
            why, grant = with_numbers(reason.reason, worn), reason.grant
            found[f"{pair} reason"] = ((over, _("reason")), why)
            found[f"{pair} grant"] = (
                (over, _("what the lower dog has")),
                with_numbers(grant, worn),
            )
    whole = _("Your key"), _("on the class as a whole")
    found["note"] = (whole, with_numbers(key.note, worn))
    return found


def _places(old: ClassContent, new: ClassContent) -> Iterator[str]:
    if old.places != new.places:
        text = _("Places given: %(new)s instead of %(old)s.")
        every = _("all")
        yield text % {"new": new.places or every, "old": old.places or every}
    if new.hand_later != old.hand_later:
        yield (
            _("What the hand finds is told only when the trainee goes over the dog.")
            if new.hand_later
            else _("What the hand finds is told from the start.")
        )
    if new.ask_reasons != old.ask_reasons:
        yield (
            _("Reasons are asked for each pair of neighbours.")
            if new.ask_reasons
            else _("No reasons are asked.")
        )
    if new.picture_goes != old.picture_goes:
        yield (
            _("Pictures are shown only at the ring-side.")
            if new.picture_goes
            else _("Pictures are shown from the start to the end.")
        )


def _dogs(old: Mapping[str, Dog], new: Mapping[str, Dog]) -> Iterator[str]:
    for dog in new.values():
        if dog.id not in old:
            yield _("%(n)s is added.") % {"n": dog.armband}
        elif changed := list(_changed_parts(old[dog.id], dog)):
            values = {"n": dog.armband, "parts": ", ".join(changed)}
            yield _("Changed of %(n)s: %(parts)s.") % values
    for gone in old.values():
        if gone.id not in new:
            yield _("%(n)s is taken out.") % {"n": gone.armband}


def _changed_parts(old: Dog, new: Dog) -> Iterator[str]:
    parts: dict[str, Iterable[str]] = {
        _("armband, which was %(n)s") % {"n": old.armband}: ("armband",),
        _("sex"): ("sex",),
        _("age"): ("age_months",),
        _("from the ring-side"): ("ringside",),
        _("under the hand"): ("hands_on",),
        _("levels"): ("levels",),
        _("drawing"): DRAWING,
        _("photograph"): ("picture", "pictures", "credit"),
    }
    for words, names in parts.items():
        if any(getattr(old, name) != getattr(new, name) for name in names):
            yield words


def _order(old: ClassKey, new: ClassKey, worn) -> Iterator[str]:
    if old.order != new.order:
        lines = [", ".join(str(worn[dog]) for dog in key.order) for key in (new, old)]
        nobody = _("nobody")
        text = _("Order: %(new)s; it was %(old)s.")
        yield text % {"new": lines[0] or nobody, "old": lines[1] or nobody}


def _gaps(old: ClassKey, new: ClassKey, worn) -> Iterator[str]:
    """Cuts, by the pair one way round, then "either order" of a pair either way round."""
    before, after = (
        dict(zip(key.neighbours, key.cuts, strict=True)) for key in (old, new)
    )
    none = _("none")
    for pair in dict.fromkeys((*after, *before)):
        names = {"a": worn[pair[0]], "b": worn[pair[1]]}
        cut, earlier = after.get(pair), before.get(pair)
        if cut != earlier:
            values = {**names, "new": cut or none, "old": earlier or none}
            yield _("Cut between %(a)s and %(b)s: %(new)s; it was %(old)s.") % values
    yield from _ties(old, new, worn)


def _ties(old: ClassKey, new: ClassKey, worn) -> Iterator[str]:
    were, are = (
        {
            frozenset(key.neighbours[gap]): key.neighbours[gap]
            for gap in sorted(key.level)
        }
        for key in (old, new)
    )
    for both, pair in (were | are).items():
        names = {"a": worn[pair[0]], "b": worn[pair[1]]}
        if both not in were:
            yield _("%(a)s and %(b)s may stand in either order now.") % names
        if both not in are:
            yield _("%(a)s and %(b)s may no longer stand in either order.") % names


def _rulings(old: Mapping, new: Mapping, worn) -> Iterator[str]:
    for dog in dict.fromkeys((*new, *old)):
        is_now, was = _ruled(new.get(dog)), _ruled(old.get(dog))
        if is_now != was:
            values = {"n": worn[dog], "new": is_now, "old": was}
            yield _("%(n)s: %(new)s; it was %(old)s.") % values


def _ruled(entry: Mapping[str, str] | None) -> str:
    if not entry:
        return _("no ruling")
    label = Ruling(entry["ruling"]).label.lower()
    return f"{label} ({entry['reason']})" if entry.get("reason") else label


def _reasons(old: ClassKey, new: ClassKey, worn) -> Iterator[str]:
    for pair in new.neighbours:
        text = _("Another reason, or what goes with it, for %(a)s over %(b)s.")
        if old.reasons.get(pair) != new.reasons.get(pair):
            yield text % {"a": worn[pair[0]], "b": worn[pair[1]]}
    if old.note != new.note:
        text = _("On the class as a whole: “%(note)s”")
        yield text % {"note": with_numbers(new.note, worn) or _("nothing")}
