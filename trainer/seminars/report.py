"""What a club is told of its seminar. Sums come from the sittings; no name ever stands beside a result.

Everything is in words or plain numbers here, so that page, PDF and tables say the same.
"""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from statistics import fmean

from django.template.defaultfilters import date as said_date
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.grading.change import FEWEST
from trainer.seminars.attendance import everybody
from trainer.seminars.certificate_paper import number_said
from trainer.seminars.models import Seminar
from trainer.seminars.stage import result_told
from trainer.seminars.stage_pages import row_told


def report(seminar: Seminar, now: datetime) -> dict:
    """The whole report; as many queries for 300 attendees as for one."""
    parts, people = everybody(seminar, now)
    there = [one for one in people if one.hours > 0]
    return {
        "places": len(people),
        "came": len(there),
        "mean_hours": number_said(round(fmean(one.hours for one in there), 2))
        if there
        else "",
        "mentors": [str(one) for one in seminar.mentors.all()],
        "modules": [str(one.breed) for one in seminar.modules.select_related("breed")],
        "programme": [
            _part(seminar, part, [one.each[n] for one in people])
            for n, part in enumerate(parts)
        ],
        "parts": [part.title for part in parts],
        "attendance": [_attendee(one) for one in people],
        "sittings": _sittings(seminar),
        "feedback": _feedback(seminar),
    }


def _part(seminar, part, hours) -> dict:
    local = [one.astimezone(seminar.zone) for one in (part.starts_at, part.ends_at)]
    return {
        "day": said_date(local[0], "j M Y"),
        "from": said_date(local[0], "H:i"),
        "until": said_date(local[1], "H:i"),
        "title": part.title,
        "who": part.who,
        "came": sum(one > 0 for one in hours),
    }


def _attendee(one) -> dict:
    return {
        "name": one.attendee.name or _("name taken out"),
        "number": one.attendee.number,
        "state": one.attendee.get_state_display(),
        "each": one.each,
        "hours": one.hours,
        "notes": [stay.note for stay in one.stays if stay.note],
    }


def _sittings(seminar) -> list[dict]:
    shown = seminar.sittings.filter(state="shown").select_related("revision__exercise")
    return [_sitting(one) for one in shown.defer("revision__key", "revision__content")]


def _sitting(sitting) -> dict:
    told = result_told(sitting)
    found = {
        "title": sitting.title,
        "kind": told.get("kind", ""),
        "counted": told.get("counted", 0),
        "late": told.get("late", 0),
        "too_few": told["too_few"],
        "line": sitting.line,
        "said": [],
    }
    if told["too_few"]:
        return found | {"figures": {}}
    found["figures"] = _figures(told)
    found["said"] = [
        *_mean(told),
        *told.get("figures", ()),
        *_concord(told),
        *_change(told.get("change")),
    ]
    if told["kind"] != "placing":
        return found | {"rows": [_row(one) for one in told["rows"]]}
    return found | {
        "note": told.get("note", ""),
        "armbands": [row["armband"] for row in told["rows"]],
        "grid": told["grid"],
        "ruled": [row["ruled"] for row in told["rows"]] if told["has_rulings"] else [],
        "pairs": _pairs(told["pairs"]),
    }


def _row(row) -> dict:
    """What was asked: how many had it as the key and why it is so, or, where there is none, what was said how often."""
    if not row.get("key"):
        return {**row, "key": "", "right": None, "wrong": False, "why": ""}
    told = row_told(row)
    parted = told["right"] < told["of"]
    return {
        **told,
        "wrong": 2 * told["right"] < told["of"],
        "why": told.get("why", "") if parted else "",
    }


def _pairs(pairs) -> list[dict]:
    """Those that the room has least as the key has them first; with the reason where somebody differed."""
    found = [
        {
            **pair,
            "share": round(100 * pair["agreed"] / pair["of"]),
            "wrong": 2 * pair["agreed"] < pair["of"],
            "why": pair["reason"] if pair["agreed"] < pair["of"] else "",
        }
        for pair in pairs
        if pair["of"]
    ]
    return sorted(found, key=lambda pair: pair["agreed"] / pair["of"])


def _figures(told) -> dict:
    """The figures that `said` puts in words, for a table; only those that there are."""
    change, w = told.get("change") or {}, told.get("w") or {}
    found = {
        "share": told.get("share"),
        "mean": told.get("mean"),
        "of": told.get("separated"),
        "w": w.get("w"),
        "by_chance": w.get("by_chance"),
    }
    if change.get("told"):
        found["n"] = change["n"]
        for name in ("before", "after", "mean", "low", "high"):
            found[f"change_{name}"] = change[f"{name}_said"]
    return {name: value for name, value in found.items() if value is not None}


def _mean(told) -> list[str]:
    if told.get("share") is None:
        return []
    if told.get("mean") is not None:
        text = _("On average %(mean)s of %(of)s pairs were as the mentor has them.")
        values = {"mean": number_said(round(told["mean"], 1)), "of": told["separated"]}
        return [text % values]
    texts = {
        "steps": _(
            "On average %(share)s of 100 pairs of steps stood in the mentor's order."
        ),
        "choices": _("In %(share)s of 100 choices the better dog was taken."),
    }
    text = texts.get(told.get("share_of", "")) or _(
        "On average %(share)s of 100 of what was asked was as the mentor has it."
    )
    return [text % {"share": number_said(round(100 * told["share"]))}]


def _concord(told) -> list[str]:
    if not told.get("w"):
        return []
    text = _(
        "How alike the room placed them, Kendall's W: %(w)s; 1 is all alike, %(chance)s is chance."
    )
    values = {"w": told["w"]["w"], "chance": told["w"]["by_chance"]}
    return [text % {name: f"{value:.2f}" for name, value in values.items()}]


def _change(change) -> list[str]:
    """Before and after the discussion, of those who placed it twice."""
    if not change or not change["told"]:
        return []
    said = {
        name: f"{change[f'{name}_said']:.2f}"
        for name in ("before", "after", "mean", "low", "high")
        if change[f"{name}_said"] is not None
    } | {"n": change["n"], "unit": change["unit"]}
    found = [
        _(
            "Before and after, the %(n)s who placed it twice: %(before)s, then %(after)s %(unit)s."
        )
        % said
    ]
    if change["low"] is None:
        found.append(_("All changed alike, so no interval can be given."))
    else:
        found.append(
            _(
                "The change is %(mean)s, with 95 %% confidence between %(low)s and %(high)s."
            )
            % said
        )
    if change["knew"]:
        found.append(_("The key was known by then."))
    return found


def _gave(useful: int, n: int) -> str:
    text = ngettext("%(n)s gave %(useful)s", "%(n)s gave %(useful)s", n)
    return text % {"n": n, "useful": useful}


def _feedback(seminar) -> dict:
    """Without names, and in an order that tells nobody: words by the alphabet, figures only of enough people."""
    rows = list(seminar.feedback.values_list("useful", "good", "better"))
    given = Counter(useful for useful, _good, _better in rows if useful)
    enough = given.total() >= FEWEST
    return {
        "n": len(rows),
        "counts": [_gave(n, given[n]) for n in range(5, 0, -1)] if enough else [],
        "mean": number_said(round(fmean(given.elements()), 1)) if enough else "",
        "good": sorted(good for _u, good, _better in rows if good.strip()),
        "better": sorted(better for _u, _good, better in rows if better.strip()),
    }
