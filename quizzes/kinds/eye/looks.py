"""What is shown of a row before it is answered: the picture, the question, the fields."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from quizzes import plates
from quizzes.drawing.amounts import DEGREES, HEIGHT, PER_CENT, unit_of
from quizzes.drawing.dogs import THEMES
from quizzes.kinds.eye.asked import ASKABLE, MARKS, Estimate
from quizzes.plates.measuring import BONE, FELT
from trainer.pictures.landmarks import NAMES
from trainer.pictures.models import Picture

UNITS = {
    DEGREES: gettext_lazy("degrees"),
    HEIGHT: gettext_lazy("per cent of the height at the withers"),
    PER_CENT: gettext_lazy("per cent: 100 if both are alike"),
}
AXES = {
    BONE: gettext_lazy("along the bones"),
    FELT: gettext_lazy("between the points that a hand can feel"),
}


def unit_of_row(row: Estimate) -> str:
    one = ASKABLE.get(row.measure)
    return unit_of(one) if one else DEGREES


def asked_of(row: Estimate, value) -> dict:
    """The question in words, and the landmarks with the places they have already."""
    one = ASKABLE.get(row.measure)
    if one is None:
        given = value if isinstance(value, dict) else {}
        return {
            "named": _("Landmarks"),
            "marks": [
                {"name": name, "label": MARKS[name], "place": given.get(name, ("", ""))}
                for name in row.marks
            ],
        }
    return {
        "named": one.label,
        "unit": UNITS[unit_of(one)],
        "from": _points_said(one.points),
        "axis": AXES.get(one.axis, ""),
    }


def _points_said(points: Iterable[str]) -> str:
    """The landmarks a measurement is taken from, by the names that the landmarks have elsewhere."""
    return "; ".join(str(NAMES.get(name, name.replace("_", " "))) for name in points)


def of_attempt(sheet: Iterable[Estimate], attempt) -> dict:
    """The picture of each row, by its id; measured once the attempt is handed in."""

    def address(row: str) -> str:
        return reverse("quizzes:eye-plate", args=[attempt.pk, row])

    club = attempt.revision.exercise.club_id
    return _shown(sheet, club, address, told=attempt.is_handed_in)


def of_draft(sheet: Iterable[Estimate], draft) -> dict:
    """The same for mentors, plain and measured."""

    def address(row: str) -> str:
        return reverse("quizzes:eye-draft-plate", args=[draft.exercise_id, row])

    return _shown(sheet, draft.exercise.club_id, address, version=draft.version)


def of_room(sheet, club: int, at, *, told: bool) -> dict:
    """The same for a seminar's room, under its own addresses (quizzes.kinds.in_room.Addresses)."""

    def address(row: str) -> str:
        return at.plate(row, "whole")

    return _shown(sheet, club, address, told=told, photograph=at.photograph)


def _shown(
    sheet, club: int, address: Callable, *, told=False, version=0, photograph=None
) -> dict:
    rows = list(sheet)
    photographs = _photographs(rows, club)
    found = {}
    for row in rows:
        if row.is_photograph:
            found[row.id] = _photograph(photographs.get(row.photo), photograph)
        elif row.drawing:
            found[row.id] = _plate(row, address(row.id), told, version)
    return found


def _photographs(rows, club: int) -> dict[str, Picture]:
    """Photographs that may be shown; no query where no row has one."""
    ids = {row.photo for row in rows if row.is_photograph}
    if not ids:
        return {}
    found = Picture.objects.cleared().filter(club=club, public_id__in=ids)
    return {str(one.public_id): one for one in found}


def _photograph(picture: Picture | None, address: Callable | None) -> dict:
    if picture is None:
        return {"withdrawn": True}
    return {
        "photo": address(str(picture.public_id), "large")
        if address
        else picture.address("large"),
        "width": picture.width,
        "height": picture.height,
        "credit": picture.credit,
        "alt": _("Photograph of a dog"),
    }


def _plate(row: Estimate, path: str, told: bool, version: int) -> dict:
    # Another drawing under the same address would come from the browser's own store.
    more = f"&v={version}" if version else ""
    measured = "&measured=1" if told and row.measure else ""
    looks = {theme: f"{path}?theme={theme}{more}{measured}" for theme in THEMES}
    dog = row.sketch.dog
    _left, _top, wide, high = plates.view_box([dog], row.view)
    return {
        **looks,
        "alt": plates.neutral_text(dog, row.view),
        "view": row.view,
        "width": round(4 * wide),
        "height": round(4 * high),
    }
