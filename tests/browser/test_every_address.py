"""Every address that answers with a page is accessible and fits a narrow screen.

The addresses come from the table of who gets what (tests/views/access_table.py), which a
new address can't be missing from; those that test_pages.py looks at, with more on them, are not
looked at twice. Administration pages are the framework's own.
"""

import pytest
from django.urls import resolve, reverse

from tests.browser import pages
from tests.browser.axe import assert_accessible, assert_contrast, assert_fits
from tests.views.access_table import OK, TABLE, WHO
from tests.views.test_access import Cast

pytestmark = pytest.mark.django_db(transaction=True)

NARROW = {"width": 320, "height": 568}


def somebody(row):
    """The first kind of person who gets the page; visitors before people signed in."""
    return next((who for who in WHO if row.get.get(who) == OK), None)


class AnyCast:
    """Stands for the cast where only the address matters: whatever is asked of it is 1."""

    def __getattr__(self, _name):
        return self

    def __getitem__(self, _name):
        return self

    def __call__(self, **_more):
        return self

    def __format__(self, _how):
        return "1"


def looked_at():
    """Names of the addresses in pages.py, each with whether somebody is signed in."""
    for page in pages.PAGES.values():
        address, person = page(AnyCast())
        name = resolve(address.partition("?")[0]).view_name
        yield name, person is not None


LOOKED_AT = set(looked_at())
PAGES = {
    name: who
    for name, row in TABLE.items()
    if (who := somebody(row)) and (name, who != "anonymous") not in LOOKED_AT
}


def test_every_address_is_looked_at():
    everywhere = {name for name, _signed_in in LOOKED_AT} | set(PAGES)
    assert everywhere >= {name for name, row in TABLE.items() if somebody(row)}
    assert len(everywhere) > 80


@pytest.mark.parametrize("name", PAGES)
def test_page(reader, name):
    cast = Cast()
    address = reverse(name, kwargs=TABLE[name].args(cast))
    page = reader.open(cast.people.get(PAGES[name]), viewport=NARROW)
    answer = page.request.get(address)
    if not answer.headers["content-type"].startswith("text/html"):
        return
    assert page.goto(address).status == 200
    assert page.locator("h1").count() == 1
    assert_fits(page)
    assert_accessible(page)
    page.emulate_media(color_scheme="dark")
    assert_contrast(page)
