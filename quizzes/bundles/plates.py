"""Whether a drawn dog from elsewhere is one that this site can draw."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from django.utils.translation import gettext as _

from quizzes import plates
from quizzes.drawing import builds
from quizzes.drawing.sketch import MEASURES, Sketch
from quizzes.plates.faults import fault


def drawn_problem(document: Mapping) -> str:
    """Why a drawn dog of the workbench can't be drawn, in words; "" if it can."""
    if document["breed"] not in plates.BREEDS:
        text = _("is drawn as “%(name)s”, a breed that is not drawn here")
        return text % {"name": document["breed"]}
    unknown = [name for name in document.get("measures", []) if name not in MEASURES]
    if unknown:
        return _("has the measurement “%(name)s”, which is not known") % {
            "name": unknown[0]
        }
    for build in (document.get("build", {}), document.get("own", {})):
        why = build_problem(document["breed"], build)
        if why:
            return why
    return fault_problem(document.get("faults", {})) or _undrawable(document)


def dog_problem(breed: str, dog: Mapping) -> str:
    """The same of a dog of a class; without a drawn breed only what is said of it is checked."""
    why = fault_problem(dog.get("faults", {}))
    if breed in plates.BREEDS:
        why = why or build_problem(breed, dog.get("build", {}))
    return why


def fault_problem(faults: Iterable[str]) -> str:
    """Why these faults can't be drawn; strengths are held by the schema."""
    unknown = sorted(code for code in faults if not _is_known(code))
    text = _("has the fault “%(name)s”, which is not known")
    return text % {"name": unknown[0]} if unknown else ""


def _is_known(code: str) -> bool:
    try:
        fault(code)
    except KeyError:
        return False
    return True


def build_problem(breed: str, build: Mapping) -> str:
    """Why a build does not fit a breed: an unknown control, a word or number out of its range."""
    for name, value in build.items():
        if name in builds.WORDS:
            fits = value in builds.WORDS[name]
        elif name in plates.CONTROLS:
            fits = _in_span(breed, name, value)
        else:
            return _("has the control “%(name)s”, which is not known") % {"name": name}
        if not fits:
            return _("has “%(name)s” out of its range") % {"name": name}
    return ""


def _in_span(breed: str, name: str, value) -> bool:
    low, _own, high = plates.CONTROLS[name].span(plates.BREEDS[breed])
    # What is stored was rounded.
    near = 1e-3
    return (
        isinstance(value, int | float)
        and math.isfinite(value)
        and low - near <= value <= high + near
    )


def _undrawable(document: Mapping) -> str:
    try:
        Sketch.of_document(document).dog  # noqa: B018 - what can't be drawn fails here
    except (TypeError, KeyError, ValueError, AttributeError):
        return _("can't be drawn")
    return ""
