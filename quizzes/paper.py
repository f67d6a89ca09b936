"""A room's paper cards, uploaded as two tables and graded on the page; nothing is stored."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from statistics import fmean
from types import SimpleNamespace

import numpy as np
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from quizzes import grading
from quizzes.grading.batch import RULING_CODE
from quizzes.grading.cards import AnswerRow, Card, CardReader
from quizzes.grading.sheet import GradedSheet, Row, grade_sheet
from quizzes.kinds.placing.figures import decimals
from quizzes.kinds.placing.places import ordinal
from quizzes.paper_form import MOST_CARDS, PaperForm
from trainer.clubs.models import Club

MOST_LISTED = 200
"""Cards in one table of the page; the download has all."""

EXAMPLE_KEY = """\
armband,place,cut,ruling
22,1,2,
9,2,5,
7,3,3,
14,4,,
31,,,disqualified
"""
EXAMPLE_ANSWERS = """\
name,placing,rulings
Card 1,22-7-9-14,31 disqualified
Card 2,9-22=7-14,
Card 3,22-9,14 excused; 31 absent
"""
EXAMPLES = {"key": EXAMPLE_KEY, "answers": EXAMPLE_ANSWERS}


@require_http_methods(["GET", "POST"])
def upload(request):
    """The two tables, then the room's grades on the page or as a table to download."""
    if not Club.objects.led_by(request.user).exists():
        raise Http404
    chosen = {"revision": request.POST.get("revision") or request.GET.get("class")}
    blank = PaperForm(user=request.user, initial=chosen)
    context = {
        "form": blank,
        "examples": EXAMPLES,
        "most": MOST_CARDS,
        "teaches": "revision" in blank.fields,
    }
    if request.method != "POST":
        return render(request, "quizzes/paper.html", context)
    form = PaperForm(request.POST, request.FILES, user=request.user)
    if not form.is_valid():
        context["form"] = form
        return render(request, "quizzes/paper.html", context, status=422)
    key, cards = form.cleaned_data["key"], form.cleaned_data["answers"]
    sheet = grade_sheet(key, cards)
    if "download" in request.POST:
        return as_download(sheet)
    context["form"] = form
    context["room"] = room_of(key, cards, sheet)
    return render(request, "quizzes/paper_result.html", context)


def as_download(sheet: GradedSheet) -> HttpResponse:
    """The table of the command; the mark in front tells spreadsheets that it is UTF-8."""
    response = HttpResponse(
        "\ufeff" + sheet.to_csv(), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = 'attachment; filename="graded-cards.csv"'
    return response


@dataclass(frozen=True)
class Room:
    """What the page says of the cards of one room."""

    key: grading.Key
    graded: list[SimpleNamespace]
    refused: list[SimpleNamespace]
    mean: float | None
    first_right: int | None
    twice: list[dict]
    orders: dict
    rulings: dict[str, int]

    @property
    def mean_random(self) -> float:
        return self.key.separated / 2

    @property
    def listed(self) -> list[SimpleNamespace]:
        return self.graded[:MOST_LISTED]

    @property
    def refused_listed(self) -> list[SimpleNamespace]:
        return self.refused[:MOST_LISTED]


def room_of(key: grading.Key, cards: list[AnswerRow], sheet: GradedSheet) -> Room:
    """Sort the cards into graded and refused, and sum up the graded ones."""
    reader = CardReader(key)
    read = [reader.read(card.placing, card.rulings) for card in cards]
    entries = [card_entry(*each) for each in zip(sheet.rows, cards, read, strict=True)]
    in_key = [RULING_CODE[key.rulings.get(dog, "")] for dog in key.dogs]
    for entry in entries:
        entry.wrong = wrong_rulings(entry.codes, in_key)
    graded = [entry for entry in entries if not entry.problem]
    shares = [entry.share for entry in graded if entry.share is not None]
    firsts = [entry.first_right for entry in graded if entry.first_right is not None]
    return Room(
        key=key,
        graded=graded,
        refused=[entry for entry in entries if entry.problem],
        mean=key.separated * fmean(shares) if shares else None,
        first_right=sum(firsts) if firsts else None,
        twice=names_twice(cards),
        orders=orders_of(key, [card for card in read if not card.problem]),
        rulings={
            "right": sum(entry.codes == in_key for entry in graded),
            "wrong": sum(entry.wrong > 0 for entry in graded),
            "missed": sum(missed_rulings(entry.codes, in_key) > 0 for entry in graded),
        },
    )


def names_twice(cards: list[AnswerRow]) -> list[dict]:
    """Names that stand on several cards, with the lines of the file."""
    lines = defaultdict(list)
    for card in cards:
        if card.name:
            lines[card.name].append(str(card.line))
    several = [(name, found) for name, found in lines.items() if len(found) > 1]
    return [
        {"name": name, "lines": ", ".join(found[:10])}
        for name, found in several[:MOST_LISTED]
    ]


def wrong_rulings(codes: list[int], in_key: list[int]) -> int:
    """Rulings of a card that the key does not have, or has as another one."""
    return sum(
        bool(given) and given != own for given, own in zip(codes, in_key, strict=True)
    )


def missed_rulings(codes: list[int], in_key: list[int]) -> int:
    """Rulings of the key on dogs to which a card gives none."""
    return sum(
        bool(own) and not given for given, own in zip(codes, in_key, strict=True)
    )


STATISTICS = {
    "share": (gettext_lazy("Share of pairs"), 2),
    "gap_share": (gettext_lazy("Weighed by the cuts"), 2),
    "places_moved": (gettext_lazy("Places moved"), 1),
    "weighted_tau": (gettext_lazy("Top-weighted tau"), 2),
    "tau_b": (gettext_lazy("Kendall's tau-b"), 2),
    "tau_x": (gettext_lazy("tau-x"), 2),
    "rho": (gettext_lazy("Spearman's rho"), 2),
}
"""Name and decimals of the figures for those who ask."""


def card_entry(row: Row, card: AnswerRow, read: Card) -> SimpleNamespace:
    """The columns of the sheet as attributes, with the line of the card in its file."""
    statistics = [
        {"label": label, "value": decimals(row[name], places)}
        for name, (label, places) in STATISTICS.items()
    ]
    return SimpleNamespace(
        **row | {"name": row["name"] or _("no name")},
        line=card.line,
        codes=read.rulings,
        chance=row["random_as_good"],
        statistics=statistics,
    )


def orders_of(key: grading.Key, cards: list[Card]) -> dict:
    """How often each dog was put in each place, dogs in the order of the key."""
    places = [card.places for card in cards]
    counts = grading.order_matrix(np.array(places, int).reshape(-1, len(key.dogs)))
    used = np.flatnonzero(counts.any(axis=0))
    columns = [*range(1, max(len(key.placed), *used, 1) + 1), 0]
    in_key = dict.fromkeys(key.dogs, range(1))
    place = 1
    for group in key.order:
        in_key |= dict.fromkeys(group, range(place, place + len(group)))
        place += len(group)
    return {
        "places": [ordinal(place) for place in columns[:-1]],
        "rows": [
            {
                "armband": dog,
                "cells": [
                    {"count": int(counts[at, c]), "is_key": c in in_key[dog]}
                    for c in columns
                ],
            }
            for at, dog in enumerate(key.dogs)
        ],
    }
