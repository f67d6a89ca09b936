"""What the placing page's tests do and read again and again."""

from playwright.sync_api import expect

from quizzes.models import Attempt
from tests.factories import AttemptFactory
from tests.placing import placing_class

ARMBANDS = {"a": 11, "b": 22, "c": 33, "d": 44, "e": 55}
ARMBANDS |= {dog: 60 + n for n, dog in enumerate("fghijkl")}
RING = "cbeadfghijkl"
"""The order in which the dogs stand; the mentor's is by the letters."""


def attempt_at(club, trainee, *, order="", names="abcde", **more):
    """An open attempt whose line-up is known, with dogs placed already if asked for."""
    revision = placing_class(club, names=names, **more)
    line = [[dog, ARMBANDS[dog]] for dog in RING if dog in names]
    stored = {"answer": {"order": list(order), "rulings": {}}} if order else {}
    return AttemptFactory(
        revision=revision, trainee=trainee, shown={"line": line}, **stored
    )


def address(attempt):
    return f"/attempts/{attempt.pk}/"


def stored_order(attempt):
    """The order in the database, as armband numbers."""
    answer = Attempt.objects.get(pk=attempt.pk).answer
    return [ARMBANDS[dog] for dog in answer.get("order", [])]


def card(page, dog):
    return page.locator(f"#dog-{dog}")


def place(page, *dogs):
    """Point to the dogs, one after another."""
    for dog in dogs:
        card(page, dog).get_by_role("button", name="Place").click()
        expect(card(page, dog).get_by_role("button", name="Take back")).to_be_visible()


def board(page):
    return page.get_by_role("region", name="Your placing", exact=True)


def arrow(page, name):
    return page.get_by_role("button", name=name)


def expect_order(page, *dogs):
    """The board shows these dogs in its upper rows."""
    cells = board(page).locator("[data-board] [data-cell] .armband")
    expect(cells).to_have_text([str(ARMBANDS[dog]) for dog in dogs])


def save_state(page):
    """The words of the save state on the board."""
    return board(page).locator("[data-save-state] p:visible")


def expect_saved(page):
    expect(save_state(page)).to_contain_text("Saved ")


def live_line(page):
    return page.locator("[data-moved]")


def hand_in_button(page):
    return board(page).locator("[data-hand-in] button")


def press_not_yet(button):
    """Press a button that says it can't do its work yet; people do."""
    expect(button).to_have_attribute("aria-disabled", "true")
    button.click(force=True)
