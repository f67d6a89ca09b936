"""Writing a critique: the page, saving as it is typed, handing in once."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from quizzes import attempts
from quizzes.kinds.critique.content import Critique, CritiqueContent
from quizzes.kinds.placing.pictures import Pictures
from quizzes.kinds.placing.ring import Card
from quizzes.models import Attempt
from quizzes.words import whole_number
from trainer import offline
from trainer.http import onward, said_saved, wants_json


def dog_card(attempt, content: CritiqueContent, *, told=False) -> Card:
    """The dog as the attempt shows it; told once the answer is in."""
    pictures = Pictures(attempt, content.as_class)
    return Card(
        dog=content.dog,
        armband=content.dog.armband,
        picture=pictures.of(content.dog, told=told),
        views=pictures.more(content.dog),
    )


def answer_page(
    request, attempt, *, errors=(), status=200, typed: Critique | None = None
):
    """The dog, and the sheet to write on.

    typed : what the person wrote, where it is not what is stored
    """
    content = CritiqueContent.read(attempt.revision.content)
    stored = Critique.read(attempt.answer)
    written = typed or stored
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "content": content,
        "card": dog_card(attempt, content),
        "written": written,
        "stored": stored if typed and typed != stored else None,
        "checklist": [
            (at, row, at in written.covered) for at, row in enumerate(content.checklist)
        ],
        "errors": errors,
    }
    page = render(request, "quizzes/critique/answer.html", context, status=status)
    return offline.keep_to_answer(page, attempt, request.user)


def open_attempt(request, pk) -> Attempt:
    """The person's own attempt, with what its page needs and without the key."""
    mine = Attempt.objects.answerable_by(request.user).for_player()
    return get_object_or_404(mine, pk=pk, revision__exercise__kind="critique")


def sent_critique(request) -> tuple[Critique, int]:
    """What the form holds, and the version it was made from."""
    version = whole_number(request.POST.get("version", ""))
    return sent_parts(request.POST), version


def sent_parts(post) -> Critique:
    """Words and ticks as the form sends them."""
    ticked = (at for at in post.getlist("covered") if at.isdecimal())
    covered = tuple(int(at) for at in ticked if len(at) < 4)
    text = post.get("text", "").replace("\r\n", "\n").strip()
    return Critique(text, covered)


@require_POST
def write(request, pk):
    """Keep what the form holds; hand it in as well if that was pressed.

    409 when another window has saved something else since: the page then has both.
    """
    attempt, now = open_attempt(request, pk), timezone.now()
    typed, version = sent_critique(request)
    try:
        saved = attempts.save_draft(attempt, typed.document(), version=version, now=now)
        if request.POST.get("do") == "hand-in":
            attempts.hand_in(saved, now=now)
            return onward(request, "quizzes:attempt-result", pk)
    except attempts.HandedInAlready as error:
        return _handed_in_already(request, pk, typed, error)
    except ValidationError as error:
        changed = isinstance(error, attempts.ChangedElsewhere)
        return _refused(request, pk, typed, error, status=409 if changed else 422)
    if wants_json(request):
        return JsonResponse({"version": saved.version, "said": said_saved()})
    messages.success(request, _("Saved. You can stop here and come back."))
    return redirect("quizzes:attempt-answer", pk=pk)


def _handed_in_already(request, pk, typed: Critique, error):
    """A second press finds the first one's result; words that came too late are said to be lost."""
    if wants_json(request) and request.POST.get("do") == "hand-in":
        return onward(request, "quizzes:attempt-result", pk)
    if wants_json(request):
        return JsonResponse({"said": error.messages[0]}, status=409)
    handed_in = Critique.read(open_attempt(request, pk).answer)
    if typed.text != handed_in.text:
        messages.warning(request, _("It was handed in already, as it stands here."))
    return redirect("quizzes:attempt-result", pk=pk)


def _refused(request, pk, typed, error, *, status):
    if wants_json(request):
        said = error.messages[0]
        if status == 409:
            said = _("Changed in another window. Press “Save” to see both.")
        return JsonResponse({"said": said}, status=status)
    return answer_page(
        request,
        open_attempt(request, pk),
        errors=error.messages,
        status=status,
        typed=typed,
    )
