"""The mentor's workbench: a dog drawn from its controls, and what becomes of it."""

from __future__ import annotations

from dataclasses import replace
from functools import wraps

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from quizzes.dogs.forms import DrawnForm
from quizzes.drawing import bench, services
from quizzes.drawing.dogs import VIEWS
from quizzes.drawing.forms import (
    NEW,
    KeepBreedForm,
    KeepDrawingForm,
    LessonForm,
    SaveDogForm,
)
from quizzes.drawing.kept import kept
from quizzes.drawing.sketch import Sketch
from quizzes.kinds.placing.pictures import svg
from quizzes.models import Build, Drawing
from trainer import offline
from trainer.clubs.models import Club
from trainer.http import wants_fragment

THEMES = ("light", "dark", "print")
SIZES = ("large", "card", "thumb")
DRAWINGS_SHOWN = 24
BUILDS_SHOWN = 48


def for_mentors(view):
    """The view for people who teach in some club; others learn nothing."""

    @wraps(view)
    def inner(request, *args, **kwargs):
        if not Club.objects.taught_by(request.user).exists():
            raise Http404
        return view(request, *args, **kwargs)

    return inner


@require_safe
@for_mentors
def workbench(request):
    """The dog of the address with its controls; the drawing alone where only that is asked for."""
    sketch = Sketch.read(request.GET)
    if wants_fragment(request):
        return render(request, "quizzes/drawing/_drawing.html", drawn(sketch))
    return page(request, sketch)


def drawn(sketch: Sketch) -> dict:
    return {
        "sketch": sketch,
        "drawings": bench.drawings(sketch),
        "measured": bench.measurements(sketch),
    }


def place_of(request) -> str:
    """The dog that is being drawn, as an address or a form names it; empty if it is nobody's yet."""
    return request.GET.get("for", "") or request.POST.get("for", "")


def bench_with(request, sketch: Sketch) -> str:
    """The workbench's address with this sketch, for the same dog as before."""
    place = place_of(request)
    more = f"&{urlencode({'for': place})}" if place else ""
    return f"{reverse('quizzes:workbench')}?{sketch.query}{more}"


def page(request, sketch: Sketch, *, status=200, **more):
    """The whole workbench; with the form that was refused, if any."""
    kept_drawings = Drawing.objects.editable_by(request.user)
    kept_breeds = Build.objects.editable_by(request.user)
    breeds = bench.breeds(
        sketch, kept_breeds.select_related("module__breed", "club")[:BUILDS_SHOWN]
    )
    place = place_of(request)
    save_form = SaveDogForm(user=request.user, initial={"place": place})
    context = {
        **drawn(sketch),
        "controls": bench.controls(sketch),
        "breeds": breeds,
        "place": place,
        "target": save_form.target(place),
        "save_form": save_form,
        "library_form": DrawnForm(user=request.user, initial={"place": place}),
        "keep_form": KeepDrawingForm(user=request.user),
        "breed_form": KeepBreedForm(
            user=request.user, initial=KeepBreedForm.of_build(breeds["current"])
        ),
        "lesson_form": LessonForm(user=request.user),
        "kept": kept_drawings.select_related("module__breed")[:DRAWINGS_SHOWN],
        **more,
    }
    return render(request, "quizzes/drawing/workbench.html", context, status=status)


@require_safe
@for_mentors
def plate(request):
    """One drawing of the dog of the address, to show or to keep as a file."""
    sketch, ask = Sketch.read(request.GET), request.GET
    view = ask.get("view", "side")
    theme, size = ask.get("theme", "light"), ask.get("size", "large")
    if view not in (*VIEWS, "over") or theme not in THEMES or size not in SIZES:
        raise Http404
    if view == "over":
        drawing = sketch.overlay_svg(theme)
    else:
        caption = _("Schematic drawing, not a breed") if ask.get("file") else ""
        drawing = sketch.svg(view, theme, size, caption)
    response = svg(drawing.encode())
    if ask.get("file"):
        name = f"{sketch.file_name}-{view}.svg"
        response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def sent_sketch(request) -> Sketch:
    """The dog as it stood on the page that was sent."""
    return Sketch.read(QueryDict(request.POST.get("sketch", "")))


@require_POST
@for_mentors
def save_dog(request):
    """The dog into a class, then on to that class's dogs."""
    sketch, now = sent_sketch(request), timezone.now()
    form = SaveDogForm(request.POST, user=request.user)
    if form.is_valid():
        where, place = form.chosen
        try:
            if place == NEW:
                draft, dog = services.new_class_with(
                    sketch, where, by=request.user, now=now
                )
            else:
                draft, dog = services.save_as_dog(
                    sketch, where, place, by=request.user, now=now
                )
        except ValidationError as error:
            form.add_error("place", error)
        else:
            text = _("The dog is drawn. Its words are as they were: see that they fit.")
            messages.success(request, text)
            address = reverse("quizzes:placing-dogs", args=[draft.exercise_id])
            return redirect(f"{address}#dog-{dog}")
    return page(request, sketch, save_form=form, form=form, status=422)


@require_POST
@for_mentors
def keep_drawing(request):
    """The drawing into the club, beside a priority if one was chosen."""
    sketch = sent_sketch(request)
    form = KeepDrawingForm(request.POST, user=request.user)
    if form.is_valid():
        services.keep_drawing(
            sketch,
            name=form.cleaned_data["name"],
            view=form.cleaned_data["view"],
            by=request.user,
            **form.chosen,
        )
        messages.success(request, _("Kept. It stands at the foot of this page."))
        return redirect(bench_with(request, sketch))
    return page(request, sketch, keep_form=form, form=form, status=422)


@require_POST
@for_mentors
def keep_breed(request):
    """The build into the club as a breed of its own, then on with that breed; faults are left out."""
    sketch = sent_sketch(request)
    form = KeepBreedForm(request.POST, user=request.user)
    if form.is_valid():
        build = services.keep_breed(
            sketch,
            name=form.cleaned_data["name"],
            by=request.user,
            **form.chosen,
        )
        messages.success(request, said_of_kept(build))
        kept_as = replace(sketch, own=dict(build.values))
        return redirect(bench_with(request, kept_as))
    return page(request, sketch, breed_form=form, form=form, status=422)


def said_of_kept(build: Build) -> str:
    if build.module is None:
        return _("%(breed)s is kept. It stands among the breeds.") % {"breed": build}
    text = _("%(breed)s is kept. Classes made for %(module)s are drawn so.")
    return text % {"breed": build, "module": build.module}


@require_POST
def build_remove(request, pk):
    """Take a breed of the club away; dogs that are drawn so stay as they are."""
    build = get_object_or_404(Build.objects.editable_by(request.user), pk=pk)
    build.delete()
    messages.success(request, _("The breed is taken away. Dogs drawn so stay."))
    return redirect("quizzes:workbench")


@require_POST
def drawing_remove(request, pk):
    """Take a kept drawing away."""
    drawing = get_object_or_404(Drawing.objects.editable_by(request.user), pk=pk)
    drawing.delete()
    messages.success(request, _("The drawing is taken away."))
    return redirect("quizzes:workbench")


@require_safe
def drawing(request, pk):
    """A kept drawing, for the members of its club."""
    found = get_object_or_404(Drawing.objects.visible_to(request.user), pk=pk)
    theme = request.GET.get("theme", "light")
    if theme not in THEMES:
        raise Http404
    sketch = Sketch.of_document(found.document)
    form = ["drawing", found.document, found.view, theme]
    plate = svg(kept(form, lambda: sketch.svg(found.view, theme)))
    return offline.keep_picture(plate)
