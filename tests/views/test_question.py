"""Questions on a sheet: what is answered, told and kept back."""

import random
import re

import pytest
from django.utils.html import escape

from quizzes.demo_sheets import stored
from quizzes.kinds import kind_named
from quizzes.kinds.question.rows import Option, Question, Solution
from quizzes.models import Revision
from tests.factories import ModuleFactory
from tests.sheets import answered, opened, sheet

pytestmark = pytest.mark.django_db
KIND = kind_named("question")

ONE = {
    "text": "Which?",
    "answer": "one",
    "options": [{"id": "aa", "text": "This"}, {"id": "bb", "text": "That"}],
    "key": {"right": ["aa"], "said": {"aa": "Said of this.", "bb": "Said of that."}},
}
NUMBER = {
    "text": "How many?",
    "answer": "number",
    "unit": "cm",
    "key": {"number": 50, "within": 2, "nearly": 5, "why": "Measured."},
}


def asks(club, *rows, **more):
    return sheet(
        club,
        "question",
        size=len(rows),
        **stored({"kind": "question", "rows": rows}),
        **more,
    )


def send(client, attempt, do="save", **fields):
    data = {"version": attempt.version, "do": do}
    data |= {f"a-{row}": value for row, value in fields.items()}
    return client.post(f"/attempts/{attempt.pk}/sheet/", data)


def test_options_are_mixed_for_each_attempt_unless_the_row_says_otherwise():
    def orders(mixed):
        options = tuple(Option(id=f"x{n}", text=str(n)) for n in range(6))
        row = Question(id="r1", options=options, mixed=mixed)
        content = {"items": [row.document()]}
        return {
            tuple(
                KIND.show(content, rng=random.Random(n), again=False)["options"]["r1"]
            )
            for n in range(40)
        }

    assert len(orders(True)) > 20
    assert orders(False) == {tuple(f"x{n}" for n in range(6))}


def test_the_page_has_the_order_of_the_attempt_and_keeps_it(client, club, bob):
    attempt = opened(sheet(club, "question"), bob)
    client.force_login(bob)
    page = client.get(f"/attempts/{attempt.pk}/").content.decode()
    for row, order in attempt.shown["options"].items():
        assert re.findall(rf'name="a-{row}" value="(\w+)"', page) == order
    answered(attempt.revision, bob)
    told = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
    texts = KIND.sheet(attempt.revision.content).by_id
    for row, order in attempt.shown["options"].items():
        names = [texts[row].by_option[pk].text for pk in order]
        here = told.split(f'id="row-{row}"')[1]
        places = [here.index(f"<p>{escape(name)} ") for name in names if name]
        assert places == sorted(places)


def test_nothing_tells_right_from_wrong_before(client, club, bob):
    """Two sheets that differ in the key alone make the same page."""
    other = {**ONE, "key": {"right": ["bb"], "said": {}, "why": ""}}
    pages, module = [], ModuleFactory(club=club)
    client.force_login(bob)
    for row in (ONE, other):
        attempt = opened(asks(club, row, module=module), bob)
        page = client.get(f"/attempts/{attempt.pk}/").content.decode()
        pages.append(
            re.sub(
                r"token\" value=\"\w+|/attempts/\d+/|sheet=\"\d+|nonce-\S+", "", page
            )
        )
        assert "Said of" not in page
    assert pages[0] == pages[1]


def test_each_option_is_spoken_of_afterwards(client, club, bob):
    attempt = answered(asks(club, ONE), bob)
    client.force_login(bob)
    page = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
    assert "Said of this." in page
    assert "Said of that." in page


def test_a_number_with_a_comma_is_a_number(client, club, bob):
    attempt = opened(asks(club, NUMBER), bob)
    client.force_login(bob)
    assert send(client, attempt, "hand-in", r1="52,5").status_code == 302
    attempt.refresh_from_db()
    assert attempt.answer == {"items": {"r1": 52.5}}
    assert attempt.grades.get().pairs_agreed == 0.5
    page = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
    assert "You say 52.5 cm." in page
    assert "50 cm, give or take 2" in page
    assert "random" not in page


def test_words_in_the_place_of_a_number_come_back_with_a_sentence(client, club, bob):
    attempt = opened(asks(club, NUMBER), bob)
    client.force_login(bob)
    page = send(client, attempt, r1="about fifty")
    assert page.status_code == 422
    text = page.content.decode()
    assert "give a number, such as 12 or 12.5" in text
    assert 'value="about fifty"' in text


def test_chance_is_told_where_no_number_is_asked(client, club, bob):
    one, two = (answered(asks(club, *rows), bob) for rows in ([ONE], [ONE, NUMBER]))
    assert one.grades.get().chance == 0.5
    assert two.grades.get().chance is None
    client.force_login(bob)
    page = client.get(f"/attempts/{two.pk}/result/").content.decode()
    assert "how often a number is guessed, nobody knows" in page


@pytest.mark.parametrize("value", [["aa"], "cc", 7, {"aa": 1}, ["aa", "cc"], True])
def test_what_is_no_option_is_no_answer(value):
    row = KIND.asked.read({**ONE, "id": "r1"})
    with pytest.raises(Exception, match="no answer"):
        KIND.check_one(row, value)


def test_a_row_says_what_it_lacks():
    def lacks(row, **known):
        return KIND.lacks(Question(**row), Solution(**known))

    two = (Option(id="aa", text="This"), Option(id="bb", text="That"))
    assert not lacks({"text": "Which?", "options": two}, right=("aa",))
    assert len(lacks({"options": ()})) == 3
    both = lacks({"text": "Which?", "options": two}, right=("aa", "bb"))
    assert both == ["Tick one as right, or let more than one be right."]
    several = {"text": "Which?", "options": two, "answer": "several"}
    assert not lacks(several, right=("aa", "bb"))
    number = {"text": "How many?", "answer": "number"}
    assert lacks(number) == ["Give the number."]
    assert lacks(number, number=5.0, within=2.0, nearly=2.0)
    assert not lacks(number, number=0.0)
    unseen = {"text": "Which?", "options": two, "image": {"photo": "x"}}
    assert lacks(unseen, right=("aa",)) == ["Say in words what its picture shows."]


def test_options_keep_their_ids_when_they_are_written_anew(client, club, alice):
    revision = asks(club, ONE)
    client.force_login(alice)
    url = f"/workshop/sheets/{revision.exercise_id}/"
    form = client.get(url).context["rows"][0]
    data = {
        field.html_name: field.value()
        for field in form
        if field.value() not in (None, False)
    }
    data |= {
        "version": revision.version,
        "row": "r1",
        "title": "Mine",
        "row-r1-text-0": "",
        "row-r1-text-1": "That one",
        "row-r1-text-2": "Another",
        "row-r1-right-2": "on",
    }
    data.pop("row-r1-right-0")
    assert client.post(url, data).status_code == 302
    draft = Revision.objects.get(exercise=revision.exercise, state="draft")
    first, second = draft.content["items"][0]["options"]
    assert (first["id"], first["text"]) == ("bb", "That one")
    key = draft.key["items"]["r1"]
    assert key["right"] == [second["id"]]
    assert key["said"] == {"bb": "Said of that."}
