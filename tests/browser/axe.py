"""Pages against the accessibility rules that a program can check."""

import json

from axe_playwright_python.sync_playwright import Axe

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
REACH = ["target-size", "scrollable-region-focusable"]
COLOURS = ["color-contrast", "link-in-text-block"]


def assert_accessible(page, only=TAGS):
    """No violation of WCAG 2.0 to 2.2, A and AA, in the page as it stands."""
    options = {"runOnly": only, "resultTypes": ["violations"]}
    found = Axe().run(page, options=options).response["violations"]
    told = [
        {
            "rule": rule["id"],
            "help": rule["help"],
            "where": [node["html"][:160] for node in rule["nodes"]],
            "why": [node["failureSummary"][:300] for node in rule["nodes"][:2]],
        }
        for rule in found
    ]
    assert not told, f"{page.url}\n{json.dumps(told, indent=1)}"


def assert_contrast(page):
    """The rules about colours alone: another scheme changes nothing that the others look at."""
    assert_accessible(page, COLOURS)


def assert_reached(page):
    """The rules about sizes and what scrolls: all that a narrower window changes of the same page."""
    assert_accessible(page, REACH)


def assert_fits(page):
    """The page is read without scrolling sideways; if not, say what sticks out."""
    wide, room, out = page.evaluate(
        """() => {
            const root = document.documentElement;
            const out = [...document.querySelectorAll("body *")]
                .filter((e) => e.getBoundingClientRect().right > root.clientWidth + 1)
                .map((e) => e.outerHTML.slice(0, 120));
            return [root.scrollWidth, root.clientWidth, out.slice(0, 8)];
        }"""
    )
    assert wide <= room, f"{page.url} is {wide} px wide in {room} px: {out}"
