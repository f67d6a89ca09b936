"""Phrases to begin with: for each level, from the faults that show a priority or from its name."""

from __future__ import annotations

from django.utils.translation import gettext as _

from quizzes.plates import FAULTS


def phrases(name: str, codes) -> list[str]:
    """A phrase for each level, 0 to 4.

    name : of the priority
    codes : of the drawn faults that show it; the first one names what is wrong
    """
    known = [FAULTS[code].name for code in codes if code in FAULTS]
    if known:
        values = {"fault": known[0], "name": name}
        return [
            text % values
            for text in (
                _("%(fault)s, and marked"),
                _("plainly %(fault)s"),
                _("a little %(fault)s"),
                _("%(name)s good, with a trace of %(fault)s"),
                _("%(name)s as one would wish it"),
            )
        ]
    return [
        text % {"name": name}
        for text in (
            _("%(name)s: a fault that can't be overlooked"),
            _("%(name)s: plainly wanting"),
            _("%(name)s: passable, nothing to praise"),
            _("%(name)s: good, a little short of the best"),
            _("%(name)s: all one could ask for"),
        )
    ]


def filled_in(sent):
    """What was sent of a priority, with a suggestion in each empty phrase."""
    filled = sent.copy()
    offered = phrases(sent.get("name", ""), sent.getlist("plate_faults"))
    for level, text in enumerate(offered):
        if not sent.get(f"phrase_{level}", "").strip():
            filled[f"phrase_{level}"] = text
    return filled
