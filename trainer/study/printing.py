"""A module as plain values for its papers, with the pictures that go with them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from django.contrib.humanize.templatetags.humanize import apnumber
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from trainer.study import reading
from trainer.study.illustrations import Illustrations
from trainer.study.markdown_tree import tree
from trainer.study.models import Fault, Lesson, Priority, Step
from trainer.study.reading import Document
from trainer.study.sections import COMPARE, PICTURE, QUESTION, TEXT


@dataclass
class Paper:
    """What a template is given: its data, and the pictures that the data names."""

    data: dict
    pictures: dict[str, bytes] = field(default_factory=dict)


@cache
def _words(_language: str) -> dict[str, str]:
    """Every word that the papers say of themselves."""
    return {
        "made_for": _("What it was made for"),
        "introduction": _("Introduction"),
        "contents": _("Contents"),
        "weights": _("What weighs most"),
        "rank": _("Rank"),
        "priority": _("Priority"),
        "weight": _("Weight"),
        "standard": _("Standard and opinion"),
        "lessons": _("Lessons"),
        "priorities": _("Priorities"),
        "look_for": _("Look for"),
        "feel_for": _("Feel for"),
        "by_eye_alone": _("By eye alone."),
        "hands": _("Ask the handler first; if the dog freezes, stop."),
        "why": _("Why it matters"),
        "levels": _("From ideal to faulty"),
        "examination": _("Examination"),
        "from_mentor": _("From the mentor"),
        "find": _("Find:"),
        "caution": _("Caution:"),
        "faults": _("Faults and rulings"),
        "terms": _("Terms"),
        "question": _("Question in passing"),
        "answers": _("What the mentor says to the answers"),
        "right": _("Yes."),
        "wrong": _("No."),
        "over": _(
            "In ink the first one, dashed the second, laid over each other at the withers."
        ),
        "points": _("Points"),
        "withdrawn": _("A photograph that stood here was withdrawn."),
        "schematic": _("A schematic drawing, not a breed."),
        "page_of": _("Page %(n)s of %(all)s"),
        "unshown": _("Letters that this site has no typeface for are printed as □."),
        "no_claim": _(
            "For study. It qualifies nobody to judge; the licensing body decides that."
        ),
        "no_claim_short": _("For study. It qualifies nobody to judge."),
        "card_of": _("Card %(n)s of %(all)s"),
        "pocket_card": _("Pocket card of the examination"),
    }


def before_hands() -> dict[str, str]:
    """The caution before every examination, as _before_hands.html has it."""
    return {
        "title": _("Before your hands go on"),
        "text": _(
            "Ask the handler first. Come from the front, in the dog's view. If the dog freezes, stop and step back. The rules of the show and the law of the place come before anything written here, and nothing here is veterinary advice."
        ),
    }


def before_faults() -> dict[str, str]:
    """What stands before a list of faults, as _fault_list.html has it."""
    return {
        "title": _("What comes before this list"),
        "text": _(
            "A ruling named here is what the mentor would record. Where the rules of the show say otherwise, they hold; and whether a docked, cropped or otherwise altered dog may be shown or placed is for them and for the law of the place. Nothing here is a diagnosis: a dog that seems ill or sore is for its owner and a vet."
        ),
    }


def _headed(words) -> str:
    # A label may still wait for its language, which no file can hold.
    return str(capfirst(words))


def module_paper(document: Document) -> Paper:
    """Everything the module says."""
    paper = Paper(_head(document))
    paper.data |= {
        "made_for": document.module.breed.made_for,
        "introduction": document.revision.introduction,
        "weights": _weights(document),
        "lessons": [_lesson(paper, document, row) for row in document.lessons],
        "priorities": [_priority(row) for row in document.priorities],
        "examination": _examination(document),
        "before_faults": before_faults(),
        "faults": [
            {"severity": _headed(severity.label), "rows": [_fault(row) for row in rows]}
            for severity, rows in document.faults_by_severity
        ],
        "terms": [
            {"name": _headed(term.name), "meaning": term.meaning}
            for term in sorted(document.glossary.terms, key=lambda t: t.name.lower())
        ],
    }
    return paper


def card_paper(document: Document, *, sheet: bool = False) -> Paper:
    """The examination alone, for a pocket; sheet: four cards on a page of A4."""
    data = {"examination": _examination(document), "sheet": sheet}
    return Paper(_head(document) | data)


def _head(document: Document) -> dict:
    revision, module = document.revision, document.module
    return {
        "lang": (get_language() or "en").split("-")[0],
        "words": _words(get_language() or "en"),
        "title": revision.title,
        "breed": module.breed.name,
        "mentor": revision.author.name if revision.author else "",
        "club": module.club.name,
        "edition": _edition(revision),
        "standard": {
            "title": revision.standard_title,
            "date": revision.standard_date,
            "link": revision.standard_link,
            "note": revision.standard_note
            or _(
                "The standard describes the breed. The order, the weights and every key are the mentor's opinion."
            ),
        },
        "before_hands": before_hands(),
    }


def _edition(revision) -> str:
    if revision.published_at is None:
        return _("Draft of revision %(n)s") % {"n": revision.number}
    date = date_format(revision.published_at, "j F Y")
    return _("Revision %(n)s, in force since %(date)s") % {
        "n": revision.number,
        "date": date,
    }


def _weights(document: Document) -> dict:
    weights = document.weights
    said = ""
    if weights.rest:
        said = ngettext(
            "The first alone counts %(sum)s of %(total)s, more than the other %(rest)s together.",
            "The first %(n)s together count %(sum)s of %(total)s, more than the other %(rest)s.",
            len(weights.first),
        ) % {
            "n": apnumber(len(weights.first)),
            "sum": weights.first_sum,
            "total": weights.total,
            "rest": apnumber(len(weights.rest)),
        }
    rows = [
        {"number": row.number, "name": row.name, "weight": row.weight}
        for row in document.priorities
    ]
    return {"said": said, "scale": weights.scale, "rows": rows}


def _priority(row: Priority) -> dict:
    return {
        "number": row.number,
        "name": row.name,
        "weight": row.weight,
        "look_for": row.look_for,
        "feel_for": row.feel_for,
        "why": row.why_it_matters,
        "levels": [
            {"word": str(word), "phrase": phrase}
            for word, phrase in reading.levels_in_words(row.phrases.all())
        ],
    }


def _examination(document: Document) -> dict:
    revision, steps = document.revision, document.steps
    count = ngettext("%(n)s step", "%(n)s steps", len(steps)) % {"n": len(steps)}
    return {
        "where": f"{count}, {revision.get_examined_display()}",
        "note": revision.examination_note,
        "steps": [_step(row) for row in steps],
    }


def _step(row: Step) -> dict:
    return {
        "number": row.number,
        "name": row.name,
        "where": row.where,
        "sense": row.sense,
        "sense_word": _headed(row.get_sense_display()),
        "instruction": row.instruction,
        "find": row.find,
        "caution": row.caution,
        "priority": row.priority.name if row.priority else "",
    }


def _fault(row: Fault) -> dict:
    return {
        "name": row.name,
        "description": row.description,
        "ruling": _headed(row.get_ruling_display()),
        "priority": row.priority.name if row.priority else "",
    }


def _lesson(paper: Paper, document: Document, lesson: Lesson) -> dict:
    shown = Illustrations(lesson, lesson.sections, document.module.club_id)
    sections = [
        _SECTIONS[section["kind"]](paper, shown, section, f"{lesson.pk}-{at}")
        | {"kind": section["kind"]}
        for at, section in enumerate(lesson.sections)
    ]
    return {"number": lesson.number, "name": lesson.name, "sections": sections}


def _text(_paper, _shown, section: Mapping, _name: str) -> dict:
    return {"text": tree(section["text"])}


def _question(_paper, _shown, section: Mapping, _name: str) -> dict:
    options = [dict(option) for option in section["options"]]
    return {"text": tree(section["text"]), "options": options}


def _picture(paper: Paper, shown: Illustrations, section: Mapping, name: str) -> dict:
    return {
        "image": _image(paper, shown, section["image"], section["alt"], name),
        "caption": section["caption"],
        "points": [dict(point) for point in section["points"]],
    }


def _compare(paper: Paper, shown: Illustrations, section: Mapping, name: str) -> dict:
    over = shown.overlay_bytes(section)
    if over:
        paper.pictures[f"{name}-over.svg"] = over
    return {
        "text": tree(section["text"]),
        "sides": [
            {
                "image": _image(
                    paper, shown, side["image"], side["alt"], f"{name}-{n}"
                ),
                "caption": side["caption"],
            }
            for n, side in enumerate(section["sides"])
        ],
        "over": f"{name}-over.svg" if over else "",
        "over_alt": _("The two outlines over each other."),
    }


def _image(paper: Paper, shown: Illustrations, image: Mapping, alt: str, name: str):
    """A picture by its file's name; None where none is chosen, no file where it was withdrawn."""
    if not image:
        return None
    found = shown.bytes_of(image)
    if found is None:
        return {"file": "", "alt": alt, "credit": "", "drawn": False}
    ending, content = found
    paper.pictures[f"{name}.{ending}"] = content
    credit = shown.credit_of(image)
    said = _("Photograph: %(who)s.") % {"who": credit} if credit else ""
    return {
        "file": f"{name}.{ending}",
        "alt": alt or _("Picture of the lesson"),
        "credit": said,
        "drawn": "plate" in image,
    }


_SECTIONS = {TEXT: _text, QUESTION: _question, PICTURE: _picture, COMPARE: _compare}
