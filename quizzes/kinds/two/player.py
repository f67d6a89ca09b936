"""Choosing: one pair a page, each choice stored once, the result after the last one."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from quizzes import attempts, plates
from quizzes.drawing.dogs import THEMES, look_of
from quizzes.drawing.kept import kept
from quizzes.kinds.placing.pictures import svg
from quizzes.kinds.two.answering import Run
from quizzes.kinds.two.content import PairsContent
from quizzes.kinds.two.drawable import said
from quizzes.models import Attempt
from quizzes.words import whole_number

SLUG = "two"


def run_of(attempt: Attempt) -> Run:
    content = PairsContent.read(attempt.revision.content)
    return Run.of(content, attempt.shown, attempt.answer)


def shown(attempt, number: int, pair, *, measured=False) -> list[dict]:
    """Both dogs of a pair for a page: nothing in words or address tells them apart."""
    names = (_("The first dog"), _("The second dog"))
    _left, _top, wide, high = _box(pair.dogs, view_of(attempt))
    return [
        {
            "side": side,
            "width": round(4 * wide),
            "height": round(4 * high),
            "name": names[side],
            "alt": f"{names[side]}. {plates.neutral_text(dog.dog, view_of(attempt))}",
            **_addresses(attempt, number, side, measured),
        }
        for side, dog in enumerate(pair.dogs)
    ]


def view_of(attempt) -> str:
    return attempt.revision.content["view"]


def _addresses(attempt, number, side, measured) -> dict:
    path = reverse("quizzes:two-plate", args=[attempt.pk, number, side])
    more = "&measured=1" if measured else ""
    return {theme: f"{path}?theme={theme}{more}" for theme in THEMES}


def answer_page(request, attempt, *, errors=(), status=200):
    """The pair that is next; once all are answered, the way to the result."""
    run = run_of(attempt)
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "content": run.content,
        "asked": said(run.content),
        "run": run,
        "dogs": [] if run.is_whole else shown(attempt, run.number, run.pairs[-1]),
        "errors": errors,
    }
    response = render(request, "quizzes/two/answer.html", context, status=status)
    # The back button asks again, and finds the pair that is next.
    response["Cache-Control"] = "no-store, private"
    return response


def open_attempt(request, pk) -> Attempt:
    """The person's own attempt at pairs."""
    mine = Attempt.objects.answerable_by(request.user).for_player()
    return get_object_or_404(mine, pk=pk, revision__exercise__kind=SLUG)


@require_POST
def choose(request, pk):
    """Store the choice in the pair that the page showed; one that is stored already stays."""
    attempt, now = open_attempt(request, pk), timezone.now()
    number = whole_number(request.POST.get("pair", ""))
    choice = request.POST.get("chosen", "")
    if choice not in ("0", "1") or number < 1:
        errors = [_("Choose one of the two dogs.")]
        return answer_page(request, attempt, errors=errors, status=422)
    try:
        saved = attempts.change_draft(attempt, _choosing(number, int(choice)), now=now)
    except attempts.HandedInAlready:
        return redirect("quizzes:attempt-result", pk=pk)
    run = run_of(saved)
    if run.is_whole:
        try:
            attempts.hand_in(saved, now=now)
        except attempts.InAssessment as refusal:
            return answer_page(request, saved, errors=refusal.messages, status=422)
        return redirect("quizzes:attempt-result", pk=pk)
    if number != run.number - 1:
        messages.info(request, _("That pair was answered already; this one is next."))
    return redirect(reverse("quizzes:attempt-answer", args=[pk]) + "#pair")


def _choosing(number: int, choice: int):
    """The change of the answer: another press for a pair that is answered changes nothing."""

    def changed(attempt):
        run = run_of(attempt)
        if number != run.number or run.is_whole:
            return attempt.answer
        return run.with_choice(choice).document()

    return changed


@require_safe
def plate(request, pk, number, side):
    """A dog of a pair that was answered or is next, for whoever may see the attempt; measured afterwards."""
    visible = Attempt.objects.visible_to(request.user).for_player()
    attempt = get_object_or_404(visible, pk=pk, revision__exercise__kind=SLUG)
    theme = request.GET.get("theme", "light")
    run = run_of(attempt)
    if theme not in THEMES or side > 1 or not 1 <= number <= len(run.pairs):
        raise Http404
    told = request.GET.get("measured") == "1" and _may_be_told(request.user, attempt)
    measures = [run.content.measure] if told and run.content.measure else []
    return svg(drawn(run.content, run.pairs[number - 1].dogs, side, theme, measures))


def _may_be_told(user, attempt) -> bool:
    """Once it is handed in, and not what an assessment still asks of the person."""
    mine = Attempt.objects.filter(pk=attempt.pk).told_to(user)
    return attempt.is_handed_in and mine.exists()


def _box(dogs, view: str):
    return plates.view_box([one.dog for one in dogs], view)


def drawn(content: PairsContent, dogs, side: int, theme: str, measures=()) -> bytes:
    """One of two dogs, in the frame that holds both."""
    view, dog = content.view, dogs[side]
    box = _box(dogs, view)
    form = ["pair", look_of(content.breed, dog), box, view, theme, *measures]
    return kept(
        form, lambda: plates.draw(dog.dog, view, theme, box=box, measures=measures)
    )
