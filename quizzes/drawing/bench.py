"""What the workbench page shows of a sketch: its controls, its drawings, its measurements."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby

from django.urls import reverse
from django.utils.http import urlencode
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from quizzes import plates
from quizzes.drawing import builds
from quizzes.drawing.dogs import ANY_PATTERN, VIEW_LABELS, VIEWS, views_needed
from quizzes.drawing.sketch import BUILD, MEASURES, Sketch
from quizzes.models import Build
from quizzes.plates import markings
from quizzes.plates.faults import fault
from quizzes.plates.figures import value_words
from quizzes.plates.parts import faults_by_part

EAR_LABELS = {
    "prick": _("prick"),
    "semi-prick": _("semi-prick"),
    "drop-short": _("small, hanging"),
    "drop": _("hanging"),
}
COAT_LABELS = {
    "smooth": _("smooth"),
    "broken": _("broken"),
    "curly": _("curly"),
    "feathered": _("feathered"),
    "double": _("double"),
}
PATTERN_LABELS = {ANY_PATTERN: _("as the number has it"), **markings.WORDS}
WORD_LABELS = {"ear": _("Ear"), "coat": _("Coat"), "pattern": _("Pattern")}
WORD_CHOICES = {"ear": EAR_LABELS, "coat": COAT_LABELS, "pattern": PATTERN_LABELS}


def address(sketch: Sketch, view: str, **more) -> str:
    """Where the drawing of a view is served."""
    return f"{reverse('quizzes:workbench-plate')}?{sketch.query}&{urlencode({'view': view, **more})}"


def address_of_dog(exercise, content, dog) -> str:
    """The workbench with a dog of a class on it; one that is not drawn yet as the module's breed."""
    base, own = builds.of_module(exercise.module)
    known = [content.breed, base, *plates.BREEDS]
    breed = next(slug for slug in known if slug in plates.BREEDS)
    if breed != base:
        own = {}
    if breed != content.breed or not dog.drawn:
        dog = replace(dog, build=own)
    place = urlencode({"for": f"{exercise.pk}:{dog.id}"})
    query = Sketch.of_dog(breed, dog, own).query
    return f"{reverse('quizzes:workbench')}?{query}&{place}"


def in_both_looks(sketch: Sketch, view: str, size: str, alt: str) -> dict:
    return {
        "label": VIEW_LABELS.get(view, ""),
        "view": view,
        "alt": alt,
        "light": address(sketch, view, theme="light", size=size),
        "dark": address(sketch, view, theme="dark", size=size),
    }


def drawings(sketch: Sketch) -> dict:
    """The drawings of a sketch, each for either look, and where they can be had as files."""
    dog = sketch.dog
    shown = [
        in_both_looks(sketch, view, "large", plates.describe(dog, view))
        for view in VIEWS
    ]
    also = views_needed([sketch])
    over = _("The outline in ink over the breed's own, dashed.")
    return {
        "side": shown[0],
        "also": [one for one in shown if one["view"] in also],
        "seen": _seen_elsewhere(sketch),
        "others": [one for one in shown[1:] if one["view"] not in also],
        "over": in_both_looks(sketch, "over", "large", over) if sketch.ideal else None,
        "files": [
            {
                "label": label,
                "name": f"{sketch.file_name}-{view}",
                "svg": address(sketch, view, theme="print", size="large", file=1),
            }
            for view, label in VIEW_LABELS.items()
        ],
    }


def _seen_elsewhere(sketch: Sketch) -> list[str]:
    """ "Splayed feet: from the front", for each fault that the side view does not show."""
    found = (fault(code) for code, strength in sketch.faults.items() if strength)
    return [
        f"{capfirst(one.name)}: {str(VIEW_LABELS[one.view]).lower()}"
        for one in found
        if one.view != "side"
    ]


def _words_changed(sketch: Sketch) -> list[dict]:
    """Ear, coat and pattern where they were chosen otherwise than the breed has them."""
    own = builds.of_breed(sketch.breed) | sketch.own
    return [
        {
            "label": WORD_LABELS[name],
            "value": WORD_CHOICES[name][value],
            "own": WORD_CHOICES[name][own[name]],
        }
        for name, value in sketch.departures.items()
        if name in builds.WORDS
    ]


