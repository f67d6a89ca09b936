"""Breeds that a club draws itself: who sees them, what is once only, and classes that are drawn so."""

import random

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from quizzes.generator import Wish
from quizzes.kinds.placing.content import ClassContent
from quizzes.models import Build, Revision
from quizzes.plates import BREEDS
from quizzes.practice import material
from quizzes.practice.services import another_class, twin_of
from tests.factories import BuildFactory, ModuleFactory
from tests.material import drawn_module
from trainer.study import reading

pytestmark = pytest.mark.django_db

VALUES = {"ear": "prick", "coat": "smooth", "pattern": "saddle", "length": 126.0}


@pytest.fixture
def module(club, alice):
    return drawn_module(club, alice)


@pytest.fixture
def build(club, module):
    return BuildFactory(
        club=club, module=module, base="tarnholt-longdrover", values=VALUES
    )


def document_for(person, module):
    return reading.document(person, module.pk)


def made(document, seed=5, **more):
    wish = Wish(
        size=5,
        difficulty="plain",
        sex="dog",
        class_name="Open dogs",
        breed=material.drawn_breed(document),
        seed=seed,
        **more,
    )
    return material.make(document, wish)


def test_members_see_them_and_mentors_change_them(club, alice, bob, charlie, organiser):
    build = BuildFactory(club=club)
    for person, sees, edits in (
        (alice, True, True),
        (bob, True, False),
        (organiser, True, False),
        (charlie, False, False),
    ):
        assert (build in Build.objects.visible_to(person)) is sees
        assert (build in Build.objects.editable_by(person)) is edits


def test_a_club_has_a_name_once(club, other_club):
    BuildFactory(club=club, name="Sallowmere Herder")
    BuildFactory(club=other_club, name="Sallowmere Herder")
    with pytest.raises(IntegrityError), transaction.atomic():
        BuildFactory(club=club, name="sallowmere herder")


def test_a_module_is_drawn_as_one_breed(club, build):
    with pytest.raises(IntegrityError), transaction.atomic():
        BuildFactory(club=club, module=build.module)


def test_every_dog_of_a_class_has_the_modules_build(alice, module, build):
    one = made(document_for(alice, module), odd_one="excused")
    content = ClassContent.read(one.content)
    assert content.breed == "tarnholt-longdrover"
    assert len(content) == 5
    assert [dict(dog.build) for dog in content] == [VALUES] * 5
    assert len({dog.coat_seed for dog in content}) == 5


def test_same_seed_gives_the_same_class_in_a_build(alice, module, build):
    document = document_for(alice, module)
    one, two, other = (made(document, seed=seed) for seed in (5, 5, 6))
    assert (one.content, one.key) == (two.content, two.key)
    assert one.content != other.content


def test_the_builds_coat_decides_what_is_hidden(alice, module, build):
    """Under a double coat a straight shoulder is for the hand (quizzes/plates/faults.py)."""
    document = document_for(alice, module)

    def shown():
        dogs = [d for seed in range(8) for d in made(document, seed).content["dogs"]]
        return {code for dog in dogs for code in dog["faults"]}

    assert "F1" in shown()
    Build.objects.update(values={})
    assert BREEDS[build.base].coat == "double"
    assert "F1" not in shown()


def test_without_a_build_the_class_is_as_before(alice, module):
    one = made(document_for(alice, module))
    assert one.content["breed"] == "marlefell-drover"
    assert not any(dog.get("build") for dog in one.content["dogs"])


def test_module_of_an_undrawn_breed_is_in_words_until_it_is_drawn(alice, club):
    module = ModuleFactory(club=club)
    assert module.breed.slug not in BREEDS
    document = document_for(alice, module)
    assert material.drawn_breed(document) == ""
    build = BuildFactory(club=club, module=module)
    assert material.drawn_breed(document) == build.base


def practised(bob, module):
    return another_class(
        document_for(bob, module),
        by=bob,
        size=4,
        difficulty="plain",
        sex="bitch",
        now=timezone.now(),
        rng=random.Random(2),
    )


def test_trainees_class_and_its_twin_keep_the_build(bob, module, build):
    attempt = practised(bob, module)
    twin = twin_of(attempt, by=bob, now=timezone.now(), rng=random.Random(3))
    for one in (attempt, twin):
        content = ClassContent.read(one.revision.content)
        assert [dict(dog.build) for dog in content] == [VALUES] * 4


def test_a_class_stays_as_it_is_when_its_build_changes_or_goes(bob, module, build):
    revision = practised(bob, module).revision
    before = Revision.objects.get(pk=revision.pk).content
    Build.objects.update(values={"length": 140.0})
    assert Revision.objects.get(pk=revision.pk).content == before
    build.delete()
    assert Revision.objects.get(pk=revision.pk).content == before
