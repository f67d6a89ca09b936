"""Drawn dogs in lessons: put there from the workbench, and drawn for who may read the lesson."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from quizzes import plates
from quizzes.drawing.dogs import THEMES
from quizzes.drawing.forms import ALONE, LessonForm
from quizzes.drawing.kept import kept
from quizzes.drawing.sketch import Sketch
from quizzes.drawing.views import for_mentors, page, sent_sketch
from quizzes.kinds.placing.pictures import svg
from quizzes.models import Drawing
from trainer import offline
from trainer.study.desk.lessons import add_section
from trainer.study.drawn import KeptDrawing
from trainer.study.illustrations import OVER
from trainer.study.models import Lesson, ModuleRevision
from trainer.study.sections import COMPARE, PICTURE

DRAWINGS_OFFERED = 24
PRINT = "print"


def kept_drawings(club_id: int) -> list[KeptDrawing]:
    """The drawings of a club that lessons can show, the latest first."""
    found = Drawing.objects.filter(club=club_id)[:DRAWINGS_OFFERED]
    return [
        KeptDrawing(
            value=f"drawing-{one.pk}",
            name=one.name,
            light=f"{reverse('quizzes:drawing', args=[one.pk])}?theme=light",
            dark=f"{reverse('quizzes:drawing', args=[one.pk])}?theme=dark",
            image={"plate": one.document, "view": one.view},
        )
        for one in found
    ]


def section_of(sketch: Sketch, how: str, view: str) -> tuple[str, dict]:
    """Kind and content of the section that shows a dog, alone or beside the breed's own."""
    shown = _pictured(sketch, view)
    if how == ALONE:
        return PICTURE, shown
    ideal = replace(sketch, faults={}, build=dict(sketch.own))
    return COMPARE, {
        "sides": [_pictured(ideal, view), shown],
        "overlay": view == "side",
    }


def _pictured(sketch: Sketch, view: str) -> dict:
    return {
        "image": {"plate": sketch.document(), "view": view},
        "alt": plates.describe(sketch.dog, view)[:400],
        "caption": "",
    }


@require_POST
@for_mentors
def put_in_lesson(request):
    """The dog of the workbench into a lesson, then on to the section's page."""
    sketch = sent_sketch(request)
    form = LessonForm(request.POST, user=request.user)
    if form.is_valid():
        lesson, given = form.chosen, form.cleaned_data
        kind, content = section_of(sketch, given["how"], given["view"])
        try:
            section = add_section(
                lesson, kind, by=request.user, now=timezone.now(), **content
            )
        except ValidationError as error:
            form.add_error("lesson", error)
        else:
            text = _("It stands at the end of the lesson. Say here what it shows.")
            messages.success(request, text)
            module = lesson.revision.module_id
            return redirect("desk:section", module, lesson.pk, section["id"])
    return page(request, sketch, lesson_form=form, form=form, status=422)


@require_safe
def lesson_plate(request, revision, lesson, section, side):
    """A drawn dog of a lesson, for who may read it; "over" lays both of a comparison over each other."""
    theme = request.GET.get("theme", "light")
    readable = ModuleRevision.objects.visible_to(request.user).filter(pk=revision)
    found = Lesson.objects.filter(revision__in=readable, slug=lesson).first()
    sections = {one["id"]: one for one in found.sections} if found else {}
    images = _images(sections.get(section))
    if theme not in THEMES or not images:
        raise Http404
    if side == OVER and len(images) == 2 and all(images):
        left, right = (_sketch(image) for image in images)
        form = ["over", images[0]["plate"], images[1]["plate"], theme]
        over = kept(form, lambda: plates.overlay(left.dog, right.dog, theme=theme))
        return offline.keep_picture(svg(over))
    if not side.isdecimal() or int(side) >= len(images) or not images[int(side)]:
        raise Http404
    return offline.keep_picture(svg(plate_of(images[int(side)], theme)))


def plate_of(image: Mapping, theme: str) -> bytes:
    """The SVG of a drawn dog that is kept as an image. Raises Http404 for what is none."""
    sketch = _sketch(image)
    form = ["drawing", image["plate"], image["view"], theme]
    return kept(form, lambda: sketch.svg(image["view"], theme))


def printed(images: Sequence[Mapping]) -> bytes | None:
    """A drawn dog for paper, or two over each other; None for what can't be drawn."""
    form = [PRINT, *images]
    try:
        sketches = [_sketch(image) for image in images]
    except Http404:
        return None
    if len(sketches) == 2:
        left, right = (sketch.dog for sketch in sketches)
        return kept(form, lambda: plates.overlay(left, right, theme=PRINT))
    (sketch,), (image,) = sketches, images
    return kept(form, lambda: sketch.svg(image["view"], PRINT))


def _images(section: dict | None) -> list[dict]:
    """The drawn images of a section in their order; an empty one where a photograph stands."""
    if section is None or section["kind"] not in (PICTURE, COMPARE):
        return []
    holders = [section] if section["kind"] == PICTURE else section["sides"]
    found = [one["image"] if "plate" in one["image"] else {} for one in holders]
    return found if any(found) else []


def _sketch(image: Mapping) -> Sketch:
    """The drawn dog of an image; 404 for a document that came from elsewhere and is none."""
    try:
        sketch = Sketch.of_document(image["plate"])
        sketch.dog  # noqa: B018 - what can't be drawn fails here
    except (TypeError, KeyError, ValueError, AttributeError):
        raise Http404 from None
    return sketch
