"""The mentors' library of photographs: taking in, describing, changing, measuring."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from itertools import pairwise

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from quizzes.plates.measuring import DEGREES
from trainer.clubs.models import Club
from trainer.pictures import changing, services
from trainer.pictures.forms import DetailsForm, UploadForm
from trainer.pictures.intake import MOST_BYTES, take_in
from trainer.pictures.landmarks import NAMES, measured
from trainer.pictures.models import Picture
from trainer.pictures.tool_forms import LandmarksForm

PER_PAGE = 24
NEEDS_CONSENT = "consent"
LONGEST_SEARCH = 120


def mine(request: HttpRequest, public_id: uuid.UUID) -> Picture:
    """The photograph, if the person sent it or is a mentor of its club."""
    found = Picture.objects.editable_by(request.user)
    found = found.select_related("club", "uploaded_by", "consent_by")
    return get_object_or_404(found, public_id=public_id)


def taught(request: HttpRequest) -> list[Club]:
    """Clubs the person teaches in; whoever teaches nowhere has no library."""
    clubs = list(Club.objects.taught_by(request.user))
    if not clubs:
        raise Http404
    return clubs


@require_safe
def picture_list(request):
    """Photographs of the clubs the person teaches in, the latest first."""
    clubs = taught(request)
    pictures = Picture.objects.editable_by(request.user).filter(club__in=clubs)
    waiting = pictures.needing_consent()
    needs = request.GET.get("needs") == NEEDS_CONSENT
    words = request.GET.get("q", "").strip()[:LONGEST_SEARCH]
    found = (waiting if needs else pictures).saying(words).select_related("club")
    page = Paginator(found, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "words": words,
        "needs": needs,
        "waiting": waiting.count(),
        "several_clubs": len(clubs) > 1,
    }
    return render(request, "pictures/picture_list.html", context)


@dataclass(frozen=True)
class Taken:
    """What became of one file that was sent."""

    name: str
    picture: Picture | None = None
    error: str = ""

    def document(self) -> dict:
        """For the script that sends files one by one."""
        if self.picture is None:
            return {"error": self.error}
        address = [self.picture.public_id]
        return {
            "href": reverse("pictures:picture-detail", args=address),
            "image": reverse("pictures:picture-file", args=[*address, "small"]),
        }


@require_http_methods(["GET", "POST"])
def picture_new(request):
    """Takes in one photograph or many; each that is sound is kept, whatever the others are."""
    taught(request)
    form = UploadForm(request.POST or None, request.FILES or None, user=request.user)
    if request.method != "POST":
        return _upload_page(request, form)
    results = []
    if form.is_valid():
        club = form.cleaned_data["club"]
        files = form.cleaned_data["photographs"]
        results = [_taken(file, club, request.user) for file in files]
    if request.accepts("text/html"):
        return _told(request, form, results)
    failed = [one.error for one in results if one.error] or [
        error for errors in form.errors.values() for error in errors
    ]
    if failed:
        return JsonResponse({"error": " ".join(failed)}, status=422)
    return JsonResponse(results[0].document())


def _taken(file, club, user) -> Taken:
    try:
        photograph = take_in(file, file.name)
        _refuse_twin(photograph.sha256, club, user)
        sent = services.Sent(uuid.uuid4(), photograph)
        (picture,) = services.keep([sent], club=club, by=user, now=timezone.now())
    except ValidationError as error:
        return Taken(file.name, error=error.messages[0])
    return Taken(file.name, picture)


def _refuse_twin(sha256, club, user):
    twins = Picture.objects.editable_by(user).filter(club=club, sha256=sha256)
    if twins.exists():
        raise ValidationError(_("This file is in the library already."), code="twin")


def _told(request, form, results):
    """The page that says what became of each file; on to the library if all went well."""
    kept = [one.picture for one in results if one.picture]
    if form.is_valid() and len(kept) == len(results):
        text = ngettext(
            "The photograph is taken in. Now say whose it is.",
            "%(n)s photographs are taken in. Now say whose they are.",
            len(kept),
        )
        messages.success(request, text % {"n": len(kept)})
        if len(kept) == 1:
            return redirect("pictures:picture-detail", kept[0].public_id)
        return redirect(f"{reverse('pictures:picture-list')}?needs={NEEDS_CONSENT}")
    return _upload_page(request, form, results, status=422)


def _upload_page(request, form, results=(), status=200):
    most = settings.REQUEST_BODY_LIMIT // 1024**2
    context = {
        "form": form,
        "results": results,
        "most": most,
        "most_bytes": MOST_BYTES,
    }
    return render(request, "pictures/picture_new.html", context, status=status)


@require_http_methods(["GET", "POST"])
def picture_detail(request, public_id):
    """The photograph, what is known of it, and what can be done with it."""
    picture = mine(request, public_id)
    start = _start_from(request, picture) if request.method == "GET" else {}
    form = DetailsForm(request.POST or None, instance=picture, initial=start)
    if request.method == "POST" and form.is_valid():
        agreed = form.cleaned_data.get("agreed", False)
        picture = services.describe(
            picture,
            by=request.user,
            now=timezone.now(),
            agreed=agreed,
            **form.details(),
        )
        return _after_describing(request, picture)
    # A form that was refused has written what was typed to its own picture.
    context = {
        "form": form,
        "picture": mine(request, public_id) if form.is_bound else picture,
        "tools": changing.OFFERS.values(),
    }
    status = 422 if form.is_bound else 200
    return render(request, "pictures/picture_detail.html", context, status=status)


def _start_from(request, picture) -> dict:
    """Rights of the photograph described before, where this one's are not known; to be checked."""
    try:
        before = uuid.UUID(request.GET.get("as", ""))
    except ValueError:
        return {}
    found = Picture.objects.editable_by(request.user).filter(public_id=before).first()
    if found is None or picture.consent_at is not None:
        return {}
    names = ("credit", "rights_holder", "licence", "consent_until")
    return {name: getattr(picture, name) or getattr(found, name) for name in names}


