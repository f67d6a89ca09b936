"""Sentences for people can be translated: each is a marked template, and values to fill in."""

import re
from pathlib import Path

import pytest

from quizzes import generator
from quizzes.generator import Changes, Note, WishProblem, make_class, overrule
from tests.generator.material import PRIORITIES, by_id, made, wish

FOLDER = Path(generator.__file__).parent


def test_a_note_is_its_template_filled_in():
    one = made(4, "plain", 3)
    dogs = by_id(one.content)
    first, second = one.key["order"][:2]
    levels = {**dogs[first]["levels"], "back": 2}
    changes = Changes(levels={first: {**levels, "back": 3}, second: levels})
    note = overrule(PRIORITIES, one.content, one.key, changes).notes[0]
    assert isinstance(note, Note)
    assert note == note.template % note.values
    assert note.values["name"] == "Back and loin"


@pytest.mark.parametrize(
    ("wanted", "values"),
    [
        ({"size": 99}, {"least": 3, "most": 12}),
        ({"sex": "cat"}, {"sex": "cat"}),
        ({"places": 0}, {"most": 5}),
        ({"either_below": 2}, {}),
    ],
)
def test_a_refusal_is_its_template_filled_in(wanted, values):
    with pytest.raises(WishProblem) as refused:
        make_class(PRIORITIES, wish(**{"size": 5, **wanted}))
    problem = refused.value
    assert problem.values == values
    assert str(problem) == problem.template % values


def test_every_refusal_and_note_is_marked_for_translators():
    """No sentence is put together from parts where a translator could not reach it."""
    for path in FOLDER.glob("*.py"):
        for inside in re.findall(r"(?:WishProblem|Note)\(\s*(\S+)", path.read_text()):
            assert not inside.startswith(('"', "'", 'f"')), (path.name, inside)
