"""The report as a PDF."""

from __future__ import annotations

from datetime import datetime

from django.template.defaultfilters import date as said_date
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from trainer.seminars.certificate_paper import number_said
from trainer.seminars.models import Seminar
from trainer.seminars.papers import TEMPLATES, when
from trainer.typeset import typeset


def pdf(seminar: Seminar, found: dict, now: datetime) -> bytes:
    """The report (`report.report`) on paper. Raises NotTypeset."""
    data = found | {
        "lang": get_language(),
        "title": _("Report"),
        "seminar": seminar.title,
        "club": seminar.club.name,
        "when": when(seminar),
        "where": _("Online") if seminar.is_online else seminar.place,
        "made": said_date(now, "j F Y"),
        "came_said": came_said(found),
        "attendance": [
            one
            | {
                "each": [number_said(each) for each in one["each"]],
                "hours": number_said(one["hours"]),
            }
            for one in found["attendance"]
        ],
        "words": _words(),
    }
    return typeset(TEMPLATES / "report.typ", data)


def came_said(found) -> str:
    """How many came, of how many places, and how long they stayed."""
    text = ngettext(
        "%(came)s of %(n)s with a place was there.",
        "%(came)s of %(n)s with a place were there.",
        found["came"],
    )
    said = text % {"came": found["came"], "n": found["places"]}
    if not found["mean_hours"]:
        return said
    hours = _("On average for %(hours)s hours.") % {"hours": found["mean_hours"]}
    return f"{said} {hours}"


def _words() -> dict[str, str]:
    return {
        "page": _("Page %(n)s of %(all)s"),
        "foot": _("For the club. Holds names: keep it as long as you need it."),
        "made": _("Made on"),
        "with": _("With"),
        "on": _("On"),
        "programme": _("Programme"),
        "part": _("Part"),
        "when": _("When"),
        "were_there": _("Were there"),
        "results": _("What the room did"),
        "no_names": _("Sums of the whole room. No name stands beside a result."),
        "counted": _("Answers counted"),
        "late": _("came late and do not count"),
        "too_few": _("Too few to show without showing who."),
        "place": _("Place"),
        "framed": _("How many put which dog in which place. Framed: the key."),
        "ruled": _("Ruled"),
        "pairs": _("Pair by pair"),
        "pair": _("Key"),
        "over": _("over"),
        "agreed": _("As the key"),
        "why": _("Why, where the room differed"),
        "wrong": _("most had it the other way"),
        "another": _("Most had it another way"),
        "others": _("Most of the others:"),
        "asked": _("Asked, and the key"),
        "key": _("the key"),
        "line": _("The mentor's words on it:"),
        "feedback": _("What attendees say"),
        "useful": _("How useful it was, from 1 to 5"),
        "mean": _("Mean"),
        "good": _("What was good"),
        "better": _("What could be better"),
        "none": _("Nobody has said anything."),
        "attendance": _("Attendance"),
        "name": _("Name"),
        "hours": _("Hours"),
        "counted_how": _(
            "Hours are counted to the quarter, rounded down. Corrections stand below the name."
        ),
        "claim": _(
            "Attendance and answers say of nobody that they are qualified to judge; the licensing body decides that."
        ),
        "unshown": _("A box stands for a letter that no typeface here has."),
    }
