"""A module out and in again in a browser, with and without scripts."""

import pytest
from playwright.sync_api import expect

from tests.browser.axe import assert_accessible, assert_fits
from tests.browser.conftest import PHONE
from tests.browser.pages import Cast
from tests.bundling import exported, with_document
from tests.factories import ClubFactory, ExerciseFactory, RevisionFactory
from tests.photographs import PictureFactory
from tests.placing import content, key
from trainer.pictures.models import Licence
from trainer.study.models import Module

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def cast():
    return Cast()


def there():
    """A module of another club with a class and a photograph, as a bundle."""
    picture = PictureFactory(club=ClubFactory(), licence=Licence.BY)
    exercise = ExerciseFactory(module__club=picture.club)
    shown = {"picture": str(picture.public_id)}
    RevisionFactory(exercise=exercise, content=content(b=shown), key=key())
    return exported(exercise.module.revisions.get())


def choose(page, data):
    file = {"name": "bundle.zip", "mimeType": "application/zip", "buffer": data}
    page.goto("/workshop/modules/bundles/")
    page.get_by_label("Bundle").set_input_files(file)
    page.get_by_role("button", name="Look what is in it").click()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_module_is_taken_in(visits, cast, scripts):
    data = there()
    page = visits.open(cast.mentor, viewport=PHONE, java_script_enabled=scripts)
    choose(page, data)
    expect(page.get_by_text("Nothing is stored yet")).to_be_visible()
    assert not Module.objects.filter(club=cast.club).exists()
    page.get_by_role("button", name="Take it in").click()
    expect(page.get_by_text("Taken in.")).to_be_visible()
    assert Module.objects.filter(club=cast.club).count() == 1


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("state", ["report", "the same", "refused"])
def test_every_state_is_accessible_and_fits(visits, cast, scheme, state):
    data = exported(cast.module.revisions.get()) if state == "the same" else there()
    if state == "refused":
        data = with_document(
            data, lambda d: d["module"]["faults"][0].update(priority="x")
        )
    narrow = {"width": 320, "height": 568}
    page = visits.open(cast.mentor, viewport=narrow, color_scheme=scheme)
    choose(page, data)
    said = {
        "report": "Nothing is stored yet",
        "the same": "Everything in it is here already",
        "refused": "names the priority “x”",
    }
    expect(page.get_by_text(said[state]).first).to_be_visible()
    assert_fits(page)
    assert_accessible(page)


def test_a_bundle_is_saved_and_comes_in_elsewhere(visits, cast, tmp_path):
    page = visits.open(cast.mentor)
    page.goto(f"/workshop/modules/{cast.module.pk}/")
    page.get_by_role("link", name="Save the module as a bundle").click()
    page.get_by_label("a mentor: everything").check()
    with page.expect_download() as download:
        page.get_by_role("button", name="Save the bundle").click()
    assert download.value.suggested_filename.endswith(".zip")
    download.value.save_as(tmp_path / "bundle.zip")
    choose(page, (tmp_path / "bundle.zip").read_bytes())
    expect(page.get_by_text("Everything in it is here already")).to_be_visible()
