"""An examination from memory made from a module's own sequence, as that stands at the moment."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import replace

from quizzes.kinds.examination.content import (
    FEWEST_FOR_GAP,
    FEWEST_TO_ORDER,
    FIND,
    GAP,
    ORDER,
    SENSE,
    ExamContent,
    ExamKey,
    Gap,
    KnownStep,
    Step,
    ToFind,
)
from quizzes.kinds.examination.safety import marks_in
from quizzes.kinds.sheets.rows import new_row_id

FINDS_ASKED = 6
"""How many steps are asked of what to find, until the mentor says which."""
OPTIONS = 4
STRETCH = 7
"""Steps of the sequence that are shown around the missing one, at most."""


def taken(module, rng: random.Random) -> tuple[ExamContent, ExamKey]:
    """Content and key from the steps of a module's revision, with all parts that they allow."""
    rows = list(module.steps.all())
    ids = [new_row_id(rng) for _row in rows]
    finds = {new_row_id(rng): row.find.strip() for row in rows}
    key = ExamKey(
        order=tuple(ids),
        steps={
            pk: _known(row, find if finds[find] else "")
            for pk, row, find in zip(ids, rows, finds, strict=True)
        },
    )
    # By their ids, which mean nothing, so that the stored order means nothing either.
    steps = sorted(
        (Step(pk, row.name) for pk, row in zip(ids, rows, strict=True)),
        key=lambda one: one.id,
    )
    texts = {pk: finds[pk] for pk in sorted(finds) if finds[pk]}
    content = ExamContent(steps=tuple(steps), finds=texts)
    return with_all_parts(content, key, rng)


def _known(row, find: str) -> KnownStep:
    return KnownStep(
        sense=row.sense,
        find=find,
        instruction=row.instruction,
        caution=row.caution,
        marks=marks_in(row.name),
    )


def with_all_parts(
    content: ExamContent, key: ExamKey, rng
) -> tuple[ExamContent, ExamKey]:
    """With every part that the sequence has enough steps for, drawn anew."""
    asked = [SENSE] if content.steps else []
    if len(key.order) >= FEWEST_TO_ORDER:
        asked.append(ORDER)
    told = [step for step in key.order if key.of(step).find]
    if len(told) >= 2:
        asked.append(FIND)
        picked = set(rng.sample(told, min(FINDS_ASKED, len(told))))
        content = finding(content, key, [step for step in told if step in picked], rng)
    if len(key.order) >= FEWEST_FOR_GAP:
        asked.append(GAP)
        content, key = with_gap(content, key, rng.choice(key.order[1:-1]), rng)
    parts = ExamContent.read({"asked": asked}).asked
    return replace(content, asked=parts), key


def finding(
    content: ExamContent, key: ExamKey, steps: Iterable[str], rng
) -> ExamContent:
    """The content asking for what is found at these steps; what was asked before keeps its choices."""
    before = {one.step: one for one in content.to_find}
    asked = [
        before.get(step) or ToFind(step, _finds(content, key, step, rng))
        for step in steps
    ]
    # In no meaningful order either.
    return replace(content, to_find=tuple(sorted(asked, key=lambda one: one.step)))


def _finds(content: ExamContent, key: ExamKey, step: str, rng) -> tuple[str, ...]:
    """What is found at the step, with what is found elsewhere."""
    own = key.of(step).find
    others = sorted(
        find for find, text in content.finds.items() if text != content.finds[own]
    )
    return tuple(sorted([own, *rng.sample(others, min(OPTIONS - 1, len(others)))]))


def with_gap(
    content: ExamContent, key: ExamKey, step: str, rng
) -> tuple[ExamContent, ExamKey]:
    """The part with that step missing: the steps around it, and others from elsewhere to choose from."""
    if step not in key.order:
        return replace(content, gap=Gap()), replace(key, gap="")
    shown = stretch_around(key.order, step)
    elsewhere = sorted(one for one in key.order if one not in (*shown, step))
    others = rng.sample(elsewhere, min(OPTIONS - 1, len(elsewhere)))
    gap = Gap(shown=shown, options=tuple(sorted([step, *others])))
    return replace(content, gap=gap), replace(key, gap=step)


def stretch_around(order: Sequence[str], step: str) -> tuple[str, ...]:
    """The steps before and after that one; enough stay outside to be chosen from."""
    at, rest = order.index(step), [one for one in order if one != step]
    size = max(min(STRETCH, len(rest) - (OPTIONS - 1)), min(2, len(rest)))
    start = min(max(at - size // 2, 0), len(rest) - size)
    return tuple(rest[start : start + size])


def taken_again(
    module, content: ExamContent, key: ExamKey, rng
) -> tuple[ExamContent, ExamKey]:
    """The sequence as the module has it now; steps of the same name keep what the mentor said of them."""
    fresh, fresh_key = taken(module, rng)
    said = {
        content.names[pk]: known
        for pk, known in key.steps.items()
        if pk in content.names
    }
    kept = {
        pk: replace(known, marks=old.marks, gate=old.gate, why=old.why)
        for pk, known in fresh_key.steps.items()
        for old in [said.get(fresh.names[pk], known)]
    }
    parts = tuple(part for part in fresh.asked if part in content.asked)
    return replace(fresh, asked=parts or fresh.asked), replace(fresh_key, steps=kept)
