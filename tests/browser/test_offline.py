"""Without a connection: what was opened is read on, what was taken along too, and nobody else reads it."""

import re

import pytest
from playwright.sync_api import expect

from quizzes.models import Attempt
from tests.browser.conftest import PHONE, session_cookie
from tests.browser.pages import Cast
from tests.browser.ring import (
    address,
    attempt_at,
    board,
    expect_order,
    expect_saved,
    place,
    stored_order,
)
from tests.factories import LessonFactory, ModuleFactory
from trainer.study.page_reads import PageRead
from trainer.study.sections import new_section

pytestmark = pytest.mark.django_db(transaction=True)
SENTENCE = "The topline is felt before it is seen."


@pytest.fixture
def module(club):
    module = ModuleFactory(club=club, breed__name="Fell Drover")
    revision = module.revisions.get()
    for number, name in enumerate(("Standing", "Moving"), start=1):
        text = new_section("text") | {"text": SENTENCE}
        given = {"number": number, "slug": name.lower(), "name": name}
        LessonFactory(revision=revision, sections=[text], **given)
    return module


def open_kept(visits, user, url):
    """A page that was opened with a connection, on a device that keeps it."""
    page = visits.open(user, viewport=PHONE, service_workers="allow")
    page.goto(url)
    page.wait_for_selector("html[data-keeps-pages]", state="attached")
    return page


def kept_addresses(page):
    return page.evaluate(
        """async () => {
          const found = [];
          for (const name of await caches.keys()) if (name.startsWith("kept-"))
            for (const one of await (await caches.open(name)).keys()) found.push(new URL(one.url).pathname);
          return found;
        }"""
    )


def lesson(module, slug="standing"):
    return f"/modules/{module.pk}/lessons/{slug}/"


def test_what_was_opened_is_read_without_a_connection(visits, module, bob):
    page = open_kept(visits, bob, lesson(module))
    page.context.set_offline(True)
    page.reload()
    expect(page.get_by_text(SENTENCE)).to_be_visible()
    expect(page.get_by_text("This is the page as your device kept it")).to_be_visible()
    # The style sheets are there too.
    face = page.evaluate("getComputedStyle(document.body).fontFamily")
    assert "Atkinson" in face


def test_what_was_not_opened_says_so_and_lists_what_was(visits, module, bob):
    page = open_kept(visits, bob, lesson(module))
    page.context.set_offline(True)
    page.goto(lesson(module, "moving"))
    expect(page.get_by_role("heading", name="No connection")).to_be_visible()
    page.get_by_role("link", name="Standing").click()
    expect(page).to_have_url(re.compile("/standing/$"))
    expect(page.get_by_text(SENTENCE)).to_be_visible()


def test_a_module_is_taken_along_with_its_progress_told(visits, module, bob):
    page = open_kept(visits, bob, f"/modules/{module.pk}/")
    page.get_by_role("button", name="Keep this module for the train").click()
    expect(
        page.get_by_text(re.compile(r"Kept on this device: all \d+"))
    ).to_be_visible()
    # Fetching a page ahead is not reading it.
    assert not PageRead.objects.exists()
    page.context.set_offline(True)
    for url in (
        lesson(module, "moving"),
        f"/modules/{module.pk}/examination/",
        f"/modules/{module.pk}/examination/hands-free/",
        f"/modules/{module.pk}/faults/",
        "/modules/",
    ):
        page.goto(url)
        expect(page.get_by_role("heading", name="No connection")).to_have_count(0)
        expect(page.get_by_role("heading", level=1)).to_be_visible()
    page.context.set_offline(False)
    page.goto(f"/modules/{module.pk}/")
    page.get_by_role("button", name="Remove it from this device").click()
    expect(page.get_by_text("Nothing of this module is kept")).to_be_visible()
    # The page that is open was kept by opening it.
    assert lesson(module, "moving") not in kept_addresses(page)


def test_signing_out_takes_the_kept_pages_away(visits, module, bob):
    page = open_kept(visits, bob, lesson(module))
    assert lesson(module) in kept_addresses(page)
    page.goto("/account/logout/")
    page.get_by_role("main").get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("link", name="Sign in").first).to_be_visible()
    page.wait_for_function(
        "caches.keys().then((names) => !names.some((name) => name.startsWith('kept-')))"
    )
    page.context.set_offline(True)
    page.goto(lesson(module))
    expect(page.get_by_role("heading", name="No connection")).to_be_visible()
    expect(page.get_by_text(SENTENCE)).to_have_count(0)


