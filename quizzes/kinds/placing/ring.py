"""An attempt's class as its pages show it: cards in ring order, rows of the board."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.kinds.placing.board import Board, Ruling
from quizzes.kinds.placing.content import ClassContent, Dog
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.pictures import Pictures, Shown
from quizzes.kinds.placing.places import count_word, ordinal
from quizzes.models import Attempt
from quizzes.practice.showing import names_in_words


@dataclass(frozen=True)
class Card:
    """One dog as this attempt shows it: its number, what it looks and feels like, where it stands."""

    dog: Dog
    armband: int
    picture: Shown | None
    views: Sequence[Shown] = ()
    place: int | None = None
    ruling: str = ""
    reason: str = ""
    hand_waits: bool = False
    picture_goes: bool = False

    @property
    def by_hand(self) -> str:
        """What the hand finds; nothing as long as the dog has not been gone over."""
        return "" if self.hand_waits else self.dog.hands_on

    @property
    def id(self) -> str:
        return self.dog.id

    @property
    def marker(self) -> str:
        return ordinal(self.place) if self.place else ""

    @property
    def ruling_label(self) -> str:
        return Ruling(self.ruling).label if self.ruling else ""

    @property
    def sex_and_age(self) -> str:
        sex = _("Bitch") if self.dog.sex == "bitch" else _("Dog")
        return (
            f"{sex}, {age_in_words(self.dog.age_months)}"
            if self.dog.age_months
            else sex
        )


def age_in_words(months: int) -> str:
    """Months below two years, whole and half years above."""
    if months < 24:
        return ngettext("%(n)s month", "%(n)s months", months) % {"n": months}
    years, half = divmod(months, 12)
    if half >= 6:
        return _("%(n)s and a half years") % {"n": years}
    return ngettext("%(n)s year", "%(n)s years", years) % {"n": years}


class Ring:
    """An attempt's class as the pages show it: cards in ring order, rows of the board."""

    def __init__(self, attempt: Attempt):
        self.attempt = attempt
        content = attempt.revision.content
        self.content = ClassContent.read(content)
        self.board: Board = KIND.board(content, attempt.shown, attempt.answer)
        dogs = self.content.by_id
        self.pictures = pictures = Pictures(attempt, self.content)
        places = {dog: place for place, dog in enumerate(self.board.order, start=1)}
        self.cards = [
            Card(
                dog=dogs[dog],
                armband=armband,
                picture=pictures.of(dogs[dog]) if self.shows_picture(dog) else None,
                views=pictures.more(dogs[dog]) if self.shows_picture(dog) else (),
                place=places.get(dog),
                hand_waits=self.content.hand_later and not self.is_handled(dog),
                picture_goes=self.content.picture_goes,
                **self.board.rulings.get(dog, {}),
            )
            for dog, armband in attempt.shown["line"]
        ]
        self.by_id = {card.id: card for card in self.cards}

    def is_handled(self, dog: str) -> bool:
        """Whether the dog was gone over; once the placing is in, all is told."""
        return self.attempt.is_handed_in or dog in self.board.handled

    def shows_picture(self, dog: str) -> bool:
        """False for a dog that was gone over, in a class whose pictures are for the ring-side."""
        goes = self.content.picture_goes and dog in self.board.handled
        return self.attempt.is_handed_in or not goes

    def overlay(self, first: Card, second: Card, **how) -> Shown | None:
        """The outlines of two dogs over each other, where both are drawn and still to be seen."""
        if not (first.picture and second.picture):
            return None
        return self.pictures.overlay(first.dog, second.dog, **how)

    @property
    def has_plates(self) -> bool:
        return any(card.picture and card.picture.light for card in self.cards)

    @property
    def in_words(self) -> list[str]:
        """What no plate of the class shows, by the priorities it is judged on."""
        rows = self.attempt.revision.module_revision.priorities
        return names_in_words(self.content, rows.prefetch_related("phrases", "steps"))

    @property
    def first_two(self) -> Shown | None:
        """The outlines of the first two dogs over each other, where both are drawn."""
        return self.overlay(*self.cards[:2])

    @property
    def rows(self) -> list[dict]:
        order = self.board.order
        return [
            {
                "marker": ordinal(place),
                "card": self.by_id[order[place - 1]] if place <= len(order) else None,
                "next": ordinal(place) if place == len(order) + 1 else "",
                "above": ordinal(place - 1) if place > 1 else "",
                "below": ordinal(place + 1) if place < len(order) else "",
            }
            for place in range(1, self.board.rows + 1)
        ]

    @property
    def placed(self) -> list[Card]:
        return [self.by_id[dog] for dog in self.board.order]

    @property
    def in_line(self) -> list[Card]:
        return [self.by_id[dog] for dog in self.board.in_line]

    @property
    def ruled(self) -> list[Card]:
        return [card for card in self.cards if card.ruling]

    @property
    def asked(self) -> str:
        """How many dogs get a place, now that others have a ruling."""
        n, board = self.board.rows, self.board
        if board.places:
            words = ngettext("Place the best.", "Place the %(n)s best.", n)
            return words % {"n": count_word(n)}
        if not board.rulings:
            words = ngettext("Place the one dog.", "Place all %(n)s.", n)
        elif n:
            words = ngettext("Place the one left.", "Place the other %(n)s.", n)
        else:
            return _("No dog is left to place.")
        return words % {"n": n}

    @property
    def next_place(self) -> str:
        """The place a dog pointed at now would take; empty when all are taken."""
        return "" if self.board.is_full else ordinal(len(self.board.order) + 1)

    @property
    def missing(self) -> list[str]:
        return KIND.missing(
            self.attempt.revision.content, self.attempt.shown, self.attempt.answer
        )

    @property
    def ready_said(self) -> str:
        """What handing in leads to, once the placing is whole."""
        if self.content.ask_reasons:
            return _("You give your reasons next; the placing can still be changed.")
        if self.attempt.withheld:
            return _("Once handed in, the placing can't be changed.")
        return _(
            "After this you see the mentor's key, so the placing can't be changed."
        )

    @property
    def lacks_only_reasons(self) -> bool:
        """The placing is whole, and the class asks for reasons that are not given yet."""
        return self.board.is_complete and bool(self.missing)

    @property
    def state(self) -> dict:
        """What the page's script starts from."""
        return {
            **self.board.answer(),
            "version": self.attempt.version,
            "dogs": [card.id for card in self.cards],
            "places": self.board.places,
            "armbands": {card.id: card.armband for card in self.cards},
            "ordinals": [ordinal(place) for place in range(1, len(self.cards) + 1)],
            "counts": [count_word(n) for n in range(len(self.cards) + 1)],
            "rulingLabels": {ruling.value: str(ruling.label) for ruling in Ruling},
        }


def open_attempt(request, pk) -> Attempt:
    """The person's own attempt, with what its page needs and without the key."""
    mine = Attempt.objects.answerable_by(request.user).for_player()
    return get_object_or_404(mine, pk=pk, revision__exercise__kind=KIND.slug)


def stands(attempt) -> Board:
    return KIND.board(attempt.revision.content, attempt.shown, attempt.answer)
