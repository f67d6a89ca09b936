"""The roster from a table, looked at before it is taken in, and as a table to take away."""

from __future__ import annotations

from django.contrib import messages
from django.core import signing
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from trainer.seminars import hours, roster_table, services
from trainer.seminars.roster import hours_of
from trainer.seminars.rostrum import led
from trainer.seminars.workbook import MOST_BYTES

SALT = "roster"
VALID_SECONDS = 3600


@require_http_methods(["GET", "POST"])
def roster_import(request, pk):
    """Read a table and show what it would do; then do it."""
    seminar = led(request, pk)
    context = {"seminar": seminar}
    if request.method != "POST":
        return render(request, "seminars/roster_import.html", context)
    if "rows" in request.POST:
        return _taken(request, seminar)
    sent = request.FILES.get("table")
    try:
        if sent is None:
            raise ValidationError(_("Choose a file first."), code="none")
        if sent.size > MOST_BYTES:
            raise ValidationError(_("The table is too large."), code="size")
        context["read"] = found = roster_table.read(sent.read(), seminar)
        stored = {"seminar": pk, "rows": found.rows}
        context["rows"] = signing.dumps(stored, salt=SALT, compress=True)
        status = 200
    except ValidationError as error:
        context["problem"], status = error.messages[0], 422
    return render(request, "seminars/roster_import.html", context, status=status)


def _taken(request, seminar):
    """Add the rows that were shown; who has come onto the roster since is passed over."""
    try:
        stored = signing.loads(request.POST["rows"], salt=SALT, max_age=VALID_SECONDS)
    except signing.BadSignature:
        stored = {}
    if stored.get("seminar") != seminar.pk:
        messages.error(request, _("Choose the file again."))
        return redirect("seminars:roster-import", pk=seminar.pk)
    added = sum(_added(seminar, row) for row in stored["rows"])
    text = ngettext("%(n)s person is added.", "%(n)s people are added.", added)
    messages.success(request, text % {"n": added})
    return redirect("seminars:roster", pk=seminar.pk)


def _added(seminar, row) -> bool:
    if not row["email"] and seminar.attendees.filter(**row).exists():
        return False
    try:
        with transaction.atomic():
            services.add_to_roster(seminar, now=timezone.now(), **row)
    except ValidationError:
        return False
    return True


@require_safe
def roster_table_file(request, pk):
    """Everybody, when they were there, and their hours."""
    seminar, now = led(request, pk), timezone.now()
    parts = list(seminar.sessions.all())
    people = seminar.attendees.prefetch_related("stays").order_by("name", "pk")
    rows = [_row(one, parts, seminar, now) for one in people]
    text = roster_table.as_csv(rows, [part.title for part in parts])
    response = HttpResponse(text, content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="roster-{pk}.csv"'
    return response


def _row(one, parts, seminar, now) -> list:
    stays = list(one.stays.all())
    each, total = hours_of(stays, parts, seminar, now)
    clock = [
        (stay.in_at.astimezone(seminar.zone), stay.out_at, stay.note) for stay in stays
    ]
    return [
        one.name,
        one.email,
        one.number,
        str(one.get_state_display()),
        "; ".join(begin.strftime("%Y-%m-%d %H:%M") for begin, _end, _note in clock),
        "; ".join(
            end.astimezone(seminar.zone).strftime("%Y-%m-%d %H:%M") if end else ""
            for _begin, end, _note in clock
        ),
        "; ".join(note for _begin, _end, note in clock if note),
        *((hours.in_hours(length) for length in each) if parts else ()),
        hours.in_hours(total),
    ]
