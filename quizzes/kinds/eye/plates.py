"""The plates of a sheet, by an address that says nothing of what is drawn."""

from __future__ import annotations

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from quizzes import plates
from quizzes.drawing.dogs import THEMES, look_of
from quizzes.drawing.kept import kept
from quizzes.kinds.eye.asked import Estimate
from quizzes.kinds.eye.kind import KIND
from quizzes.kinds.placing.pictures import svg
from quizzes.models import Attempt, Revision
from trainer import offline


def drawn(row: Estimate, theme: str, *, measured: bool) -> bytes:
    """The plate, in the frame of the one dog, with what is asked laid over it if it may be told."""
    sketch, measures = row.sketch, [row.measure] if measured and row.measure else []
    box = plates.view_box([sketch.dog], row.view)
    form = ["eye", look_of(sketch.breed, sketch), box, row.view, theme, measures]
    return kept(
        form,
        lambda: plates.draw(
            sketch.dog, row.view, theme, "large", box=box, measures=measures
        ),
    )


def plate_of(request, sheet, pk: str, *, may_tell: bool):
    """A row's plate as the address asks for it; measured only where it may be told."""
    row = sheet.by_id.get(pk)
    theme = request.GET.get("theme", "light")
    if row is None or not row.drawing or row.is_photograph or theme not in THEMES:
        raise Http404
    measured = may_tell and request.GET.get("measured") == "1"
    return svg(drawn(row, theme, measured=measured))


def may_be_told(user, attempt) -> bool:
    """Not what an assessment still asks of the person."""
    return Attempt.objects.filter(pk=attempt.pk).told_to(user).exists()


@require_safe
def attempt_plate(request, pk, row):
    """For whoever may see the attempt; measured once it is handed in."""
    visible = Attempt.objects.visible_to(request.user).for_player()
    attempt = get_object_or_404(visible, pk=pk, revision__exercise__kind=KIND.slug)
    told = attempt.is_handed_in and may_be_told(request.user, attempt)
    sheet = KIND.sheet(attempt.revision.content)
    plate = plate_of(request, sheet, row, may_tell=told)
    return plate if told else offline.keep_picture(plate)


@require_safe
def draft_plate(request, pk, row):
    """For the mentors of the club."""
    editable = Revision.objects.editable_by(request.user).defer("key")
    revision = editable.filter(exercise=pk, exercise__kind=KIND.slug).first()
    if revision is None:
        raise Http404
    sheet = KIND.sheet(revision.content)
    return plate_of(request, sheet, row, may_tell=True)