def measurements(sketch: Sketch) -> dict:
    """Every measurement of the dog beside the breed's own; those that differ come first as well."""
    own = plates.measure(sketch.ideal_dog)
    rows = [
        {
            "label": one.label,
            "value": value_words(one),
            "own": value_words(own[one.name]),
            "unit": "" if one.unit in ("degrees", "ratio") else one.unit,
            "points": ", ".join(point.replace("_", " ") for point in one.points),
            "axis": one.axis,
            "view": one.view,
        }
        for one in plates.measure(sketch.dog).values()
    ]
    return {
        "words": _words_changed(sketch),
        "changed": [row for row in rows if row["value"] != row["own"]],
        "by_view": [
            (VIEW_LABELS[view], list(found))
            for view, found in groupby(rows, key=lambda row: row["view"])
        ],
    }


def controls(sketch: Sketch) -> dict:
    """What can be chosen and moved, as it stands."""
    return {
        "words": _words(sketch),
        "faults": _faults(sketch),
        "proportions": _proportions(sketch),
        "measures": _measure_ticks(sketch),
        "measuring": len(sketch.measures),
    }


def breeds(sketch: Sketch, kept: Iterable[Build]) -> dict:
    """The breeds to choose from, and which it is now: one of the plates, or one that a club keeps."""
    own = [
        (builds.spelled(build.base, build.values), build)
        for build in kept
        if build.base in plates.BREEDS
    ]
    drawn = [(breed.slug, breed.name) for breed in plates.BREEDS.values()]
    named = dict(drawn) | {word: build.name for word, build in own}
    return {
        "drawn": drawn,
        "own": own,
        "current": next((one for word, one in own if word == sketch.named), None),
        "name": named.get(sketch.named, _("A breed that is not kept")),
        "known": sketch.named in named,
    }


def _words(sketch: Sketch) -> list[dict]:
    """Ear, coat and pattern, each with its choices."""
    built = builds.of_breed(sketch.breed) | sketch.build
    return [
        {
            "name": name,
            "label": WORD_LABELS[name],
            "value": built[name],
            "choices": [(value, WORD_CHOICES[name][value]) for value in known],
        }
        for name, known in builds.WORDS.items()
    ]


def _faults(sketch: Sketch) -> list[dict]:
    """The faults under their part of the dog; a part in which something is wrong stands open."""
    parts = [
        (
            _(part),
            [(one, round(100 * sketch.faults.get(one.code, 0))) for one in faults],
        )
        for part, faults in faults_by_part()
    ]
    return [
        {"part": part, "rows": rows, "open": at == 0 or any(n for _one, n in rows)}
        for at, (part, rows) in enumerate(parts)
    ]


def _proportions(sketch: Sketch) -> list[tuple[str, list[dict]]]:
    breed = builds.of_breed(sketch.breed)
    rows = []
    for control in plates.CONTROLS.values():
        span = control.span(plates.BREEDS[sketch.breed])
        low, _middle, high = (round(value, 3) for value in span)
        own = sketch.own.get(control.name, breed[control.name])
        rows.append(
            {
                "name": f"{BUILD}{control.name}",
                "label": control.label,
                "group": control.group,
                "unit": control.unit,
                "low": low,
                "own": own,
                "high": high,
                "step": control.step,
                "value": sketch.build.get(control.name, breed[control.name]),
            }
        )
    return [
        (g, list(found)) for g, found in groupby(rows, key=lambda row: row["group"])
    ]


def _measure_ticks(sketch: Sketch) -> list[tuple[str, list[tuple]]]:
    """The measurements that can be drawn, by view, and which are ticked."""
    drawn = [one for one in MEASURES.values() if one.figure != "none"]
    return [
        (
            VIEW_LABELS[view],
            [(one.name, one.label, one.name in sketch.measures) for one in found],
        )
        for view, found in groupby(drawn, key=lambda one: one.view)
    ]
