"""What a bundle has to know of examinations from memory; they show no photographs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from django.utils.translation import gettext as _

from quizzes.kinds.examination.content import GAP, ExamContent, ExamKey
from quizzes.kinds.shapes import shape_of

shapes = (shape_of(ExamContent), shape_of(ExamKey))


def settled(content: Mapping, key: Mapping) -> tuple[dict, dict]:
    """What travels of content and key, with everything filled in that may be left out."""
    return ExamContent.read(content).document(), ExamKey.read(key).document()


stored = settled


def for_reading(content: Mapping) -> dict:
    """As a trainee may have it: the stretch with a gap tells the order, so where that is asked, it stays here."""
    if not ExamContent.read(content).in_two:
        return dict(content)
    asked = [part for part in content["asked"] if part != GAP]
    return {**content, "asked": asked, "gap": {"shown": [], "options": []}}


def pictures(content: Mapping) -> set[str]:
    return set()


def with_pictures(content: Mapping, name: Callable[[str], str]) -> dict:
    return dict(content)


def problems(content: Mapping, key: Mapping) -> Iterator[str]:
    """Why examination and key can't be stored, in words."""
    asked, known = ExamContent.read(content), ExamKey.read(key)
    if len(asked.names) < len(asked.steps):
        yield _("two steps have the same id.")
    if len(set(known.order)) < len(known.order):
        yield _("the key has a step twice.")
    for pk in sorted(_steps_named(asked, known) - asked.names.keys()):
        yield _("the step “%(id)s” is named and not there.") % {"id": pk}
    for pk in sorted(_finds_named(asked, known) - asked.finds.keys()):
        yield _("what is found as “%(id)s” is named and not there.") % {"id": pk}
    if known.order and set(known.order) != set(asked.names):
        yield _("the key does not have every step in its order.")


def _steps_named(content: ExamContent, key: ExamKey) -> set[str]:
    """Which step is missing may be not said yet."""
    gap = {*content.gap.shown, *content.gap.options, *filter(None, [key.gap])}
    return {*key.order, *key.steps, *(one.step for one in content.to_find), *gap}


def _finds_named(content: ExamContent, key: ExamKey) -> set[str]:
    offered = {find for one in content.to_find for find in one.options}
    return offered | {one.find for one in key.steps.values() if one.find}


def unknown_priorities(
    content: Mapping, key: Mapping, known: frozenset[str]
) -> set[str]:
    return set()


def unknown_steps(content: Mapping, known: frozenset[str]) -> set[str]:
    """Steps, by name, that it asks and the module does not have."""
    return set(ExamContent.read(content).names.values()) - known
