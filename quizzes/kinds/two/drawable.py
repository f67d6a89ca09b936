"""What the plates of a module can show for pairs, and what they can't, with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from quizzes.drawing import builds
from quizzes.drawing.amounts import (
    DEGREES,
    HEIGHT,
    PER_CENT,
    POINTS,
    amount,
    unit_of,
)
from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.drawing.sketch import MEASURES
from quizzes.generator.drawing import drawn
from quizzes.kinds.two.content import PairsContent, Part
from quizzes.kinds.two.making import curve, reach
from quizzes.plates.faults import fault
from quizzes.plates.parts import measured_by
from quizzes.practice.material import priorities_of
from trainer.study.models import ModuleRevision

ALL = "all"
SMALLEST_SHARE = 1 / 48
"""The smallest difference is so much of the largest: two hundredths of a fault's range."""
LARGEST_OVER_ALL, SMALLEST_OVER_ALL = 48.0, 2.0
WORTH = {DEGREES: 3.0, HEIGHT: 2.0, PER_CENT: 3.0}
"""A fault that moves its measurement by less is too small for a staircase: nobody measures finer."""


@dataclass(frozen=True)
class Offer:
    """Something that pairs can differ in: its value in the form, its words, and the content it makes."""

    value: str
    label: str
    content: PairsContent


@dataclass(frozen=True)
class Offers:
    """What a module offers.

    left_out : priorities that no plate shows, each with the reason
    """

    found: tuple[Offer, ...]
    left_out: tuple[tuple[str, str], ...]

    def named(self, value: str) -> PairsContent | None:
        return next((one.content for one in self.found if one.value == value), None)

    def value_of(self, content: PairsContent) -> str:
        """What the form has chosen for a content; empty if the module offers that no more."""
        value = _value(content)
        return value if self.named(value) else ""


def _value(content: PairsContent) -> str:
    if content.over_all:
        return ALL
    return next((f"{one.slug}:{one.code}" for one in content.of), "")


def offers(revision: ModuleRevision) -> Offers:
    """What pairs of this module's breed can differ in; three queries and one for the steps."""
    breed, build = builds.of_module(revision.module)
    rows = list(revision.priorities.prefetch_related("phrases", "steps"))
    priorities = priorities_of(rows)
    coats = (str(build["coat"]),) if "coat" in build else ()
    look = drawn(priorities, breed, coats)
    singles = [
        offer
        for one in priorities
        for code in look.codes.get(one.slug, ())
        if (offer := _single(one, code, breed, build))
    ]
    shown = {one.value.partition(":")[0] for one in singles}
    left_out = tuple(
        (one.name, _why_not(one, look, breed))
        for one in priorities
        if one.slug not in shown
    )
    return Offers((*_over_all(priorities, singles, breed, build), *singles), left_out)


def _single(priority, code: str, breed: str, build) -> Offer | None:
    name = measured_by(code)
    unit = unit_of(MEASURES[name])
    away = reach(curve(breed, tuple(sorted(build.items())), code))
    if away[-1] < WORTH[unit]:
        return None
    content = PairsContent(
        parts=(Part(priority.slug, priority.name, code).document(),),
        breed=breed,
        build=dict(build),
        view=fault(code).view,
        measure=name,
        unit=unit,
        largest=round(away[-1], 3),
        smallest=round(away[-1] * SMALLEST_SHARE, 3),
    )
    values = {
        "priority": priority.name,
        "fault": fault(code).name,
        "most": amount(away[-1], unit),
        "view": str(VIEW_LABELS[fault(code).view]).lower(),
    }
    label = _("%(priority)s: %(fault)s, %(view)s, up to %(most)s") % values
    return Offer(f"{priority.slug}:{code}", label, content)


def _over_all(priorities, singles: Sequence[Offer], breed, build) -> list[Offer]:
    """All priorities that the side view shows, by their leading fault; one alone is no whole."""
    leading: dict[str, Part] = {}
    weights = {one.slug: one.weight for one in priorities}
    for one in singles:
        (part,) = one.content.of
        if one.content.view == "side":
            leading.setdefault(part.slug, part)
    total = sum(weights[slug] for slug in leading)
    if len(leading) < 2 or not total:
        return []
    parts = tuple(
        Part(slug, part.name, part.code, 100 * weights[slug] / total).document()
        for slug, part in leading.items()
    )
    content = PairsContent(
        parts=parts,
        breed=breed,
        build=dict(build),
        unit=POINTS,
        largest=LARGEST_OVER_ALL,
        smallest=SMALLEST_OVER_ALL,
    )
    names = ", ".join(part.name for part in leading.values())
    label = _("Over all, by your weights: %(names)s") % {"names": names}
    return [Offer(ALL, label, content)]


def _why_not(priority, look, breed: str) -> str:
    if not breed:
        return _("nobody has drawn the breed yet")
    if priority.slug in look.felt:
        return _("only the hand finds it, or the coat hides it")
    if not priority.faults:
        return _("no fault of the drawn dog is tied to it")
    if priority.slug in look.codes:
        return _("the drawing moves by less than anybody can measure")
    return _("another priority has its faults already")


def said(content: PairsContent) -> str:
    """What the pairs differ in, as a heading: "Shoulder and upper arm"."""
    if content.over_all:
        return _("Over all")
    return capfirst(content.of[0].name) if content.parts else _("nothing chosen yet")