def _after_describing(request, picture):
    """On to the next that needs consent, where the mentor asked for that."""
    messages.success(
        request,
        _("Saved. Your club can use the photograph.")
        if picture.is_cleared
        else _("Saved. Until right and consent are given only you see it."),
    )
    waiting = Picture.objects.editable_by(request.user).needing_consent()
    following = waiting.exclude(pk=picture.pk).first()
    if "next" in request.POST and following:
        path = reverse("pictures:picture-detail", args=[following.public_id])
        return redirect(f"{path}?as={picture.public_id}")
    return redirect("pictures:picture-detail", picture.public_id)


@require_http_methods(["GET", "POST"])
def picture_change(request, public_id, tool):
    """Shows what a tool would make of the photograph, then does it."""
    picture = mine(request, public_id)
    if tool not in changing.OFFERS:
        raise Http404
    try:
        return _change(request, picture, changing.OFFERS[tool])
    except FileNotFoundError:  # withdrawn between the query and the reading
        raise Http404 from None


def _change(request, picture, offer):
    if not picture.may_be_changed:
        messages.error(request, _("Its licence does not allow changed copies."))
        return redirect("pictures:picture-detail", picture.public_id)
    size = changing.largest_size(picture)
    form = offer.form(request.POST or None, edition=picture.edition, size=size)
    context = {"form": form, "picture": picture, "offer": offer}
    if request.method == "POST" and form.is_valid():
        if request.POST.get("do") == "keep":
            return _kept(request, picture, form)
        context["preview"] = changing.preview(picture, form.tool())
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "pictures/picture_change.html", context, status=status)


def _kept(request, picture, form):
    try:
        changing.change(picture, form.tool(), edition=form.cleaned_data["edition"])
        messages.success(request, _("The photograph is changed."))
    except ValidationError as error:
        messages.error(request, error.messages[0])
        if error.code == "withdrawn":
            return redirect("pictures:picture-list")
    return redirect("pictures:picture-detail", picture.public_id)


@require_http_methods(["GET", "POST"])
def picture_landmarks(request, public_id):
    """Landmarks on the photograph, and the angles and ratios that follow from them."""
    picture = mine(request, public_id)
    form = LandmarksForm(
        request.POST or None, edition=picture.edition, landmarks=picture.landmarks
    )
    if request.method == "POST" and form.is_valid():
        edition = form.cleaned_data["edition"]
        try:
            services.place_landmarks(picture, form.landmarks(), edition=edition)
        except ValidationError as error:
            messages.error(request, error.messages[0])
        return redirect("pictures:picture-landmarks", picture.public_id)
    found = measured(picture.landmarks, picture.width, picture.height)
    context = {
        "form": form,
        "picture": picture,
        "measurements": [
            {"measurement": one, "points": [NAMES[name] for name in one.points]}
            for one in found.values()
        ],
        "lines": [] if form.is_bound else _lines(picture.landmarks, found),
    }
    status = 422 if form.is_bound else 200
    return render(request, "pictures/picture_landmarks.html", context, status=status)


def _lines(landmarks, found) -> list[tuple[list, list]]:
    """What the angles are measured along, each line once; four points are two lines apart."""
    pairs = {
        tuple(sorted(pair)): None
        for one in found.values()
        if one.unit == DEGREES
        for pair in list(pairwise(one.points))[:: 2 if len(one.points) == 4 else 1]
    }
    return [tuple(landmarks["points"][name] for name in pair) for pair in pairs]
