"""What a page's script is told when it saves a class's dogs or key in the background."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.http import JsonResponse
from django.utils.translation import gettext as _

from quizzes.exercises import EditedElsewhere
from quizzes.models import Revision
from trainer.http import said_saved


def kept_in_background(revision: Revision) -> JsonResponse:
    """The version to send next, and when it was saved."""
    return JsonResponse({"version": revision.version, "said": said_saved()})


def refused_in_background(refusal: ValidationError) -> JsonResponse:
    """Why nothing was saved; the page's button shows the rest."""
    if isinstance(refusal, EditedElsewhere):
        said = _("Somebody saved this meanwhile. Press Save to see both.")
        return JsonResponse({"said": said}, status=409)
    said = _("Not saved: %(why)s") % {"why": refusal.messages[0]}
    return JsonResponse({"said": said}, status=422)
