"""A class on paper: the dogs for a hall without screens, answer cards to cut, and the key apart."""

from __future__ import annotations

from django.shortcuts import render
from django.views.decorators.http import require_safe

from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.builder import draft_to_edit
from quizzes.kinds.placing.content import ClassContent, ClassKey, with_numbers
from quizzes.kinds.placing.pictures import is_drawn, photograph_ids
from quizzes.kinds.placing.places import ordinal
from quizzes.panels.blind import unless_asked

CARDS_ON_A_PAGE = 4


@require_safe
@unless_asked
def class_print(request, pk):
    """The dogs in the order of their numbers, so that nothing tells the key; the key on its own page."""
    revision = draft_to_edit(request, pk)
    content, key = ClassContent.read(revision.content), ClassKey.read(revision.key)
    photographs = photograph_ids(content, revision.exercise.club_id)
    dogs = sorted(content, key=lambda dog: dog.armband or 0)
    context = {
        "revision": revision,
        "dogs": [
            {
                "dog": dog,
                "photo": dog.picture if dog.picture in photographs else "",
                "plate": is_drawn(content) and dog.drawn,
            }
            for dog in dogs
        ],
        "places": [ordinal(n) for n in range(1, (content.places or len(content)) + 1)],
        "cards": range(CARDS_ON_A_PAGE),
        "content": content,
        "placed": _placed(content, key),
        "reasons": _reasons(content, key),
        "ruled": _ruled(content, key),
    }
    return render(request, "quizzes/placing/class_print.html", context)


def _armbands(content: ClassContent) -> dict:
    return {dog.id: dog.armband for dog in content}


def _placed(content, key) -> list[dict]:
    armbands, places = _armbands(content), key.places()
    return [
        {"place": ordinal(places[dog]), "armband": armbands[dog]} for dog in key.order
    ]


def _reasons(content, key) -> list[dict]:
    armbands = _armbands(content)
    found = (key.reasons.get(pair) for pair in key.neighbours)
    return [
        {
            "upper": armbands[one.upper],
            "lower": armbands[one.lower],
            "reason": with_numbers(one.reason, armbands),
            "grant": with_numbers(one.grant, armbands),
        }
        for one in found
        if one
    ]


def _ruled(content, key) -> list[dict]:
    armbands = _armbands(content)
    return [
        {
            "armband": armbands.get(dog),
            "label": Ruling(entry["ruling"]).label,
            "reason": with_numbers(entry.get("reason", ""), armbands),
        }
        for dog, entry in key.rulings.items()
    ]
