"""What is pointed out in a critique follows from its words alone."""

import json
from pathlib import Path

import pytest

from quizzes.kinds.critique.pointing import pointed_out
from trainer.study.models import Priority, Term
from trainer.study.rich import Glossary

MODULE = json.loads(Path("fixtures/marlefell-drover/module.json").read_text())


@pytest.fixture
def glossary():
    return Glossary(
        [Term(number=n, **row) for n, row in enumerate(MODULE["terms"], start=1)]
    )


@pytest.fixture
def priorities():
    names = ("slug", "name", "look_for", "feel_for")
    return [
        Priority(**{name: row[name] for name in names}) for row in MODULE["priorities"]
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Stifle bent, hock a trifle high.", {"Hindquarters and croup"}),
        ("The upper lip is tight.", set()),
        ("Coat harsh.", {"Coat"}),
        ("A dog I like.", set()),
    ],
)
def test_priority_is_mentioned_by_its_name_or_by_a_term_of_its_own(
    glossary, priorities, text, said
):
    found = pointed_out(text, glossary, priorities)
    assert {one.priority.name for one in found.mentioned} == said
    assert len(found.mentioned) + len(found.not_mentioned) == len(priorities)


def test_terms_are_found_in_any_spelling(glossary):
    assert glossary.found_in("Hocks low", {"hock"}) == ("Hocks",)
    assert glossary.found_in("Hocks low", {"stifle"}) == ()
    assert Glossary([]).terms_in("Hocks low") == []
