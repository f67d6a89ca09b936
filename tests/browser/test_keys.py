"""Signing in with a key where the browser can't: the page says so beside the button."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize(
    ("script", "says"),
    [
        (
            "delete window.PublicKeyCredential; navigator.credentials.get = undefined",
            "A passkey can\u2019t be used here",
        ),
        (
            "navigator.credentials.get = async () => "
            "{ throw new DOMException('', 'SecurityError') }",
            "A passkey can\u2019t be used here",
        ),
        (
            "navigator.credentials.get = async () => "
            "{ throw new DOMException('', 'NotAllowedError') }",
            "No key was given.",
        ),
    ],
)
def test_a_key_that_cannot_be_used_is_said_to_be(visits, script, says):
    page = visits.open()
    page.add_init_script(script)
    page.goto("/account/login/")
    page.get_by_role("button", name="Sign in with a passkey").click()
    expect(page.locator("[data-keys]")).to_contain_text(says)
