"""An examination from memory that was handed in: unsafe orders first, then what went otherwise, and why."""

from __future__ import annotations

from itertools import groupby

from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.kinds import kind_of
from quizzes.kinds.examination.content import (
    FIND,
    GAP,
    SENSE,
    ExamAnswer,
    ExamContent,
    ExamKey,
)
from quizzes.kinds.examination.grading import (
    order_graded,
    right_places,
    sense_points,
)
from quizzes.kinds.examination.safety import Unsafe, unsafe_orders
from quizzes.kinds.placing.places import ordinal
from quizzes.words import halves, how_often
from trainer.study.models import Step

MOST_NAMED = 3


def result_page(request, attempt, grades):
    """What is unsafe, the headline, each step that stood elsewhere, then the other parts."""
    revision = attempt.revision
    content, key = ExamContent.read(revision.content), ExamKey.read(revision.key)
    answer = ExamAnswer.read(attempt.answer)
    by_revision = {grade.revision_id: grade for grade in grades}
    grade = by_revision[attempt.revision_id]
    later = [g for g in grades if g.revision_id > attempt.revision_id]
    context = {
        "attempt": attempt,
        "revision": revision,
        "kind": kind_of(revision),
        "grade": grade,
        "later": max(later, key=lambda g: g.revision_id, default=None),
        "agreed": halves(grade.pairs_agreed),
        "is_own": attempt.trainee_id == request.user.pk,
        "order": ordered(content, key, answer) if "order" in content.asked else None,
        "random": how_often(grade.chance),
        "others": others(grade),
        "senses": senses(content, key, answer) if SENSE in content.asked else None,
        "finds": finds(content, key, answer) if FIND in content.asked else None,
        # A room leaves it out where it would give away the order.
        "gap": gap(content, key, answer)
        if GAP in content.asked and attempt.shown.get("gap")
        else None,
    }
    return render(request, "quizzes/examination/result.html", context)


def others(grade) -> dict | None:
    """The answers beside the order, counted."""
    found = grade.result["others"]
    if not found["of"]:
        return None
    return {
        "reached": halves(found["reached"]),
        "of": found["of"],
        "random": how_often(found["chance"]),
    }


def ordered(content: ExamContent, key: ExamKey, answer: ExamAnswer) -> dict:
    """The order compared: unsafe first, the steps to move, and the two orders side by side."""
    graded, names = order_graded(key, answer.order), content.names
    places = {step: n for n, step in enumerate(answer.order, start=1)}
    moved = set(graded.moved)
    return {
        "unsafe": _unsafe(key, answer.order, names),
        "left_out": [_told(key, names, step) for step in graded.left_out],
        "moved": [
            {**_told(key, names, step), "yours": ordinal(places[step])}
            for step in key.order
            if step in moved
        ],
        "placed": len(answer.order),
        "tau": graded.tau,
        "rows": [
            {
                "name": names.get(step, ""),
                "theirs": _place(key, step),
                "yours": ordinal(places[step]) if step in places else "",
                "moved": step in moved,
            }
            for step in key.order
        ],
    }


def _place(key: ExamKey, step: str) -> str:
    """The step's place in the key; "3rd or 4th" where it may change places."""
    group = key.groups[key.group_of[step]]
    first = key.order.index(group[0]) + 1
    if len(group) == 1:
        return ordinal(first)
    values = {"first": ordinal(first), "last": ordinal(first + len(group) - 1)}
    return _("%(first)s to %(last)s") % values


def _told(key: ExamKey, names, step: str) -> dict:
    """A step with its place in the key, what it stands between, why, and its caution."""
    known, at = key.of(step), key.order.index(step)
    above = names.get(key.order[at - 1], "") if at else ""
    below = names.get(key.order[at + 1], "") if at + 1 < len(key.order) else ""
    return {
        "id": step,
        "name": names.get(step, ""),
        "theirs": _place(key, step),
        "above": above,
        "below": below,
        "why": known.why,
        "instruction": known.instruction,
        "caution": known.caution,
    }


