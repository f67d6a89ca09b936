"""A study module as the generator takes it, and what the generator makes as a class is stored."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from django.contrib.humanize.templatetags.humanize import apnumber
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from quizzes import generator
from quizzes.drawing import builds
from quizzes.generator import MadeClass, ModuleFault, Note, Wish, WishProblem
from quizzes.generator.drawing import drawn
from quizzes.kinds.placing.content import ClassContent, ClassKey
from trainer.study.models import Fault, Module, Priority, Step
from trainer.study.reading import Document


def _by_hand(priority: Priority) -> bool:
    """Whether the mentor's examination meets it with the hand alone."""
    senses = {step.sense for step in priority.steps.all()}
    return senses == {Step.Sense.HAND}


def priorities_of(rows: Iterable[Priority]) -> tuple[generator.Priority, ...]:
    """The mentor's priorities, in rank order; rows come with their phrases and steps."""
    return tuple(
        generator.Priority(
            slug=row.slug,
            name=row.name,
            weight=row.weight,
            phrases=tuple(
                phrase.text
                for phrase in sorted(row.phrases.all(), key=lambda one: one.level)
            ),
            faults=tuple(row.plate_faults),
            by_hand=_by_hand(row),
        )
        for row in rows
    )


def faults_of(rows: Iterable[Fault]) -> tuple[ModuleFault, ...]:
    return tuple(ModuleFault(row.name, row.ruling, row.description) for row in rows)


def drawn_breed(document: Document) -> str:
    """The breed as it is drawn; empty where nobody has drawn it yet."""
    return builds.of_module(document.module)[0]


def drawn_as(module: Module) -> tuple[str, tuple[str, ...]]:
    """The breed that a module's classes are drawn from, and the coat of its build if that has one."""
    base, build = builds.of_module(module)
    return base, (str(build["coat"]),) if "coat" in build else ()


def make(document: Document, wish: Wish) -> MadeClass:
    """A class from the module in force; dogs that are drawn have the build that the module is drawn in.

    Where nothing is tied to any priority that a plate could show, plates would be all alike, so the class
    is in words only.
    Raises ValidationError with what stands in the way of such a class.
    """
    priorities = priorities_of(document.priorities)
    base, build = builds.of_module(document.module)
    if wish.breed == base:
        wish = replace(wish, build=build)
    if not drawn(priorities, *drawn_as(document.module)).codes:
        wish = replace(wish, breed="", build={})
    try:
        return generator.make_class(priorities, wish, faults=faults_of(document.faults))
    except WishProblem as problem:
        raise ValidationError(said(problem), code="no-such-class") from None


def said(told: WishProblem | Note) -> str:
    """What the generator tells, in the language of the page."""
    return _(told.template) % told.values


def stored(content: dict, key: dict) -> dict:
    """Content, key and size as a revision stores them."""
    return {
        "content": ClassContent.read(content).document(),
        "key": ClassKey.read(key).document(),
        "size": len(content["dogs"]),
    }


def class_name(sex: str) -> str:
    names = {
        "dog": _("Open dogs"),
        "bitch": _("Open bitches"),
        "mixed": _("Open, dogs and bitches"),
    }
    return names[sex]


def titled(name: str, size: int) -> str:
    """ "Open bitches, six"; a name that says the size already stays as it is."""
    said = re.findall(r"\w+", name.lower())
    is_said = {str(size), str(apnumber(size)).lower()} & set(said)
    return name if is_said else f"{name}, {apnumber(size)}"
