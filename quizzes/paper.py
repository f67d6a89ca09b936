"""A room's paper cards, uploaded as two tables and graded on the page; nothing is stored."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from statistics import fmean
from types import SimpleNamespace
from typing import Any

import numpy as np
from django import forms
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from quizzes import grading
from quizzes.grading.batch import RULING_CODE
from quizzes.grading.cards import AnswerRow, Card, CardReader
from quizzes.grading.sheet import GradedSheet, Row, grade_sheet, read_answers, read_key
from quizzes.grading.table import decoded
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.figures import decimals
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.places import ordinal
from quizzes.models import Revision
from trainer.clubs.models import Club

MOST_CARDS = 20_000
MOST_LISTED = 200
"""Cards in one table of the page; the download has all."""
MOST_KEPT = 768 * 1024
"""Bytes of a table that the page keeps from step to step; two stay below what a form may send as text."""

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

# A workbook is a zip archive, whatever its name says.
WORKBOOK = b"PK\x03\x04"


class OneOfTwo:
    """A field that looks required, since it or another one is; the form asks for one of them."""

    def validate(self, value):
        if value:
            super().validate(value)


class TableInput(forms.FileInput):
    """A file, or the table that the page kept from the step before."""

    def value_from_datadict(self, data, files, name):
        kept = data.get(f"{name}_kept", "")
        if name in files or not kept:
            return files.get(name)
        return ContentFile(kept.encode(), name=data.get(f"{name}_name") or "table.csv")


class TableField(forms.FileField):
    """A table in a file; its value is what `read` makes of the bytes."""

    widget = TableInput(attrs={"accept": ".csv,.txt,text/csv"})
    default_error_messages = {
        "required": gettext_lazy("Choose the file."),
        "empty": gettext_lazy("The file is empty. Save the table again as CSV."),
        "large": gettext_lazy(
            "The file is larger than %(most)s MB. Save only this table, as CSV."
        ),
        "swapped": gettext_lazy(
            "This is the other table: the key and the cards stand in each other's place."
        ),
        "workbook": gettext_lazy(
            "This is a workbook. In the spreadsheet save the sheet as CSV and choose that file."
        ),
    }

    def __init__(
        self,
        *,
        read: Callable[[bytes], Any],
        other: Callable[[bytes], Any],
        megabytes: int,
        **kwargs,
    ):
        """other : what reads the table that may be chosen here by mistake"""
        super().__init__(**kwargs)
        self.read, self.other, self.megabytes = read, other, megabytes
        self.kept, self.name = "", ""

    def clean(self, data, initial=None):
        file = super().clean(data, initial)
        if not file:
            return None
        if file.size > self.megabytes * 1024 * 1024:
            self.refuse("large", most=self.megabytes)
        content = file.read()
        if content.startswith(WORKBOOK):
            self.refuse("workbook")
        try:
            table = self.read(content)
        except grading.Problem as problem:
            if self.is_other(content):
                self.refuse("swapped")
            self.keep(file.name, content)
            found = getattr(problem, "problems", [problem])
            raise ValidationError([unusable(each) for each in found]) from problem
        self.keep(file.name, content)
        return table

    def keep(self, name, content):
        text = decoded(content)
        # A character that a page can't hold, as in a picture, would not come back as it was.
        if len(text.encode()) <= MOST_KEPT and "\0" not in text:
            self.kept, self.name = text, name

    def is_other(self, content) -> bool:
        try:
            return bool(self.other(content))
        except grading.Problem:
            return False

    def refuse(self, code, **params):
        raise ValidationError(self.error_messages[code], code=code, params=params)


def unusable(problem: grading.Problem) -> ValidationError:
    return ValidationError(
        _(problem.template), code="unusable", params=problem.values or None
    )


class KeyField(OneOfTwo, TableField):
    pass


class ClassField(OneOfTwo, forms.ModelChoiceField):
    def label_from_instance(self, revision):
        exercise = revision.exercise
        return f"{revision.title}. {exercise.module.breed}, {exercise.club}"


class PaperForm(forms.Form):
    use_required_attribute = False

    revision = ClassField(
        label=gettext_lazy("A class of your clubs"),
        queryset=Revision.objects.none(),
        empty_label=gettext_lazy("none: I choose a file"),
        help_text=gettext_lazy("Its key in force is used, with the numbers it has."),
    )
    # Both files together stay below what a request may hold (settings.REQUEST_BODY_LIMIT).
    key = KeyField(
        label=gettext_lazy("Or a key from a file"),
        help_text=gettext_lazy("A CSV file with the header armband,place,cut,ruling."),
        read=read_key,
        other=read_answers,
        megabytes=1,
    )
    answers = TableField(
        label=gettext_lazy("The cards"),
        help_text=gettext_lazy("A CSV file with the header name,placing,rulings."),
        read=read_answers,
        other=read_key,
        megabytes=5,
    )

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        if Club.objects.taught_by(user).exists():
            self.fields["revision"].queryset = keys_for(user)
        else:
            del self.fields["revision"]
            self.fields["key"].label = _("The key")

    def clean(self):
        """The key is one of two: that of a class, or that of a file."""
        sent = super().clean()
        chosen, table = sent.get("revision"), sent.get("key")
        if chosen and "key" not in self.files:
            # The class was chosen later than the file that the page has kept.
            table = None
            self.fields["key"].kept = ""
        if {"revision", "key"} & self.errors.keys():
            return sent
        if bool(chosen) == bool(table):
            text = (
                _("Choose a class or a file, not both.")
                if chosen
                else _("Choose a class above, or the file.")
                if "revision" in self.fields
                else _("Choose the file.")
            )
            self.add_error("key", ValidationError(text, code="one-key"))
        elif chosen:
            sent["key"] = key_of(chosen)
        return sent

    @property
    def kept(self) -> list[dict]:
        """The tables that the page keeps, so that nobody chooses their files again."""
        fields = [(name, self.fields[name]) for name in ("key", "answers")]
        return [
            {"name": name, "label": field.label, "file": field.name, "text": field.kept}
            for name, field in fields
            if field.kept
        ]

    @property
    def is_whole(self) -> bool:
        """Whether what the page keeps is enough to grade the cards again."""
        names = {table["name"] for table in self.kept}
        return "answers" in names and bool(
            "key" in names or self.cleaned_data.get("revision")
        )

    def clean_answers(self):
        cards = self.cleaned_data["answers"]
        if not cards:
            text = _("There is no card below the header.")
            raise ValidationError(text, code="none")
        if len(cards) > MOST_CARDS:
            text = _(
                "%(n)s cards are more than the page takes, which is %(most)s. The command "
                "grade_sheet on the server takes any number, or give the cards in parts."
            )
            values = {"n": f"{len(cards):,}", "most": f"{MOST_CARDS:,}"}
            raise ValidationError(text, code="many", params=values)
        return cards


def keys_for(user):
    """Classes in force whose key the person may grade cards with.

    Those of clubs they teach in: an organiser may train there as well, and a graded room tells the key.
    """
    shared = Revision.objects.in_force().shared()
    mine = shared.filter(
        exercise__club__in=Club.objects.taught_by(user), exercise__kind=KIND.slug
    )
    return mine.select_related("exercise__module__breed", "exercise__club").order_by(
        "title", "pk"
    )


def key_of(revision) -> grading.Key:
    """The key of a class with armbands in place of its dogs."""
    content = ClassContent.read(revision.content)
    key = ClassKey.read(revision.key).for_grading(content)
    worn = {dog.id: str(dog.armband) for dog in content}
    return grading.Key(
        order=tuple(tuple(worn[dog] for dog in group) for group in key.order),
        cuts=key.cuts,
        rulings={worn[dog]: ruling for dog, ruling in key.rulings.items()},
        unplaced=tuple(worn[dog] for dog in key.unplaced),
    )


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
