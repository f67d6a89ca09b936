"""What an attendee does after a seminar: say what it was like, and see what to practise."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from trainer.seminars import certifying, following, mails
from trainer.seminars.after_forms import FeedbackForm
from trainer.seminars.certificates import run
from trainer.seminars.models import Attendee, Feedback, Seminar
from trainer.study import reading


def _place(request, pk) -> Attendee:
    """One's own place at a seminar that has begun."""
    mine = Attendee.objects.owned_by(request.user).enrolled()
    begun = mine.filter(seminar__starts_at__lte=timezone.now())
    off = Seminar.State.CALLED_OFF
    found = begun.exclude(seminar__state=off).select_related("seminar__club", "person")
    return get_object_or_404(found, seminar=pk)


@require_http_methods(["GET", "POST"])
def feedback(request, pk):
    """Say what it was like, and change it later; the club reads it without the name."""
    place = _place(request, pk)
    said = Feedback.objects.filter(attendee=place).first()
    said = said or Feedback(seminar=place.seminar, attendee=place)
    said.given_at = timezone.now()
    form = FeedbackForm(
        request.POST if request.method == "POST" else None, instance=said
    )
    if form.is_bound and form.is_valid():
        form.save()
        messages.success(request, _("Thank you. The club reads it without your name."))
        return redirect("seminars:practice", pk=pk)
    context = {"seminar": place.seminar, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "seminars/feedback.html", context, status=status)


@require_http_methods(["GET", "POST"])
def practice(request, pk):
    """What to practise next; a button puts it among what is due again."""
    place = _place(request, pk)
    if request.method == "POST":
        if request.user.is_guest:
            raise Http404
        following.put_on_review(place, now=timezone.now())
        messages.success(
            request, _("It comes back when it is time, under what is due again.")
        )
        return redirect("seminars:practice", pk=pk)
    hands = following.hands_of(place)
    known = () if request.user.is_guest else reading.revisions_for_list(request.user)
    context = {
        "seminar": place.seminar,
        "hands": hands,
        "missed": following.missed(hands),
        "reached": {row["module_id"] for row in known},
        "waits": any(hand.noted_at is None for hand in hands),
        "certificate": certifying.valid_of(place),
    }
    return render(request, "seminars/practice.html", context)


@require_http_methods(["GET", "POST"])
def remind(request, pk):
    """How many would hear of it; then remind them."""
    seminar, now = run(request, pk), timezone.now()
    is_coming = seminar.is_announced and seminar.ends_at >= now
    if request.method == "POST" and is_coming:
        try:
            n = mails.remind(seminar, request.build_absolute_uri, now=now)
        except OSError:
            messages.error(
                request, _("The mails could not be sent now. Try it again later.")
            )
        else:
            text = ngettext("%(n)s is reminded.", "%(n)s are reminded.", n)
            messages.success(request, text % {"n": n})
        return redirect("seminars:remind", pk=pk)
    enrolled = seminar.attendees.enrolled()
    by_itself = mails.reminded_from(seminar) if seminar.remind_days else None
    context = {
        "by_itself": by_itself if by_itself and by_itself > now else None,
        "seminar": seminar,
        "is_coming": is_coming,
        "to_remind": mails.to_remind(seminar).count(),
        "reminded": enrolled.exclude(reminded_at=None).count(),
        "no_address": enrolled.filter(email="").count(),
    }
    return render(request, "seminars/remind.html", context)
