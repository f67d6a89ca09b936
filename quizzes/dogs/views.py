"""The pages of the library: the list, a new dog, a dog, and its plate."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from quizzes.dogs import services
from quizzes.dogs.forms import DogForm, DrawnForm, NewDogForm
from quizzes.dogs.searching import SearchForm, modules_taught
from quizzes.dogs.showing import (
    classes_with,
    is_drawn,
    photographs_of,
    plate_addresses,
    plate_of,
    rows_of,
    workbench_address,
)
from quizzes.drawing.dogs import THEMES, VIEWS
from quizzes.drawing.views import for_mentors, sent_sketch
from quizzes.drawing.views import page as workbench_page
from quizzes.exercises import EditedElsewhere
from quizzes.kinds.placing.pictures import svg
from quizzes.models import LibraryDog
from quizzes.views import page_of


@require_safe
@for_mentors
def library(request):
    """The dogs of the clubs the person teaches in, searched and by the page."""
    mine = LibraryDog.objects.editable_by(request.user)
    search = SearchForm(request.GET, modules=modules_taught(request.user))
    found = search.found(mine).select_related("module__breed", "club")
    page = page_of(request, found)
    context = {
        "page": page,
        "rows": rows_of(page.object_list),
        "search": search,
        "away": mine.exclude(archived_at=None).exists(),
    }
    return render(request, "quizzes/dogs/library.html", context)


@require_http_methods(["GET", "POST"])
@for_mentors
def dog_new(request):
    """Name and module; then on to the dog."""
    form = NewDogForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        dog = services.add_dog(
            form.cleaned_data["module"],
            by=request.user,
            now=timezone.now(),
            name=form.cleaned_data["name"],
        )
        return redirect(dog)
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/dogs/new.html", {"form": form}, status=status)


def dog_of(request, pk) -> LibraryDog:
    """The dog, if the person is a mentor of its club."""
    mine = LibraryDog.objects.editable_by(request.user)
    return get_object_or_404(
        mine.select_related("module__breed", "club", "edited_by"), pk=pk
    )


@require_http_methods(["GET", "POST"])
def dog_edit(request, pk):
    """A dog of the library; every button saves all that is on the page, then does what it says."""
    dog = dog_of(request, pk)
    form = DogForm(
        request.POST or None, dog=dog, priorities=services.priorities_of(dog.module)
    )
    is_conflict = False
    if request.method == "POST" and form.is_valid():
        do, _colon, view = request.POST.get("do", "save").partition(":")
        changes = form.changes()
        if do == "no-photograph":
            pictures = {key: one for key, one in dog.pictures.items() if key != view}
            changes["pictures"] = pictures
        try:
            saved = services.save_dog(
                dog,
                by=request.user,
                now=timezone.now(),
                version=form.cleaned_data["version"],
                **changes,
            )
        except EditedElsewhere as error:
            form.add_error(None, error)
            form.asks_for_version(dog.version)
            is_conflict = True
        else:
            return _after_save(request, saved, do, view)
    status = 422 if form.is_bound else 200
    context = {
        "dog": dog,
        "form": form,
        "is_drawn": is_drawn(dog),
        "plate": plate_addresses(dog),
        "photographs": photographs_of(dog),
        "classes": classes_with(dog, request.user),
        "is_conflict": is_conflict,
    }
    return render(request, "quizzes/dogs/dog.html", context, status=status)


def _after_save(request, dog, do, view):
    if do == "draw":
        return redirect(workbench_address(dog))
    if do == "photograph":
        return redirect("quizzes:library-photograph", pk=dog.pk, view=view)
    messages.success(request, _("Saved."))
    return redirect(dog)


@require_POST
def dog_archive(request, pk):
    """Put the dog away, or back into use."""
    dog = dog_of(request, pk)
    if request.POST.get("do") == "back":
        services.put_away(dog, now=None)
        messages.success(request, _("%(dog)s is in use again.") % {"dog": dog})
        return redirect(dog)
    services.put_away(dog, now=timezone.now())
    text = _("%(dog)s is put away. Classes that have the dog keep it.")
    messages.success(request, text % {"dog": dog})
    return redirect("quizzes:library")


@require_safe
def dog_plate(request, pk):
    """The plate of a drawn dog, for the mentors of its club."""
    dog = dog_of(request, pk)
    view, theme = request.GET.get("view", "side"), request.GET.get("theme", "light")
    if view not in VIEWS or theme not in THEMES or not is_drawn(dog):
        raise Http404
    return svg(plate_of(dog, view, theme))


@require_POST
@for_mentors
def dog_drawn(request):
    """A dog from the workbench into the library, as a new one or in place of how one was drawn."""
    sketch, now = sent_sketch(request), timezone.now()
    form = DrawnForm(request.POST, user=request.user)
    if form.is_valid():
        try:
            drawn = services.drawn_from(sketch)
            dog = _drawn_into(form, drawn, by=request.user, now=now)
        except EditedElsewhere:
            form.add_error("place", _("Somebody saved this dog just now. Save again."))
        else:
            text = _("The dog is drawn. Its words are as they were: see that they fit.")
            messages.success(request, text)
            return redirect(dog)
    return workbench_page(request, sketch, library_form=form, form=form, status=422)


def _drawn_into(form: DrawnForm, drawn: dict, *, by, now) -> LibraryDog:
    chosen, name = form.chosen, form.cleaned_data["name"]
    named = {"name": name} if name else {}
    if not isinstance(chosen, LibraryDog):
        return services.add_dog(chosen, by=by, now=now, **named, **drawn)
    return services.save_dog(
        chosen, by=by, now=now, version=chosen.version, **named, **drawn
    )
