"""The page on which a mentor keys a class for a panel: the dogs as a trainee meets them, and the key."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

from django.urls import reverse

from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.key_desk import KeyDesk
from quizzes.kinds.placing.pictures import Pictures, Shown, photograph_ids
from quizzes.kinds.placing.problems import key_problems
from quizzes.kinds.placing.ring import Card
from quizzes.models import PanelKey


def shown_content(key: PanelKey) -> ClassContent:
    """The dogs in the order this mentor meets them, without the levels somebody gave them."""
    content = ClassContent.read(key.panel.content)
    by_id = content.by_id
    dogs = tuple(replace(by_id[dog], levels={}) for dog, _armband in key.shown["line"])
    return replace(content, dogs=dogs)


class PanelPictures(Pictures):
    """What a panel's mentor is shown of each dog."""

    def __init__(self, key: PanelKey, content: ClassContent):
        self.asked, self.content = key, content
        self.armbands = dict(key.shown["line"])
        self.photographs = photograph_ids(content, key.panel.exercise.club_id)

    def plate_address(self, dog) -> str:
        return reverse("quizzes:panel-plate", args=[self.asked.pk, dog.id])

    def overlay_address(self, first, second) -> str:
        args = [self.asked.pk, first.id, second.id]
        return reverse("quizzes:panel-overlay", args=args)


class PanelDesk(KeyDesk):
    """The key desk of one mentor of a panel, which asks for no reasons before it is done."""

    def __init__(self, asked: PanelKey, key: ClassKey, priorities, *, moved: str = ""):
        content = shown_content(asked)
        super().__init__(asked.panel, content, key, priorities, moved=moved)
        self.asked, self.pictures = asked, PanelPictures(asked, content)

    def plate_address(self, dog: str) -> str:
        return reverse("quizzes:panel-plate", args=[self.asked.pk, dog])

    @cached_property
    def cards(self) -> list[Card]:
        places = self.key.places()
        return [
            Card(
                dog=dog,
                armband=self.armbands[dog.id],
                picture=self.pictures.of(dog),
                views=self.pictures.more(dog),
                place=places.get(dog.id),
                **self.key.rulings.get(dog.id, {}),
            )
            for dog in self.content
        ]

    @property
    def by_id(self) -> dict[str, Card]:
        return {card.id: card for card in self.cards}

    def overlay(self, first: Card, second: Card, **how) -> Shown | None:
        """The outlines of two dogs over each other, where both are drawn."""
        return self.pictures.overlay(first.dog, second.dog, **how)

    @property
    def problems(self):
        return key_problems(self.content, self.key, reasons=False)
