"""The mentor's page of a sheet: its rows with their key. Every button saves all, then does what it says."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from quizzes import exercises
from quizzes.kinds import REGISTERED, kind_named
from quizzes.kinds.placing.builder import draft_to_edit, sent_version
from quizzes.kinds.sheets.forms import NewSheetForm, SheetForm
from quizzes.kinds.sheets.kind import MOST_ROWS, SheetKind
from quizzes.kinds.sheets.player import rows_to_ask
from quizzes.kinds.sheets.rows import Sheet
from quizzes.models import Exercise, Revision


def sheet_kind(slug: str) -> SheetKind:
    """The kind of that name if it asks on a sheet. Raises Http404."""
    if slug in REGISTERED and isinstance(kind := kind_named(slug), SheetKind):
        return kind
    raise Http404


@require_http_methods(["GET", "POST"])
def sheet_new(request, slug):
    """Title and module; then on to the rows."""
    kind = sheet_kind(slug)
    form = NewSheetForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        draft = _begun(kind, form, by=request.user)
        return redirect("quizzes:sheet-rows", pk=draft.exercise_id)
    context = {
        "kind": kind,
        "form": form,
        "can_begin": form.fields["module"].queryset.exists(),
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/sheets/new.html", context, status=status)


@transaction.atomic
def _begun(kind, form, *, by) -> Revision:
    draft = exercises.new_exercise(
        form.cleaned_data["module"],
        kind=kind.slug,
        by=by,
        fields=form.revision_fields(),
        size=1,
        places=None,
    )
    sheet, key = kind.begin_with(draft.module_revision)
    return exercises.save_revision(
        draft, by=by, version=draft.version, **kind.stored(sheet, key)
    )


def draft_of_sheet(request, pk) -> tuple[SheetKind, Revision]:
    """The draft of an exercise of such a kind that the person may edit. Raises Http404."""
    mine = Exercise.objects.editable_by(request.user)
    kind = sheet_kind(get_object_or_404(mine, pk=pk).kind)
    return kind, draft_to_edit(request, pk, kind.slug)


@require_http_methods(["GET", "POST"])
def sheet_rows(request, pk):
    """What the sheet is called, its rows, and what the key says of each."""
    kind, draft = draft_of_sheet(request, pk)
    page = RowsPage(request, kind, draft)
    if request.method == "POST" and page.is_valid():
        try:
            page.save()
        except ValidationError as error:
            page.form.add_error(None, error)
            page.is_conflict = isinstance(error, exercises.EditedElsewhere)
        else:
            return page.onward()
    return page.render()


class RowsPage:
    """The page's forms, what is sent in them, and what its buttons do."""

    def __init__(self, request, kind: SheetKind, draft: Revision):
        self.request, self.kind, self.draft = request, kind, draft
        self.posted = request.POST if request.method == "POST" else None
        self.sheet, self.key = kind.sheet(draft.content), kind.key(draft.key)
        initial = {"mixed": self.sheet.mixed}
        self.form = SheetForm(self.posted, instance=draft, initial=initial)
        self.rows = [self._row_form(row) for row in self._rows_shown()]
        self.is_conflict = False

    def _rows_shown(self):
        """The rows that are stored, or those that the page was sent with, in its order."""
        if self.posted is None:
            return self.sheet.rows
        stored = self.sheet.by_id
        sent = dict.fromkeys(self.posted.getlist("row")[:MOST_ROWS])
        return [
            stored.get(pk) or self.kind.asked(id=pk)
            for pk in sent
            if pk.isalnum() and len(pk) <= 20
        ]

    def _row_form(self, row):
        known = self.kind.known_of(self.key, row)
        module = self.draft.module_revision
        return self.kind.form(self.posted, row=row, known=known, module=module)

    def is_valid(self) -> bool:
        rows = [form.is_valid() for form in self.rows]
        return self.form.is_valid() and all(rows)

    @property
    def action(self) -> tuple[str, str]:
        do, _colon, row = self.posted.get("do", "save").partition(":")
        return do, row

    def save(self) -> None:
        """Keep the page with what its button changes. Raises ValidationError."""
        rows = self._changed([form.sent_row() for form in self.rows])
        key = {form.row.id: form.sent_known() for form in self.rows}
        mixed = self.form.cleaned_data["mixed"]
        sheet = Sheet(tuple(rows), mixed, self.sheet.more)
        if self.action[0] == "copy":
            user = self.request.user
            sheet = self.kind.with_added(sheet, self.posted, user, self.draft)
        exercises.save_revision(
            self.draft,
            by=self.request.user,
            version=sent_version(self.request),
            **self.form.revision_fields(),
            **self.kind.stored(sheet, key),
        )

    def _changed(self, rows: list) -> list:
        do, pk = self.action
        at = next((n for n, row in enumerate(rows) if row.id == pk), None)
        if do == "add":
            if len(rows) >= MOST_ROWS:
                text = _("A sheet has at most %(n)s rows.")
                raise ValidationError(text, code="rows", params={"n": MOST_ROWS})
            return [*rows, self.kind.asked()]
        if at is None:
            return rows
        if do == "out":
            return rows[:at] + rows[at + 1 :]
        to = min(max(at + {"up": -1, "down": 1}.get(do, 0), 0), len(rows) - 1)
        rows.insert(to, rows.pop(at))
        return rows

    def onward(self):
        """To the page, and the row, that the pressed button names."""
        do, row = self.action
        pk = self.draft.exercise_id
        if do == "pictures" and row in self.kind.items(self.draft.content):
            return redirect("quizzes:sheet-pictures", pk=pk, row=row)
        if do == "publish":
            manage = reverse("quizzes:exercise-manage", args=[pk], fragment="before")
            messages.success(self.request, _("Saved."))
            return redirect(manage)
        said = _("Taken out and saved.") if do == "out" else _("Saved.")
        messages.success(self.request, said)
        where = {
            "add": "last-row",
            "copy": "last-row",
            "up": f"row-{row}",
            "down": f"row-{row}",
        }
        fragment = where.get(do, "")
        return redirect(reverse("quizzes:sheet-rows", args=[pk], fragment=fragment))

    def render(self):
        refused = self.posted is not None
        look = self.kind.draft_look(self.draft)
        for form in self.rows:
            form.look = look.get(form.row.id, {})
        context = {
            "kind": self.kind,
            "revision": self.draft,
            "form": self.form,
            "rows": self.rows,
            "row_errors": [one for form in self.rows for one in form.summary_errors]
            if refused
            else [],
            "version": self._version(),
            "unsaved": refused,
            "most": MOST_ROWS,
            "to_add": self.kind.to_add(self.request.user, self.draft),
        }
        status = 422 if refused else 200
        return render(self.request, "quizzes/sheets/rows.html", context, status=status)

    def _version(self) -> int:
        """After a refusal for somebody else's save, saving again keeps what is on the page."""
        if self.is_conflict:
            fresh = Revision.objects.values_list("version", flat=True)
            return fresh.get(pk=self.draft.pk)
        sent = self.posted and self.posted.get("version", "")
        return int(sent) if sent and sent.isdecimal() else self.draft.version


@require_safe
def sheet_print(request, pk):
    """The sheet on paper, and the key on a page of its own."""
    kind, draft = draft_of_sheet(request, pk)
    sheet, key = kind.sheet(draft.content), kind.key(draft.key)
    shown = kind.on_paper(draft.content)
    context = {
        "kind": kind,
        "revision": draft,
        "asked": rows_to_ask(kind, draft.content, shown, {}, kind.draft_look(draft)),
        "ask": f"quizzes/{kind.slug}/_ask.html",
        "answers": [
            {
                "named": kind.named(row),
                "said": kind.key_said(row, known),
                "why": known.why,
            }
            for row in sheet
            for known in [kind.known_of(key, row)]
        ],
    }
    return render(request, "quizzes/sheets/print.html", context)
