"""The page on which a dog of the library gets a photograph for one of its views."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from quizzes.dogs import services
from quizzes.dogs.forms import PhotographForm
from quizzes.dogs.views import dog_of
from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.exercises import EditedElsewhere
from quizzes.models import LibraryDog
from quizzes.views import page_of
from trainer.pictures import services as pictures
from trainer.pictures.models import Picture


@require_http_methods(["GET", "POST"])
def photograph(request, pk, view):
    """Choose one of the club's photographs, or send one."""
    dog = dog_of(request, pk)
    if view not in VIEW_LABELS:
        raise Http404
    club = Picture.objects.cleared().filter(club=dog.club_id)
    chosen = request.POST.get("picture", "")
    if request.method == "POST" and chosen:
        picture = club.filter(public_id=chosen).first() if _is_id(chosen) else None
        if picture is not None:
            return _kept(request, dog, view, picture)
        messages.error(request, _("That photograph is gone. Choose another."))
        return redirect(request.path)
    sent = (request.POST, request.FILES) if request.method == "POST" else (None, None)
    form = PhotographForm(*sent)
    if form.is_bound and form.is_valid():
        try:
            kept = pictures.keep(
                [form.sent], club=dog.club, by=request.user, now=timezone.now()
            )
        except ValidationError as error:
            form.add_error("photograph", error)
        else:
            return _kept(request, dog, view, kept[0])
    context = {
        "dog": dog,
        "view": view,
        "label": VIEW_LABELS[view],
        "current": dog.pictures.get(view, ""),
        "page": page_of(request, club),
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/dogs/photograph.html", context, status=status)


def _is_id(text: str) -> bool:
    try:
        uuid.UUID(text)
    except ValueError:
        return False
    return True


def _kept(request, dog: LibraryDog, view: str, picture: Picture):
    """Give the dog the photograph; its credit stands where the dog has none yet."""
    try:
        services.save_dog(
            dog,
            by=request.user,
            now=timezone.now(),
            version=dog.version,
            pictures={**dog.pictures, view: str(picture.public_id)},
            credit=dog.credit or picture.credit,
        )
    except EditedElsewhere:
        messages.error(request, _("Somebody saved this dog just now. Choose again."))
        return redirect(request.path)
    messages.success(request, _("The photograph is in its place."))
    return redirect(dog)
