"""Before the answer is in, nothing that reaches the browser says anything of the key."""

import json
import re

import pytest
from playwright.sync_api import expect

from tests.browser.ring import address, card, expect_saved, hand_in_button, place
from tests.factories import AttemptFactory, ModuleFactory
from tests.placing import key, placing_class
from trainer.study.models import Breed

pytestmark = pytest.mark.django_db(transaction=True)

REASON = "Quillfeather shoulder, by a hair"
GRANT = "Thistledown coat, the better one"
NOTE = "Marrowbone note of the mentor"
FORBIDDEN = [
    "Quillfeather",
    "Thistledown",
    "Marrowbone",
    '"cuts"',
    '"level"',
    '"levels"',
    '"faults"',
    '"pairs"',
    '"key"',
    "priority-1",
    "0.8437",
]


@pytest.fixture
def secret_class(club):
    """A drawn class whose key and dogs carry words that are found again."""
    breed = Breed.objects.create(name="Marlefell Drover", slug="marlefell-drover")
    document = key("abc", cuts=[3, 7], note=NOTE)
    for pair in document["pairs"]:
        pair["reason"], pair["grant"] = REASON, GRANT
    hidden = {"levels": {"priority-1": 4}, "faults": {"F1": 0.8437}}
    revision = placing_class(
        club,
        names="abc",
        module=ModuleFactory(club=club, breed=breed),
        key=document,
        by_dog={"b": hidden},
    )
    revision.content["breed"] = breed.slug
    revision.save()
    return revision


def listen(page):
    """All that the server says from now on, static files apart: addresses, headers, bodies."""
    heard = []

    def pass_on(route):
        reply = route.fetch(max_redirects=0)
        heard.append((reply.url, json.dumps(reply.headers) + reply.text()))
        route.fulfill(response=reply)

    page.route(re.compile("^(?!.*/static/)"), pass_on)
    return heard


def order_forms(ids):
    """The key's order as it would stand in a document."""
    return [json.dumps(ids), json.dumps(ids, separators=(",", ":")), ",".join(ids)]


def test_key_never_reaches_the_browser_before_the_hand_in(visits, secret_class, bob):
    line = [["c", 33], ["a", 11], ["b", 22]]
    attempt = AttemptFactory(revision=secret_class, trainee=bob, shown={"line": line})
    page = visits.open(bob)
    heard = listen(page)
    page.goto(f"/classes/{secret_class.exercise_id}/")
    page.goto(address(attempt))
    place(page, "b", "a", "c")
    expect_saved(page)
    page.get_by_role("button", name="Move 33 up to 2nd").click()
    expect_saved(page)
    card(page, "a").get_by_role("link", name="Compare").click()
    page.go_back()
    page.get_by_role("link", name="Excuse, disqualify or withhold").click()
    page.get_by_role("link", name=re.compile("^11")).click()
    page.get_by_role("link", name=re.compile("^Keep 11 at 3rd$")).click()
    expect(card(page, "a").locator("img")).to_be_visible()
    page.wait_for_load_state("networkidle")
    drawings = {url for url, _text in heard if ".svg?" in url}
    assert len([url for url in drawings if "/plates/" in url]) == 3
    assert len([url for url in drawings if "/overlays/" in url]) == 1

    forbidden = [
        *FORBIDDEN,
        *order_forms(list("abc")),
        *order_forms(["11", "22", "33"]),
    ]
    for url, text in heard:
        assert not [word for word in forbidden if word in url + text], url
    page.unroute_all()

    hand_in_button(page).click()
    page.wait_for_url(re.compile("/result/$"))
    expect(page.get_by_text("Quillfeather").first).to_be_visible()