def test_another_person_on_the_device_finds_nothing_of_the_first(
    visits, module, bob, alice
):
    page = open_kept(visits, bob, lesson(module))
    page.context.clear_cookies()
    page.context.add_cookies([session_cookie(alice, visits.url)])
    page.goto(f"/modules/{module.pk}/faults/")
    page.wait_for_function(
        "caches.keys().then((names) => names.filter((name) => name.startsWith('kept-')).length < 2)"
    )
    page.context.set_offline(True)
    page.goto(lesson(module))
    expect(page.get_by_role("heading", name="No connection")).to_be_visible()
    expect(page.get_by_text(SENTENCE)).to_have_count(0)


def test_pages_that_may_not_be_kept_are_not(visits, module, club, alice):
    page = open_kept(visits, alice, lesson(module))
    for url in ("/", "/record/", "/workshop/", "/you/profile/", "/clubs/"):
        page.goto(url)
    assert [
        url for url in kept_addresses(page) if not url.startswith("/modules/")
    ] == []
    page.context.set_offline(True)
    page.goto("/record/")
    expect(page.get_by_role("heading", name="No connection")).to_be_visible()


def test_what_is_read_without_a_connection_is_told_later(visits, module, bob):
    page = open_kept(visits, bob, lesson(module))
    page.goto(lesson(module, "moving"))
    expect(page.get_by_text(SENTENCE)).to_be_visible()
    page.context.set_offline(True)
    page.goto(lesson(module))
    expect(page.get_by_text(SENTENCE)).to_be_visible()
    page.goto(lesson(module, "moving"))
    expect(page.get_by_text("as your device kept it")).to_be_visible()
    page.context.set_offline(False)
    with page.expect_response(lambda answer: answer.url.endswith("/read/")):
        page.goto(f"/modules/{module.pk}/faults/")
    rows = PageRead.objects.owned_by(bob)
    assert {row.slug for row in rows} == {"standing", "moving", ""}


def test_moves_made_without_a_connection_outlast_a_reload_and_are_sent_once(
    visits, club, bob
):
    attempt = attempt_at(club, bob)
    page = open_kept(visits, bob, address(attempt))
    # The switch below reaches neither requests that outlive their page nor all that pass a worker by.
    page.add_init_script(
        "const send = fetch; window.fetch = (to, how) => send(to, {...how, keepalive: false});"
    )
    page.reload()
    place(page, "a")
    expect_saved(page)
    before = Attempt.objects.get(pk=attempt.pk).version
    page.context.set_offline(True)
    page.context.route("**/save/**", lambda route: route.abort())
    place(page, "b", "c")
    page.reload()
    expect_order(page, "a", "b", "c")
    expect(board(page).locator("[data-slip]:visible")).to_contain_text("No connection")
    assert stored_order(attempt) == [11]
    saves = []
    page.on("response", lambda one: "/save/" in one.url and saves.append(one.status))
    page.context.unroute("**/save/**")
    page.context.set_offline(False)
    expect_saved(page)
    assert saves == [200]
    assert stored_order(attempt) == [11, 22, 33]
    assert Attempt.objects.get(pk=attempt.pk).version == before + 1


def test_the_page_of_an_attempt_goes_when_it_is_handed_in(visits, club, bob):
    attempt = attempt_at(club, bob, order="abcde")
    page = open_kept(visits, bob, address(attempt))
    assert address(attempt) in kept_addresses(page)
    board(page).locator("[data-hand-in] button").click()
    expect(page).to_have_url(re.compile(r"/result/$"))
    assert kept_addresses(page) == []
    page.context.set_offline(True)
    page.goto(address(attempt))
    expect(page.get_by_role("heading", name="No connection")).to_be_visible()


@pytest.mark.parametrize("kind", ["severity", "critique"])
def test_an_answer_outlasts_a_reload_without_a_connection(visits, kind):
    """Given offline, reloaded offline, sent once when the connection is back; then the page goes."""
    cast = Cast()
    attempt = cast.open_critique if kind == "critique" else cast.open_sheets[kind]
    url = f"/attempts/{attempt.pk}/"
    page = open_kept(visits, cast.trainee, url)
    page.context.set_offline(True)
    if kind == "critique":
        page.get_by_role("textbox").fill("A balanced dog with a good croup.")
    else:
        page.get_by_role("radio").first.check()
    state = page.locator("[data-saved]")
    expect(state).to_have_text(re.compile("No connection"))
    page.reload()
    if kind == "critique":
        expect(page.get_by_role("textbox")).to_have_value(re.compile("good croup"))
    else:
        expect(page.get_by_role("radio").first).to_be_checked()
    page.context.set_offline(False)
    expect(state).to_have_text(re.compile("Saved"), timeout=20_000)
    attempt.refresh_from_db()
    assert attempt.version == 1
    assert url in kept_addresses(page)
