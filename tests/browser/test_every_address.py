"""Every address that answers with a page is accessible and fits a narrow screen.

The addresses come from the table of who gets what (tests/views/access_table.py), which a
new address can't be missing from. Administration pages are the framework's own.
"""

import pytest
from django.urls import reverse

from tests.browser.axe import assert_accessible, assert_fits
from tests.views.access_table import OK, TABLE, WHO
from tests.views.test_access import Cast

pytestmark = pytest.mark.django_db(transaction=True)

NARROW = {"width": 320, "height": 568}


def somebody(row):
    """The first kind of person who gets the page; visitors before people signed in."""
    return next((who for who in WHO if row.get.get(who) == OK), None)


PAGES = {name: somebody(row) for name, row in TABLE.items() if somebody(row)}


def test_the_table_has_pages():
    assert len(PAGES) > 40


@pytest.mark.parametrize("name", PAGES)
def test_page(visits, name):
    cast = Cast()
    address = reverse(name, kwargs=TABLE[name].args(cast))
    page = visits.open(
        cast.people.get(PAGES[name]),
        viewport=NARROW,
        color_scheme="light",
        reduced_motion="reduce",
    )
    answer = page.request.get(address)
    if not answer.headers["content-type"].startswith("text/html"):
        return
    assert page.goto(address).status == 200
    assert page.locator("h1").count() == 1
    assert_fits(page)
    assert_accessible(page)
    page.emulate_media(color_scheme="dark")
    assert_accessible(page)
