"""What a draft changes in an examination that is in force, and every text of it."""

from __future__ import annotations

from django.utils.translation import gettext as _

from quizzes.kinds.examination.content import PART_LABELS, ExamContent, ExamKey


def examination_differences(before, after) -> list[str]:
    """What is asked, the sequence, and what is said of a step, a sentence each."""
    (old, old_key), (new, new_key) = (
        (ExamContent.read(content), ExamKey.read(key))
        for content, key in (before, after)
    )
    found = []
    for part, label in PART_LABELS.items():
        if (part in old.asked) != (part in new.asked):
            text = (
                _("Asked now: %(part)s.")
                if part in new.asked
                else _("Asked no more: %(part)s.")
            )
            found.append(text % {"part": label})
    names, old_names = new.names, old.names
    sequences = [
        [named[pk] for pk in key.order]
        for named, key in ((old_names, old_key), (names, new_key))
    ]
    if sequences[0] != sequences[1]:
        found.append(_("The sequence, as the module has it now."))
    if old_key.level != new_key.level:
        found.append(_("Which steps may change places."))
    said = {old_names[pk]: known for pk, known in old_key.steps.items()}
    for pk in new_key.order:
        was = said.get(names[pk])
        if was and _about(was) != _about(new_key.of(pk)):
            found.append(_("What is said of a step: %(name)s.") % {"name": names[pk]})
    if _gap(old, old_key) != _gap(new, new_key):
        found.append(_("The step that is missing."))
    if {old_names[one.step] for one in old.to_find} != {
        names[one.step] for one in new.to_find
    }:
        found.append(_("At which steps it is asked what to find."))
    return found


def _about(known):
    return (
        known.sense,
        known.marks,
        known.gate,
        known.why,
        known.caution,
        known.instruction,
    )


def _gap(content: ExamContent, key: ExamKey) -> str:
    return content.names.get(key.gap, "")


def examination_texts(content, key) -> dict:
    """What the mentor wrote of each step; the rest is the module's."""
    names, key = ExamContent.read(content).names, ExamKey.read(key)
    return {
        f"{pk}-why": ((names.get(pk, ""), _("why it stands there")), key.of(pk).why)
        for pk in key.order
        if key.of(pk).why
    }
