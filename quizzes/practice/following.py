"""When a mentor changes levels, what follows from them is derived anew; what a hand wrote stays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _

from quizzes import generator, plates
from quizzes.generator import Changes, WishProblem
from quizzes.generator.drawing import drawn
from quizzes.generator.wishes import check_priorities
from quizzes.kinds.placing.content import ClassContent, ClassKey, Dog
from quizzes.practice import material

TEXTS = ("ringside", "hands_on")
LOOK = ("faults", "build", "coat_seed", "drawn")


@dataclass(frozen=True)
class Undrawn:
    """Why dogs can't be drawn from their levels, and where a mentor mends that."""

    why: str
    address: str
    place: str


@dataclass(frozen=True)
class Followed:
    """What became of a class: which dogs (armbands) were drawn, worded or left as they were."""

    content: ClassContent
    key: ClassKey
    drawn: tuple[str, ...]
    worded: tuple[str, ...]
    left: tuple[str, ...]
    new_key: bool
    undrawn: Undrawn | None
    in_words: tuple[str, ...]

    @classmethod
    def of(cls, sent, key, content, new_key, undrawn, priorities) -> Followed:
        """By comparing what was sent with what came of it."""
        dogs = [(str(dog.armband or "?"), dog, sent.by_id[dog.id]) for dog in content]
        shown = tuple(n for n, is_now, was in dogs if _differ(is_now, was, LOOK))
        worded = tuple(n for n, is_now, was in dogs if _differ(is_now, was, TEXTS))
        left = tuple(n for n, *_both in dogs if n not in (*shown, *worded))
        silent = generator.in_words_only(priorities, content.document())
        names = tuple(one.name for one in silent)
        return cls(
            content, new_key, shown, worded, left, new_key != key, undrawn, names
        )

    @property
    def own_words(self) -> tuple[str, ...]:
        """Dogs whose drawing follows while their words stay."""
        return tuple(n for n in self.drawn if n not in self.worded)

    @property
    def said(self) -> str:
        """What was done, in sentences for the mentor."""
        parts = (
            (_("Drawn from the levels: %(dogs)s."), self.drawn),
            (_("Worded from the levels: %(dogs)s."), self.worded),
            (_("Words as they were: %(dogs)s."), self.own_words),
            (_("As they were: %(dogs)s."), self.left),
        )
        told = [text % {"dogs": ", ".join(dogs)} for text, dogs in parts if dogs]
        if self.content.breed not in plates.BREEDS:
            told.append(self.undrawn.why)
        elif self.in_words:
            text = _("In words only: %(names)s; the coat is drawn as the breed has it.")
            told.append(text % {"names": ", ".join(self.in_words)})
        if self.new_key:
            told.append(_("The key follows too."))
        return " ".join(told)

    @property
    def told(self) -> str:
        """The same as HTML, with a link to where the dogs come to be drawn if they were not."""
        if self.content.breed in plates.BREEDS:
            return self.said
        link = self.undrawn
        return format_html(
            '{} <a href="{}">{}</a>', self.said, link.address, link.place
        )


def _differ(one: Dog, other: Dog, names) -> bool:
    return any(getattr(one, name) != getattr(other, name) for name in names)


def follow_levels(
    before: ClassContent,
    after: ClassContent,
    key: ClassKey,
    rows,
    *,
    breed: str,
    build: Mapping,
    anew: bool = False,
) -> Followed:
    """The class with drawing, words and key following the levels.

    before, after : as stored, and as the mentor has just sent it
    rows : the module's priorities, with phrases and steps
    breed, build : what the module's classes are drawn from; "" where nobody has drawn it
    anew : also where the mentor has written or drawn something else
    Raises ValidationError where a dog has no level on some priority, or a priority no phrases.
    """
    priorities = material.priorities_of(rows)
    _refuse_gaps(after, priorities)
    undrawn = _undrawn(priorities, breed, build, rows)
    if undrawn:
        breed, build = "", {}
    try:
        content, new_key = _overruled(before, after, key, priorities)
        content = _told(content, new_key, priorities, breed, build, anew)
    except WishProblem as problem:
        raise ValidationError(material.said(problem), code="no-such-class") from None
    return Followed.of(after, key, content, new_key, undrawn, priorities)


