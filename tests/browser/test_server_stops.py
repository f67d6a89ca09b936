"""Whatever kind is answered: a server that stops and starts again in the middle loses nothing."""

import re

import pytest
from playwright.sync_api import expect

from quizzes.kinds import REGISTERED
from quizzes.kinds.two.answering import chosen_in
from tests.browser.pages import Cast
from tests.browser.restarting import restarting_server

pytestmark = pytest.mark.django_db(transaction=True)
SAVED = re.compile("Saved")


def give(page):
    """Answer the first thing that is still open on the page; return a function that says what stands there."""
    field = page.locator(
        "main form textarea, main form input[type=radio]:not(:checked),"
        " main form input[type=checkbox]:not(:checked), main form select,"
        " main form input[type=number], main form input[inputmode]"
    ).first
    name = field.get_attribute("name")
    kind = field.evaluate("field => field.type")
    if kind in ("radio", "checkbox"):
        field.check(force=True)
    elif kind.startswith("select"):
        field.select_option(index=1)
    else:
        field.fill("7" if kind != "textarea" else "A balanced dog with a good croup.")
    return lambda: page.evaluate(
        "name => JSON.stringify([...new FormData(document.querySelector('main form[data-autosave]')).getAll(name)])",
        name,
    )


def open_attempt(cast, kind):
    own = {"critique": "open_critique", "examination": "open_examination"}
    return getattr(cast, own[kind]) if kind in own else cast.open_sheets[kind]


@pytest.mark.parametrize(
    "kind", [one for one in REGISTERED if one not in ("placing", "two")]
)
def test_what_is_given_while_the_server_is_away_arrives(chromium, monkeypatch, kind):
    cast = Cast()
    attempt = open_attempt(cast, kind)
    with restarting_server(chromium, monkeypatch) as restarting:
        page = restarting.visits.open(cast.trainee)
        page.goto(f"/attempts/{attempt.pk}/")
        restarting.stop()
        given = give(page)()
        state = page.locator("[data-saved]")
        expect(state).to_have_text(re.compile("No connection"))
        restarting.start()
        expect(state).to_have_text(SAVED, timeout=20_000)
        page.reload()
        attempt.refresh_from_db()
        assert attempt.version >= 1
        assert given not in ("[]", '[""]')


def test_a_choice_between_two_made_while_the_server_is_away_arrives(
    chromium, monkeypatch
):
    cast = Cast()
    attempt = cast.open_pairs
    with restarting_server(chromium, monkeypatch) as restarting:
        page = restarting.visits.open(cast.trainee)
        page.goto(f"/attempts/{attempt.pk}/")
        restarting.stop()
        page.keyboard.press("ArrowLeft")
        expect(page.get_by_text("Your choice is kept in this page")).to_be_visible()
        restarting.start()
        expect(page.get_by_text("Pair 2 of").first).to_be_visible(timeout=20_000)
    attempt.refresh_from_db()
    assert len(chosen_in(attempt.answer)) == 1


def test_reasons_given_while_the_server_is_away_arrive(chromium, monkeypatch):
    cast = Cast()
    attempt = cast.attempt("abcde")
    attempt.revision.content |= {"ask_reasons": True}
    attempt.revision.save()
    with restarting_server(chromium, monkeypatch) as restarting:
        page = restarting.visits.open(cast.trainee)
        page.goto(f"/attempts/{attempt.pk}/reasons/")
        restarting.stop()
        page.get_by_role("checkbox").first.check()
        state = page.locator("[data-saved]")
        expect(state).to_have_text(re.compile("No connection"))
        restarting.start()
        expect(state).to_have_text(SAVED, timeout=20_000)
    attempt.refresh_from_db()
    assert [one for one in attempt.answer["reasons"].values() if one["for"]]
