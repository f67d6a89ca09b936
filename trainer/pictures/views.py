"""Photographs for those who may see them, and the page that withdraws one."""

from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from trainer import offline
from trainer.clubs.models import Club
from trainer.pictures import services
from trainer.pictures.models import Picture

# The word in the address, and the file it means.
SIZES = {"small": "small", "large": "large", "print": "largest"}
# An hour, so that a photograph that was withdrawn is soon gone from people's machines.
KEPT_SECONDS = 3600
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}


@require_safe
def picture_file(request, public_id, size):
    """The JPEG, under a name that is the same for all."""
    visible = Picture.objects.visible_to(request.user)
    picture = get_object_or_404(visible, public_id=public_id)
    return offline.keep_picture(sent_file(picture, size))


def sent_file(picture: Picture, size: str) -> FileResponse:
    """The JPEG in a size of SIZES, for whoever was found to be allowed to see it."""
    if size not in SIZES:
        raise Http404
    try:
        file = getattr(picture, SIZES[size]).open("rb")
    except FileNotFoundError:
        raise Http404 from None
    response = FileResponse(
        file, content_type="image/jpeg", filename="photograph.jpg", headers=HEADERS
    )
    patch_cache_control(response, private=True, max_age=KEPT_SECONDS)
    return response


@require_http_methods(["GET", "POST"])
def picture_withdraw(request, public_id):
    """Asks once, then takes the photograph out of use everywhere."""
    editable = Picture.objects.editable_by(request.user).select_related("club")
    picture = get_object_or_404(editable, public_id=public_id)
    if request.method == "POST":
        services.withdraw(picture, now=timezone.now(), by=request.user)
        messages.success(request, _("The photograph is withdrawn and erased."))
        teaches = Club.objects.taught_by(request.user).exists()
        return redirect("pictures:picture-list" if teaches else "home")
    return render(request, "pictures/picture_withdraw.html", {"picture": picture})