def _undrawn(priorities, breed: str, build: Mapping, rows) -> Undrawn | None:
    """Why dogs can't be drawn from their levels; None if they can."""
    if not breed:
        return Undrawn(
            _("Only words follow: nobody has drawn the module's breed yet."),
            reverse("quizzes:workbench"),
            _("Draw it on the workbench"),
        )
    coats = (build["coat"],) if "coat" in build else ()
    if not drawn(priorities, breed, coats).codes:
        first = next(iter(rows), None)  # without any, the module is refused later
        return Undrawn(
            _("Only words follow: no priority of the module is tied to a drawing."),
            first
            and reverse("desk:part", args=[first.revision.module_id, "priorities"]),
            _("Tie a priority to a drawing"),
        )
    return None


def _overruled(
    before: ClassContent, after: ClassContent, key: ClassKey, priorities
) -> tuple[ClassContent, ClassKey]:
    """Phrases, faults and key exchanged where a level was; as sent where there were no levels yet."""
    old = before.by_id
    if not all(
        dog.id in old and _is_levelled(old[dog.id], priorities) for dog in after
    ):
        check_priorities(priorities)
        return after, key
    changed = {
        dog.id: {s: n for s, n in dog.levels.items() if n != old[dog.id].levels[s]}
        for dog in after
    }
    texts = {
        dog.id: {
            name: getattr(dog, name)
            for name in TEXTS
            if getattr(dog, name) != getattr(old[dog.id], name)
        }
        for dog in after
    }
    document = after.document()
    for dog in document["dogs"]:
        dog["levels"] = dict(old[dog["id"]].levels)
        for name in TEXTS:
            dog[name] = getattr(old[dog["id"]], name)
    changes = Changes(
        levels={dog: levels for dog, levels in changed.items() if levels},
        texts={dog: words for dog, words in texts.items() if words},
    )
    made = generator.overrule(priorities, document, key.document(), changes)
    return ClassContent.read(made.content), ClassKey.read(made.key)


def _told(content, key, priorities, breed, build, anew) -> ClassContent:
    """The dogs that are not drawn or worded yet made so; with `anew` all of them.

    A photograph stays, and so do the words of a dog with a ruling, which say why it has one.
    """
    draw = [
        dog.id
        for dog in content
        if not dog.picture and (anew or not _is_drawn(content, dog))
    ]
    content = _of_breed(content, breed, build, draw)
    word = [dog.id for dog in content if anew and dog.id not in key.rulings]
    if content.breed not in plates.BREEDS:
        draw = []
    made = generator.told_from_levels(
        priorities, content.document(), draw=draw, word=word
    )
    return ClassContent.read(made)


def _of_breed(content, breed, build, draw) -> ClassContent:
    """The class with these dogs drawn as the breed it has, else as the module's; as it is without one."""
    own = content.breed if content.breed in plates.BREEDS else breed
    if not own:
        return content
    built = dict(build) if own == breed else {}
    dogs = tuple(
        replace(dog, drawn=True, build=dog.build or built)
        if dog.id in draw
        else replace(dog, drawn=_is_drawn(content, dog))
        for dog in content
    )
    return replace(content, breed=own, dogs=dogs)


def _is_drawn(content: ClassContent, dog: Dog) -> bool:
    return content.breed in plates.BREEDS and dog.drawn


def _is_levelled(dog: Dog, priorities) -> bool:
    return all(one.slug in dog.levels for one in priorities)


def _refuse_gaps(content: ClassContent, priorities) -> None:
    missing = [
        str(dog.armband or "?") for dog in content if not _is_levelled(dog, priorities)
    ]
    if missing:
        text = _("Give %(dogs)s a level on every priority first.")
        raise ValidationError(
            text, code="no-level", params={"dogs": ", ".join(missing)}
        )
