"""What the first view of a reading page brings over the net, pictures left out."""

import gzip

import pytest

from tests.browser.conftest import PHONE
from tests.factories import LessonFactory, ModuleFactory, StepFactory
from trainer.study.sections import new_section

pytestmark = pytest.mark.django_db(transaction=True)

MOST = 150_000
"""Bytes for a first visit with nothing in the browser's cache."""


def as_served(answer) -> int:
    """Pages and fonts as they came; static texts compressed, which the tests' server leaves out."""
    if answer.url.endswith((".css", ".js", ".svg")):
        return len(gzip.compress(answer.body(), 9))
    return answer.request.sizes()["responseBodySize"]


@pytest.fixture
def module(club):
    module = ModuleFactory(club=club)
    revision = module.revisions.get()
    text = new_section("text") | {"text": "Words, and *more* of them. " * 120}
    LessonFactory(revision=revision, slug="standing", sections=[text])
    revision.steps.all().delete()
    for number in range(1, 19):
        StepFactory(revision=revision, number=number, instruction="Two words. " * 30)
    return module


@pytest.mark.parametrize("page", ["", "lessons/standing/", "examination/"])
def test_first_view_is_light(visits, module, bob, page):
    opened = visits.open(bob, viewport=PHONE, service_workers="block")
    answers = []
    opened.on("response", lambda answer: answers.append(answer))
    opened.goto(f"/modules/{module.pk}/{page}", wait_until="networkidle")
    sizes = {
        answer.url: as_served(answer)
        for answer in answers
        if answer.request.resource_type != "image" and answer.ok
    }
    total = sum(sizes.values())
    largest = sorted(sizes.items(), key=lambda pair: -pair[1])[:8]
    assert total < MOST, largest
