"""A placing in a record that is taken away, and what may stay of it once the person is gone."""

from __future__ import annotations

from quizzes.kinds.base import Interaction
from quizzes.kinds.placing.content import ClassContent, ClassKey


def interaction(content: ClassContent, key: ClassKey, answer) -> Interaction:
    """The dogs in the order given. The key is a pattern only where it is the one right order of all dogs."""
    dogs = [(dog.id, str(dog.armband)) for dog in content]
    one_order = len(key.order) == len(dogs) and not key.level and not key.rulings
    whole = one_order and (content.places or len(dogs)) >= len(dogs)
    return Interaction(
        type="sequencing",
        response="[,]".join(answer.get("order", ())),
        pattern=("[,]".join(key.order),) if whole else None,
        components={"choices": dogs},
    )


def anonymous(answer) -> dict:
    """The order and the rulings; the reasons are the person's own words and go."""
    rulings = {
        dog: {"ruling": entry["ruling"], "reason": ""}
        for dog, entry in answer.get("rulings", {}).items()
    }
    return {"order": list(answer.get("order", ())), "rulings": rulings}
