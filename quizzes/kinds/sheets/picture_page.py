"""The mentor's page on which a row of a sheet gets its pictures, chosen as those of lessons are."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from quizzes import exercises
from quizzes.kinds.placing.builder import sent_version
from quizzes.kinds.placing.pictures import svg
from quizzes.kinds.sheets.builder import draft_of_sheet
from quizzes.kinds.sheets.pictures import WHOLE, PicturedRow, PicturesMixin, plate_of
from quizzes.kinds.sheets.rows import Sheet
from quizzes.models import Revision
from trainer.pictures.models import Picture
from trainer.study import drawn
from trainer.study.desk.section_forms import Pictured, photographs

ALT_HELP = gettext_lazy("For those who can't see it. Say what is seen, not the answer.")


class PicturesForm(forms.Form):
    """The pictures of a row, a place after the other.

    shown, drawings : photographs and kept drawings that can be chosen
    """

    def __init__(self, data=None, *, row: PicturedRow, club_id: int):
        super().__init__(data, initial={})
        self.row, self.drawings = row, drawn.of_club(club_id)
        self.shown = _offered(row, club_id)
        self.places = {
            place: Pictured(self, f"{place}-", holder)
            for place, holder in row.holders().items()
        }
        for place in self.places:
            self.fields[f"{place}-alt"].help_text = ALT_HELP

    def sections(self) -> list[dict]:
        """Each place with its fields, for the page."""
        return [
            {
                "place": place,
                "photo": self[f"{place}-photo"],
                "fields": [
                    self[f"{place}-{name}"]
                    for name in _asked_of(place)
                    if f"{place}-{name}" in self.fields
                ],
                "chosen": bool(pictured.holder["image"]),
            }
            for place, pictured in self.places.items()
        ]

    def changed(self) -> PicturedRow:
        """The row with what was chosen."""
        chosen = {
            place: pictured.stored(self.cleaned_data)
            for place, pictured in self.places.items()
        }
        return self.row.with_pictures(chosen)


def _asked_of(place: str) -> tuple[str, ...]:
    """A picture to choose has its answer's words for a caption."""
    return ("view", "alt", "caption") if place == WHOLE else ("view", "alt")


def _offered(row: PicturedRow, club_id: int) -> list[Picture]:
    """The club's latest photographs, and older ones that the row shows."""
    latest = photographs(club_id)
    here = {one["image"].get("photo") for one in row.holders().values()} - {None}
    older = here - {str(one.public_id) for one in latest}
    if not older:
        return latest
    return [
        *latest,
        *Picture.objects.cleared().filter(club=club_id, public_id__in=older),
    ]


def _row_of(request, pk, row_id):
    """The kind, the draft and the row. Raises Http404 for what has no pictures."""
    kind, draft = draft_of_sheet(request, pk)
    row = kind.sheet(draft.content).by_id.get(row_id)
    if not isinstance(kind, PicturesMixin) or row is None:
        raise Http404
    return kind, draft, row


@require_http_methods(["GET", "POST"])
def sheet_pictures(request, pk, row):
    """Which pictures a row shows; then back to the rows."""
    kind, draft, asked = _row_of(request, pk, row)
    form = PicturesForm(request.POST or None, row=asked, club_id=draft.exercise.club_id)
    version = draft.version
    if request.method == "POST" and form.is_valid():
        try:
            _keep(request, kind, draft, form.changed())
        except ValidationError as error:
            form.add_error(None, error)
            if isinstance(error, exercises.EditedElsewhere):
                # Saving again keeps what was chosen here.
                fresh = Revision.objects.values_list("version", flat=True)
                version = fresh.get(pk=draft.pk)
        else:
            return _onward(request, pk, row)
    context = {
        "kind": kind,
        "revision": draft,
        "row": asked,
        "named": kind.named(asked),
        "form": form,
        "sections": [
            {**one, "title": kind.place_named(asked, one["place"])}
            for one in form.sections()
        ],
        "drawings": {one.value: one for one in form.drawings},
        "images": kind.draft_look(draft).get(row, {}),
        "version": version,
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/sheets/pictures.html", context, status=status)


def _keep(request, kind, draft, row: PicturedRow) -> None:
    """Save the sheet with the row in the place of the stored one. Raises ValidationError."""
    sheet = kind.sheet(draft.content)
    rows = tuple(row if one.id == row.id else one for one in sheet)
    exercises.save_revision(
        draft,
        by=request.user,
        version=sent_version(request),
        content=Sheet(rows, sheet.mixed, sheet.more).document(),
    )


def _onward(request, pk, row: str):
    if request.POST.get("do") == "back":
        return redirect(reverse("quizzes:sheet-rows", args=[pk], fragment=f"row-{row}"))
    return redirect("quizzes:sheet-pictures", pk=pk, row=row)


@require_safe
def draft_plate(request, pk, row, place):
    """A drawn dog of a mentor's sheet, draft or in force."""
    _kind, _draft, asked = _row_of(request, pk, row)
    return svg(plate_of(request, asked, place))