def _unsafe(key: ExamKey, order, names) -> list[dict]:
    """What is unsafe, rule by rule; a caution is shown where it is first about a step."""
    by_rule = groupby(unsafe_orders(key, order), lambda one: one.rule.slug)
    told, shown = [], set()
    for _rule, found in by_rule:
        one = _unsafe_said(list(found), key, names)
        one["cautions"] = [text for text in one["cautions"] if text not in shown]
        shown.update(one["cautions"])
        told.append(one)
    return told


def _unsafe_said(found: list[Unsafe], key: ExamKey, names) -> dict:
    """All that breaks one rule: what it is, which steps, why, and the cautions of those that wait for it."""
    rule = found[0].rule
    lines, about = [], set()
    for one in found:
        first = [names.get(step, "") for step in one.first]
        then = [names.get(step, "") for step in one.then]
        text = (
            _("%(first)s left out, and hands on all the same: %(then)s.")
            if one.is_left_out
            else _("%(then)s before %(first)s.")
        )
        values = {"first": _listed(first), "then": _listed(then)}
        lines.append(text % values)
        about |= set(one.first if rule.needed else one.then)
    cautions = [key.of(step).caution for step in key.order if step in about]
    return {
        "said": rule.said,
        "lines": lines,
        "why": rule.why,
        "cautions": [caution for caution in cautions if caution],
    }


def _listed(names: list[str]) -> str:
    """ "“A”, “B”, “C” and 4 more"; names have commas of their own."""
    more = len(names) - MOST_NAMED
    quoted = [_("“%(name)s”") % {"name": name} for name in names]
    if more <= 1:
        return ", ".join(quoted)
    text = ngettext("%(names)s and %(n)s more", "%(names)s and %(n)s more", more)
    return text % {"names": ", ".join(quoted[:MOST_NAMED]), "n": more}


def senses(content: ExamContent, key: ExamKey, answer: ExamAnswer) -> dict:
    """By eye or by hand: how many are the same, and the others in the key's order."""
    names, said = content.names, answer.senses
    otherwise = [step for step in key.order if said.get(step) != key.of(step).sense]
    return {
        "same": len(key.order) - len(otherwise),
        "of": len(key.order),
        "otherwise": [
            {
                "name": names[step],
                "yours": Step.Sense(said[step]).label if step in said else "",
                "theirs": Step.Sense(key.of(step).sense).label,
                "half": sense_points(key.of(step).sense, said.get(step, "")) > 0
                and step in said,
                "instruction": key.of(step).instruction,
            }
            for step in otherwise
        ],
    }


def finds(content: ExamContent, key: ExamKey, answer: ExamAnswer) -> list[dict]:
    """What to find, step by step; where it was otherwise, at which step that is found."""
    belongs = {known.find: step for step, known in key.steps.items() if known.find}
    rows = []
    for step in key.order:
        if step not in answer.finds:
            continue
        said, right = answer.finds[step], key.of(step).find
        rows.append(
            {
                "name": content.names[step],
                "right": said == right,
                "yours": content.finds[said],
                "theirs": content.finds[right],
                "belongs": content.names.get(belongs.get(said, ""), ""),
            }
        )
    return rows


def gap(content: ExamContent, key: ExamKey, answer: ExamAnswer) -> dict:
    """The missing step: which, where, and the stretch with it in its place."""
    names, shown = content.names, content.gap.shown
    places = right_places(content, key)
    at = places[0] if places else 0
    return {
        "right_step": answer.gap == key.gap,
        "right_place": answer.after in places,
        "yours": names.get(answer.gap, ""),
        "your_place": _between(shown, names, answer.after),
        "told": _told(key, names, key.gap),
        "whole": [
            *((names[step], False) for step in shown[:at]),
            (names.get(key.gap, ""), True),
            *((names[step], False) for step in shown[at:]),
        ],
    }


def _between(shown, names, after: int) -> str:
    if after < 0:
        return ""
    if after == 0:
        return _("before “%(below)s”") % {"below": names[shown[0]]}
    if after >= len(shown):
        return _("after “%(above)s”") % {"above": names[shown[-1]]}
    values = {"above": names[shown[after - 1]], "below": names[shown[after]]}
    return _("between “%(above)s” and “%(below)s”") % values
