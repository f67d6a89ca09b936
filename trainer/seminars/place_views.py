"""One place on the roster: name and address put right, a stay that nobody noted, the person's own link."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from trainer.seminars import services
from trainer.seminars.forms import AttendeeForm, StayForm
from trainer.seminars.models import Attendee, Presence


@require_http_methods(["GET", "POST"])
def place(request, pk, number):
    """Everything about one place that the roster's rows have no room for."""
    mine = Attendee.objects.editable_by(request.user)
    found = mine.select_related("seminar__club", "person")
    held = get_object_or_404(found, seminar=pk, pk=number)
    asked = request.POST.get("do", "") if request.method == "POST" else ""
    person = AttendeeForm(request.POST if asked == "person" else None, instance=held)
    stay = StayForm(request.POST if asked == "stay" else None, stay=_new_stay(held))
    # Whoever is there now is signed in on the roster.
    stay.fields["out_at"].required = True
    if asked == "person" and _kept(request, person, held):
        return redirect("seminars:place", pk=pk, number=number)
    if asked == "stay" and _noted(request, stay, held):
        return redirect("seminars:place", pk=pk, number=number)
    # What was typed stays in the form; the page calls the person as stored.
    held.refresh_from_db()
    context = {
        "seminar": held.seminar,
        "place": held,
        "person_form": person,
        "stay_form": stay,
        "stays": held.stays.select_related("by"),
        "link": request.build_absolute_uri(held.get_absolute_url()),
    }
    status = 422 if asked else 200
    return render(request, "seminars/place.html", context, status=status)


def _new_stay(held: Attendee) -> Presence:
    """From beginning to end, to be put right: most who were not noted were there for all of it."""
    until = min(timezone.now(), held.seminar.ends_at)
    begin = held.seminar.starts_at
    return Presence(attendee=held, in_at=begin, out_at=max(until, begin))


def _kept(request, form, held) -> bool:
    if not form.is_valid():
        return False
    try:
        services.put_right(held, **form.cleaned_data)
    except ValidationError as error:
        form.add_error(None, " ".join(error.messages))
        return False
    messages.success(request, _("Saved."))
    return True


def _noted(request, form, held) -> bool:
    if not form.is_valid():
        return False
    sent = {**form.times(), "note": form.cleaned_data["note"]}
    try:
        services.correct(_new_stay(held), by=request.user, **sent)
    except ValidationError as error:
        form.add_error(None, " ".join(error.messages))
        return False
    messages.success(request, _("Noted, with your reason beside it."))
    return True
