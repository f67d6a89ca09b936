"""Two dogs of a class side by side, or their outlines laid over each other."""

from __future__ import annotations

from dataclasses import replace

from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.kinds.placing.pictures import ALIGNMENTS
from quizzes.kinds.placing.ring import Card, Ring, open_attempt


def _two_cards(request, ring: Ring) -> tuple[Card, Card]:
    """The two dogs that the query names; others of the class where it names none."""
    first = ring.by_id.get(request.GET.get("first", ""), ring.cards[0])
    others = [card for card in ring.cards if card is not first]
    second = ring.by_id.get(request.GET.get("second", ""))
    return first, others[0] if second is None or second is first else second


def _links(name: str, labels, chosen: str, **query) -> list[dict]:
    """Links that change one word of the compare page's address."""
    return [
        {
            "label": label,
            "query": urlencode({**query, name: value}),
            "current": value == chosen,
        }
        for value, label in labels.items()
    ]


def _one_of(request, name: str, known) -> str:
    value = request.GET.get(name)
    return value if value in known else next(iter(known))


@require_safe
def compare(request, pk):
    """Two dogs of the class side by side or laid over each other; also after it is handed in."""
    attempt = open_attempt(request, pk)
    home = attempt.get_absolute_url()
    return compare_page(request, Ring(attempt), attempt.revision, home=home)


def compare_page(request, ring, revision, *, home: str):
    """The page of the two dogs of a ring (cards, by_id, pictures, overlay) that the query names.

    home : address of the page that the class is on
    """
    pair = _two_cards(request, ring)
    labels = {view: VIEW_LABELS[view] for view in ("side", *ring.pictures.views)}
    view, align = (
        _one_of(request, "view", labels),
        _one_of(request, "align", ALIGNMENTS),
    )
    laid = {"align": align, "view": view}
    overlay = ring.overlay(*pair, **laid)
    over = overlay is not None and request.GET.get("how") == "over"
    back = _one_of(request, "from", {pair[0].id: "", **ring.by_id})
    how = {"first": pair[0].id, "second": pair[1].id, "from": back}
    if over:
        how["how"] = "over"
    context = {
        "home": home,
        "revision": revision,
        "ring": ring,
        "pair": [
            replace(card, picture=ring.pictures.of(card.dog, view=view))
            if card.picture
            else card
            for card in pair
        ],
        "back": back,
        "view": view,
        "overlay": overlay if over else None,
        "can_overlay": overlay is not None,
        "alignments": _links("align", ALIGNMENTS, align, **how)
        if over and view == "side"
        else [],
        "views": _links("view", labels, view, **how) if len(labels) > 1 else [],
    }
    return render(request, "quizzes/placing/compare.html", context)
