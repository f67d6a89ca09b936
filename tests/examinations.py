"""Examinations from memory, as the demo has them, of a module with a few steps."""

import random
from dataclasses import replace

from django.utils import timezone

from quizzes.attempts import begin, hand_in
from quizzes.demo_examinations import right
from quizzes.kinds.examination.content import ExamContent, ExamKey, KnownStep
from quizzes.kinds.examination.safety import marks_in
from quizzes.kinds.examination.taking import taken
from tests.factories import (
    ExerciseFactory,
    ModuleFactory,
    RevisionFactory,
    StepFactory,
)

STEPS = (
    ("Stand back", "eye", "proportion"),
    ("Approach", "eye", "how it meets a stranger"),
    ("First touch", "hand", "whether it accepts the hand"),
    ("Bite", "both", "a scissor of front teeth"),
    ("Neck", "hand", "a head's length"),
    ("Shoulder", "hand", "a blade laid back"),
    ("Ribs", "both", "a spring, then flat"),
    ("Testicles", "hand", "two"),
    ("Coat", "hand", "a top coat that rasps"),
    ("Move", "eye", "a straight line"),
)
A = [name for name, _sense, _find in STEPS]


def key_of(*names, level=(), gates=(), steps=STEPS):
    """A key over these steps (all by default), whose ids are their names."""
    senses = {name: sense for name, sense, _find in steps}
    order = names or tuple(senses)
    known = {
        name: KnownStep(
            sense=senses[name], marks=marks_in(name), gate=name in gates, find=name
        )
        for name in order
    }
    return ExamKey(order=tuple(order), level=frozenset(level), steps=known)


def examination(club, *, asked=("order", "sense", "find", "gap"), seed=1, **more):
    """An examination in force of a module with STEPS."""
    module = more.pop("module", None) or ModuleFactory(club=club)
    published = module.revisions.get(state="published")
    published.steps.all().delete()
    for n, (name, sense, find) in enumerate(STEPS, start=1):
        StepFactory(
            revision=published,
            number=n,
            name=name,
            sense=sense,
            find=f"Find {find}.",
            caution=f"Mind the {name.lower()}.",
            instruction=f"Do the {name.lower()}.",
        )
    content, key = taken(published, random.Random(seed))
    document = content.document() | {"asked": list(asked)}
    return RevisionFactory(
        exercise=ExerciseFactory(module=module, kind="examination"),
        module_revision=published,
        content=document,
        key=key.document(),
        size=len(STEPS),
        **{"title": "The examination", **more},
    )


def opened(revision, trainee):
    return begin(revision, by=trainee, now=timezone.now(), rng=random.Random(1))


def right_answer(revision):
    return right(ExamContent.read(revision.content), ExamKey.read(revision.key))


def answered(revision, trainee, answer=None):
    """Handed in; as the key has it unless said."""
    given = (answer or right_answer(revision)).document()
    return hand_in(opened(revision, trainee), now=timezone.now(), answer=given)


def posted(answer, *, page="both") -> dict:
    """The answer as the form sends it; page "a" or "b" for one of two."""
    first = {
        **{f"a-order-{step}": n for n, step in enumerate(answer.order, start=1)},
        **{f"a-sense-{step}": value for step, value in answer.senses.items()},
        **{f"a-find-{step}": value for step, value in answer.finds.items()},
        **({"a-left": "1"} if answer.left else {}),
    }
    second = {"a-gap": answer.gap, "a-after": answer.after}
    return {"a": first, "b": second, "both": {**first, **second}}[page]


def backwards(revision):
    """As the key has it, with the order turned round: unsafe in every way."""
    answer = right_answer(revision)
    return replace(answer, order=answer.order[::-1])
