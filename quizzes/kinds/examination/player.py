"""Answering an examination from memory: what the form sends, its buttons, the page.

Where the missing step is asked as well as the order, it comes on a second page: the stretch that it shows gives
away part of the order, so the first page is closed before.
"""

from __future__ import annotations

from dataclasses import replace

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from quizzes.kinds import kind_of
from quizzes.kinds.examination.content import (
    FIND,
    GAP,
    ORDER,
    SENSE,
    ExamAnswer,
    ExamContent,
)
from quizzes.kinds.examination.grading import SENSES
from quizzes.kinds.examination.kind import missing_first
from quizzes.kinds.placing.places import ordinal
from trainer import offline
from trainer.study.models import Step

MOVES = ("up", "down", "next")


def sent_answer(attempt, post) -> dict:
    """The answer that the form holds, with what its button does; a page that is closed stays as it is."""
    content = ExamContent.read(attempt.revision.content)
    stored = ExamAnswer.read(attempt.answer)
    answer = stored if stored.sealed else first_page(content, attempt.shown, post)
    if stored.sealed or not content.in_two:
        answer = with_gap(content, answer, post)
    if post.get("do") == "go-on" and not missing_first(content, answer):
        answer = replace(answer, sealed=content.in_two)
    return answer.document()


def first_page(content: ExamContent, shown, post) -> ExamAnswer:
    order = _numbered(shown["order"], post) if ORDER in content.asked else []
    do, _colon, step = post.get("do", "").partition(":")
    if do in MOVES and ORDER in content.asked and step in content.names:
        order = _moved(order, do, step)
    options = {one.step: one.options for one in content.to_find}
    return ExamAnswer(
        order=tuple(order),
        left="a-left" in post,
        senses=_chosen(post, "a-sense-", dict.fromkeys(content.names, SENSES))
        if SENSE in content.asked
        else {},
        finds=_chosen(post, "a-find-", options) if FIND in content.asked else {},
    )


def _numbered(steps, post) -> list[str]:
    """The steps that have a number, by their numbers; the same number twice keeps the page's order."""
    numbers = {}
    for step in steps:
        typed = post.get(f"a-order-{step}", "").strip()
        if typed.isdecimal() and len(typed) < 4 and int(typed):
            numbers[step] = int(typed)
    return sorted(numbers, key=numbers.__getitem__)


def _moved(order: list[str], do: str, step: str) -> list[str]:
    if do == "next":
        return [one for one in order if one != step] + [step]
    if step not in order:
        return order
    at = order.index(step)
    to = min(max(at + (1 if do == "down" else -1), 0), len(order) - 1)
    rest = [one for one in order if one != step]
    return [*rest[:to], step, *rest[to:]]


def _chosen(post, prefix: str, options) -> dict[str, str]:
    """What was chosen for each, as far as it is one of its options."""
    sent = ((one, post.get(f"{prefix}{one}", "")) for one in options)
    return {one: value for one, value in sent if value in options[one]}


def with_gap(content: ExamContent, answer: ExamAnswer, post) -> ExamAnswer:
    step, after = post.get("a-gap", ""), post.get("a-after", "")
    places = [str(n) for n in range(len(content.gap.shown) + 1)]
    return replace(
        answer,
        gap=step if step in content.gap.options else "",
        after=places.index(after) if after in places else -1,
    )


def saved_page(request, attempt, do: str):
    """After a move back to the step that was moved; after "go on" the second page, or what is missing."""
    name, _colon, step = do.partition(":")
    content, answer = (
        ExamContent.read(attempt.revision.content),
        ExamAnswer.read(attempt.answer),
    )
    if name in MOVES and step in content.names:
        here = reverse(
            "quizzes:attempt-answer", args=[attempt.pk], fragment=f"step-{step}"
        )
        return redirect(here)
    if name != "go-on":
        return None
    if answer.sealed:
        messages.success(request, _("Your first page is kept as it stands."))
        return redirect("quizzes:attempt-answer", pk=attempt.pk)
    missing = missing_first(content, answer)
    return answer_page(request, attempt, errors=missing, status=422)


def answer_page(request, attempt, *, errors=(), status=200, typed=None):
    """The page that is open now, with what is saved or, after a refusal, what was sent."""
    revision = attempt.revision
    content = ExamContent.read(revision.content)
    sealed = ExamAnswer.read(attempt.answer).sealed
    answer = ExamAnswer.read(attempt.answer if typed is None else typed)
    context = {
        "attempt": attempt,
        "revision": revision,
        "kind": kind_of(revision),
        "page": "b" if sealed else "a",
        "goes_on": content.in_two and not sealed,
        "errors": errors,
        "unsaved": typed is not None and typed != attempt.answer,
        **asked_of(content, attempt.shown, answer, sealed=sealed),
    }
    page = render(request, "quizzes/examination/answer.html", context, status=status)
    return offline.keep_to_answer(page, attempt, request.user)


def asked_of(content: ExamContent, shown, answer: ExamAnswer, *, sealed=False) -> dict:
    """The parts that a page asks, with what is answered already."""
    first = not sealed
    return {
        "content": content,
        "answer": answer,
        "ordering": _ordering(content, shown, answer)
        if first and ORDER in content.asked
        else None,
        "senses": _senses(content, shown, answer)
        if first and SENSE in content.asked
        else (),
        "finds": _finds(content, shown, answer)
        if first and FIND in content.asked
        else (),
        "gap": _gap(content, shown, answer)
        if GAP in content.asked and (sealed or not content.in_two)
        else None,
    }


def _ordering(content, shown, answer) -> dict:
    names = content.names
    waiting = [step for step in shown["order"] if step not in answer.order]
    return {
        "placed": [
            {"id": step, "name": names[step], "place": n}
            for n, step in enumerate(answer.order, start=1)
            if step in names
        ],
        "waiting": [{"id": step, "name": names[step], "place": ""} for step in waiting],
        "next": ordinal(len(answer.order) + 1),
        "of": len(names),
        "ordinals": [ordinal(n) for n in range(1, len(names) + 1)],
    }


def _senses(content, shown, answer) -> list[dict]:
    return [
        {
            "field": f"a-sense-{step}",
            "name": content.names[step],
            "value": answer.senses.get(step),
            "choices": [(sense, Step.Sense(sense).label) for sense in SENSES],
        }
        for step in shown["order"]
    ]


def _finds(content, shown, answer) -> list[dict]:
    return [
        {
            "field": f"a-find-{step}",
            "name": content.names[step],
            "value": answer.finds.get(step),
            "choices": [(one, content.finds[one]) for one in shown["options"][step]],
        }
        for step in shown["to_find"]
    ]


def _gap(content, shown, answer) -> dict:
    names, stretch = content.names, content.gap.shown
    return {
        "choices": [(step, names[step]) for step in shown["gap"]],
        "step": answer.gap,
        "rows": [
            {
                "after": after,
                "above": names[stretch[after - 1]] if after else "",
                "below": names[stretch[after]] if after < len(stretch) else "",
            }
            for after in range(len(stretch) + 1)
        ],
        "after": answer.after,
    }
