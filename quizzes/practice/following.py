"""When a mentor changes levels, what follows from them is derived anew; what a hand wrote stays."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from quizzes import generator
from quizzes.generator import Changes, WishProblem
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.practice import material

TEXTS = ("ringside", "hands_on")


def follow_levels(
    before: ClassContent, after: ClassContent, key: ClassKey, rows
) -> tuple[ClassContent, ClassKey]:
    """The class with drawing, words and key following the levels that were changed.

    before, after : as stored, and as the mentor has just sent it
    rows : the module's priorities, with phrases and steps
    Raises ValidationError where a dog has no level on some priority, or a priority no phrases.
    """
    priorities = material.priorities_of(rows)
    _refuse_gaps([before, after], priorities)
    old = before.by_id
    changed = {
        dog.id: {s: n for s, n in dog.levels.items() if n != old[dog.id].levels[s]}
        for dog in after
    }
    texts = {
        dog.id: {
            name: getattr(dog, name)
            for name in TEXTS
            if getattr(dog, name) != getattr(old[dog.id], name)
        }
        for dog in after
    }
    document = after.document()
    for dog in document["dogs"]:
        dog["levels"] = dict(old[dog["id"]].levels)
        for name in TEXTS:
            dog[name] = getattr(old[dog["id"]], name)
    changes = Changes(
        levels={dog: levels for dog, levels in changed.items() if levels},
        texts={dog: words for dog, words in texts.items() if words},
    )
    try:
        made = generator.overrule(priorities, document, key.document(), changes)
    except WishProblem as problem:
        raise ValidationError(material.said(problem), code="no-such-class") from None
    return ClassContent.read(made.content), ClassKey.read(made.key)


def _refuse_gaps(contents, priorities) -> None:
    missing = [
        str(dog.armband or "?")
        for dog in contents[-1]
        if any(one.slug not in dog.levels for one in priorities)
    ]
    if missing:
        text = _("Give %(dogs)s a level on every priority first.")
        raise ValidationError(
            text, code="no-level", params={"dogs": ", ".join(missing)}
        )
    if any(one.slug not in dog.levels for dog in contents[0] for one in priorities):
        text = _(
            "Save the levels first; from then on drawing, words and key follow them."
        )
        raise ValidationError(text, code="not-saved")
