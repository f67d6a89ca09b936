"""What becomes of an exercise's revisions: begun anew, offered for review, withdrawn, compared."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from quizzes import exercises
from quizzes.kinds import kind_of
from quizzes.models import Exercise, Revision
from quizzes.panels.blind import unless_asked
from trainer.study.desk.comparing import Change, worded

MOSTLY_THE_SAME = 0.5
"""Share of the words that two texts have in common, from which they are shown as one."""
FIELDS = ("title", "note", "difficulty", "pace_seconds")


def revisions_of(request, pk):
    """The revisions of an exercise of a mentor, the latest first."""
    mine = Revision.objects.editable_by(request.user).filter(exercise=pk)
    return mine.select_related("exercise__module__breed", "exercise__club")


@require_POST
def begin(request, pk):
    """A draft of the next revision, like the last one."""
    exercise = get_object_or_404(Exercise.objects.editable_by(request.user), pk=pk)
    exercises.draft_of(exercise, by=request.user)
    return redirect("quizzes:exercise-manage", pk=pk)


@require_POST
def offer(request, pk):
    """Offer the draft to the other mentors for review, or offer it no more."""
    drafts = revisions_of(request, pk).filter(state=Revision.State.DRAFT)
    draft = get_object_or_404(drafts)
    try:
        if request.POST.get("do") == "back":
            exercises.take_back(draft)
            messages.success(request, _("It is offered no more."))
        else:
            exercises.offer(draft, by=request.user, now=timezone.now())
            messages.success(
                request,
                _("Offered. The other mentors see it marked so in the workshop."),
            )
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    return redirect("quizzes:exercise-manage", pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
def withdraw(request, pk):
    """Ask whether what is in force is to be withdrawn, then withdraw it."""
    revision = get_object_or_404(revisions_of(request, pk).in_force())
    if request.method == "POST":
        exercises.withdraw(revision)
        text = _("Revision %(n)s of %(title)s is withdrawn.")
        values = {"n": revision.number, "title": revision.title}
        messages.success(request, text % values)
        return redirect("quizzes:exercise-manage", pk=pk)
    return render(request, "quizzes/exercise_withdraw.html", {"revision": revision})


@require_safe
@unless_asked
def compare(request, pk):
    """Any two revisions of an exercise: what changed, in sentences, and every text word by word."""
    revisions = list(revisions_of(request, pk).defer("content", "key"))
    newest = revisions[0] if revisions else get_object_or_404(revisions_of(request, pk))
    newer = _asked(request, "new", revisions) or newest
    before = [one for one in revisions if one.number < newer.number]
    older = _asked(request, "old", revisions) or (before or revisions)[0]
    pair = [revisions_of(request, pk).get(pk=one.pk) for one in (older, newer)]
    context = {
        "revision": newest,
        "revisions": revisions[::-1],
        "older": older,
        "newer": newer,
        "differences": differences(*pair),
        "changes": text_changes(*pair),
    }
    return render(request, "quizzes/exercise_compare.html", context)


def _asked(request, name: str, revisions) -> Revision | None:
    """The revision whose number the address gives under that name."""
    number = request.GET.get(name, "")
    return next((one for one in revisions if str(one.number) == number), None)


def differences(older: Revision, newer: Revision) -> list[str]:
    """What changed from one revision to the other, a sentence each."""
    found = [
        _("%(what)s: %(new)s; it was %(old)s.")
        % {"what": capfirst(label), "new": new, "old": old}
        for label, new, old in _changed_fields(older, newer)
    ]
    documents = ((one.content, one.key) for one in (older, newer))
    return found + kind_of(newer).differences(*documents)


def _changed_fields(older: Revision, newer: Revision):
    for name in FIELDS:
        old, new = getattr(older, name), getattr(newer, name)
        if old != new:
            field = Revision._meta.get_field(name)
            words = dict(field.flatchoices)
            none = _("none")
            yield (
                field.verbose_name,
                words.get(new, new) or none,
                words.get(old, old) or none,
            )


def _words(old: str, new: str) -> Sequence[tuple[str, str]]:
    """Word by word where most of the text stayed; else both texts as they are."""
    alike = SequenceMatcher(a=old.split(), b=new.split(), autojunk=False).ratio()
    if alike >= MOSTLY_THE_SAME:
        return worded(old, new)
    return [(kind, text) for kind, text in (("old", old), ("new", new)) if text]


def text_changes(older: Revision, newer: Revision) -> list[Change]:
    """Every text that both have or one of them has, where it differs, word by word."""
    kind = kind_of(newer)
    before, after = (kind.texts(one.content, one.key) for one in (older, newer))
    found = []
    for key, (label, _text) in {**before, **after}.items():
        old, new = (texts.get(key, (label, ""))[1] for texts in (before, after))
        if old != new:
            found.append(Change(*label, _words(old, new)))
    return found
