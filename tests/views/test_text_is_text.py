"""Whatever people write is shown as text, never taken as markup."""

import random

import pytest
from django.utils import timezone

from quizzes.attempts import begin, hand_in
from tests.conftest import signed_in
from tests.factories import InvitationFactory
from tests.placing import answer, dog, key, placing_class
from trainer.accounts.models import User

pytestmark = pytest.mark.once

SCRIPTS = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'-alert(1)-'",
]


@pytest.mark.parametrize("text", SCRIPTS)
def test_what_people_write_is_never_markup(client, alice, organiser, bob, club, text):
    club.name, club.about = text, f"{text}\n\n{text}"
    club.save()
    for user in (alice, organiser, bob):
        User.objects.filter(pk=user.pk).update(name=text)
        user.refresh_from_db()
    pages = [
        signed_in(bob).get("/clubs/"),
        signed_in(organiser).get("/clubs/tarn-valley/"),
        signed_in(organiser).get("/clubs/tarn-valley/leave/"),
        signed_in(organiser).get(f"/clubs/tarn-valley/members/{bob.pk}/"),
        signed_in(bob).get("/you/profile/"),
        client.get(InvitationFactory(club=club).get_absolute_url()),
    ]
    for page in pages:
        assert page.status_code == 200
        assert text not in page.text
    assert "alert(1)" in pages[0].text


def written(club, text):
    """A class in which every text is the given one."""
    words = {"ringside": text, "hands_on": text}
    made = placing_class(club, title=text, note=text, key=key("abcd", note=text))
    made.content["dogs"] = [dog(name, at, **words) for at, name in enumerate("abcd", 1)]
    for pair in made.key["pairs"]:
        pair.update(reason=text, grant=text)
    made.save()
    made.module_revision.priorities.update(
        name=text, look_for=text, why_it_matters=text
    )
    made.module_revision.steps.update(name=text, instruction=text, caution=text)
    made.module_revision.faults.update(name=text, description=text)
    type(made.module_revision).objects.update(title=text, introduction=text)
    type(made.exercise.module.breed).objects.update(name=text, summary=text)
    return made


def read_by_trainee(made, bob, text):
    """The addresses of a module and of two attempts, one of them handed in with rulings."""
    module = f"/modules/{made.exercise.module_id}/"
    now, rng = timezone.now(), random.Random(1)
    done = begin(made, by=bob, now=now, rng=rng)
    placed = answer("abc", d="excused")
    placed["rulings"]["d"]["reason"] = text
    hand_in(done, now=now, answer=placed)
    own = f"/attempts/{begin(made, by=bob, now=now, rng=rng).pk}/"
    return [
        "/",
        "/modules/",
        *(module + part for part in ("", "examination/", "examination/1/", "faults/")),
        f"{module}priorities/priority-1/",
        "/classes/",
        f"/classes/{made.exercise_id}/",
        *(own + part for part in ("", "compare/", "rulings/", "rulings/a/")),
        f"/attempts/{done.pk}/result/",
        "/record/",
    ]


@pytest.mark.parametrize("text", [*SCRIPTS, "</script><script>alert(1)</script>"])
def test_what_is_taught_and_answered_is_never_markup(club, alice, bob, text):
    User.objects.filter(pk=bob.pk).update(name=text)
    bob.refresh_from_db()
    made = written(club, text)
    desk = f"/workshop/classes/{made.exercise_id}/"
    pages = {
        url: signed_in(bob).get(url) for url in read_by_trainee(made, bob, text)
    } | {
        url: signed_in(alice).get(url)
        for url in (
            "/workshop/",
            *(desk + part for part in ("", "dogs/", "key/", "attempts/")),
        )
    }
    for url, page in pages.items():
        assert page.status_code == 200, url
        assert text not in page.text, url
    assert sum("alert(1)" in page.text for page in pages.values()) > 12
