"""The pages on which a class is offered, published by another mentor, withdrawn, compared."""

import random

import pytest
from django.utils import timezone

from quizzes import exercises
from quizzes.attempts import begin
from quizzes.models import Revision
from quizzes.panels.services import open_panel
from tests.conftest import member, signed_in
from tests.factories import ModuleFactory
from tests.placing import answer, content, key, placing_class
from tests.views.test_query_counts import visit
from tests.views.test_workshop import key_post, without_blanks
from trainer.accounts.models import User
from trainer.clubs.models import Role
from trainer.study.models import ModuleRevision

DRAFT = Revision.State.DRAFT


@pytest.fixture
def published(club):
    return placing_class(club)


@pytest.fixture
def draft(club):
    return placing_class(club, state=DRAFT)


@pytest.fixture
def as_second(club):
    return signed_in(member(club, Role.MENTOR, "Sam Second"))


def home(revision):
    return f"/workshop/classes/{revision.exercise_id}/"


def test_offered_class_is_published_by_another_mentor(as_alice, as_second, draft, club):
    club.second_mentor = True
    club.save()
    page = as_alice.get(home(draft)).text
    assert "Publish as revision" not in page
    assert "In this club another mentor than the one who offers it" in page
    offered = as_alice.post(f"{home(draft)}offer/", follow=True)
    assert "Offered for review by Alice Mentor" in without_blanks(offered)
    assert "Publish as revision" not in offered.text
    refused = as_alice.post(f"{home(draft)}publish/", follow=True)
    assert "In this club another mentor" in refused.text
    assert "Offered for review." in as_second.get("/workshop/").text
    assert "Publish as revision 1" in as_second.get(home(draft)).text
    as_second.post(f"{home(draft)}publish/")
    assert Revision.objects.get().state == Revision.State.PUBLISHED


def test_other_mentors_find_what_is_offered_and_trainees_do_not(
    as_alice, as_second, as_bob, draft
):
    as_alice.post(f"{home(draft)}offer/")
    heading = '<h2 id="offered">Offered for review</h2>'
    page = without_blanks(as_second.get("/workshop/"))
    assert heading in page
    assert "by Alice Mentor," in page
    for client in (as_alice, as_bob):
        assert heading not in client.get("/workshop/").text


def test_offers_cost_the_workshop_one_query(as_alice, as_second, club):
    made = [placing_class(club, state=DRAFT) for _number in range(4)]
    as_second.post(f"{home(made[0])}offer/")
    _page, few = visit(as_alice, "/workshop/")
    for draft in made[1:]:
        as_second.post(f"{home(draft)}offer/")
    _page, many = visit(as_alice, "/workshop/")
    assert many == few


def test_offer_is_taken_back(as_alice, draft):
    as_alice.post(f"{home(draft)}offer/")
    as_alice.post(f"{home(draft)}offer/", {"do": "back"})
    page = as_alice.get(home(draft)).text
    assert "Offered for review by" not in page
    assert "Offer it for review" in page


def test_unfinished_is_not_offered(as_alice, club):
    draft = placing_class(club, state=DRAFT, key=key("ab"))
    assert "Offer it for review" not in as_alice.get(home(draft)).text
    response = as_alice.post(f"{home(draft)}offer/", follow=True)
    assert "3rd is free in the key" in response.text
    assert Revision.objects.get().offered_at is None


def test_withdrawn_after_asking_and_brought_back(as_alice, as_bob, published):
    asked = as_alice.get(f"{home(published)}withdraw/")
    assert "Withdraw revision 1?" in asked.text
    as_alice.post(f"{home(published)}withdraw/")
    assert as_bob.get(f"/classes/{published.exercise_id}/").status_code == 404
    assert as_bob.post(f"/classes/{published.exercise_id}/begin/").status_code == 404
    page = as_alice.get(home(published)).text
    assert "Not in force" in page
    assert "Withdrawn." in as_alice.get("/workshop/").text
    as_alice.post(f"{home(published)}begin/")
    as_alice.post(f"{home(published)}publish/")
    assert as_bob.get(f"/classes/{published.exercise_id}/").status_code == 200


def test_whoever_began_it_finishes_and_finds_the_results(
    as_alice, as_bob, bob, published
):
    attempt = begin(published, by=bob, now=timezone.now(), rng=random.Random(1))
    as_alice.post(f"{home(published)}withdraw/")
    page = as_bob.get(f"/classes/{published.exercise_id}/").text
    assert "The mentor has withdrawn it" in page
    assert f'href="/attempts/{attempt.pk}/"' in page
    assert "/begin/" not in page
    whole = {"answer": str(answer("abcd")).replace("'", '"')}
    as_bob.post(f"/attempts/{attempt.pk}/hand-in/", whole)
    page = as_bob.get(f"/classes/{published.exercise_id}/").text
    assert "6 of 6" in page
    assert "Go on with your placing" not in page


def test_editing_what_was_withdrawn_begins_the_next(as_alice, published):
    as_alice.post(f"{home(published)}withdraw/")
    for page in ("dogs/", "key/"):
        text = as_alice.get(home(published) + page).text
        assert "Revision 1 is withdrawn." in text
    as_alice.post(f"{home(published)}key/", key_post(published))
    assert Revision.objects.get(state=DRAFT).number == 2


def test_withdrawn_module_leaves_its_classes_editable(as_alice, published):
    published.exercise.module.revisions.update(state=ModuleRevision.State.WITHDRAWN)
    as_alice.post(f"{home(published)}key/", key_post(published, note="Still here."))
    assert Revision.objects.get(state=DRAFT).key["note"] == "Still here."


def test_class_of_a_module_withdrawn_meanwhile_is_refused(as_alice, club, monkeypatch):
    module = ModuleFactory(club=club)
    post = {"module": module.pk, "title": "Late", "size": 3, "difficulty": "plain"}

    def too_late(_module):
        raise exercises.NothingTaught("It was withdrawn meanwhile.")

    monkeypatch.setattr(exercises, "taught", too_late)
    refused = as_alice.post("/workshop/classes/new/", post)
    assert refused.status_code == 422
    assert "It was withdrawn meanwhile." in refused.text


def revised(exercise, alice, **changes):
    """The next revision with these changes, published."""
    draft = exercises.draft_of(exercise, by=alice)
    exercises.save_revision(draft, by=alice, version=draft.version, **changes)
    return exercises.publish(draft, now=timezone.now(), regrade=False)


def test_any_two_revisions_are_compared(as_alice, alice, published):
    exercise = published.exercise
    said = {"a": {"ringside": "a from the far ring-side."}}
    revised(exercise, alice, content=content(**said), title="Limit dogs")
    revised(exercise, alice, key=key("bacd", note="11 has the better back."))
    url = f"{home(published)}revisions/"
    page = without_blanks(as_alice.get(url))
    assert "Order: 22, 11, 33, 44; it was 11, 22, 33, 44." in page
    assert "<dt>Your key: on the class as a whole</dt>" in page
    assert "<ins>11 has the better back.</ins>" in page
    assert "Limit dogs" not in page.split("<main")[1].split('<ul class="bullets')[1]
    page = without_blanks(as_alice.get(f"{url}?old=1&new=2"))
    assert f"Title: Limit dogs; it was {published.title}." in page
    assert "<dt>11: from the ring-side</dt>" in page
    assert "a from the <ins>far</ins> ring-side." in page
    assert "Order:" not in page
    page = without_blanks(as_alice.get(f"{url}?old=3&new=1"))
    assert f"Title: {published.title}; it was Limit dogs." in page
    assert "<del>far</del>" in page


def test_whoever_keys_it_for_a_panel_does_not_compare_keys(
    as_alice, as_second, alice, published
):
    revised(published.exercise, alice, key=key("bacd"))
    second = User.objects.get(name="Sam Second")
    open_panel(
        published.exercise.revisions.first(),
        mentors=[alice, second],
        message="",
        by=alice,
        now=timezone.now(),
        rng=random.Random(1),
    )
    url = f"{home(published)}revisions/"
    led = as_second.get(url, follow=True)
    assert led.redirect_chain
    assert "Order: 22, 11, 33, 44" not in led.text
    assert "Order: 22, 11, 33, 44" in as_alice.get(url).text


def test_text_that_was_written_anew_is_shown_whole(as_alice, alice, published):
    said = {"a": {"ringside": "High behind, short in the loin."}}
    revised(published.exercise, alice, content=content(**said))
    page = without_blanks(as_alice.get(f"{home(published)}revisions/"))
    assert "<del>a from the ring-side.</del>" in page
    assert "<ins>High behind, short in the loin.</ins>" in page


def test_equal_revisions_say_the_same(as_alice, alice, published):
    revised(published.exercise, alice)
    page = as_alice.get(f"{home(published)}revisions/?old=1&new=2").text
    assert "They say the same." in page


def test_one_revision_has_nothing_to_compare(as_alice, published):
    page = as_alice.get(f"{home(published)}revisions/?old=x&new=9").text
    assert "There is one revision only" in page


def test_compare_asks_as_often_for_many_revisions_as_for_few(
    as_alice, alice, published
):
    url = f"{home(published)}revisions/"
    revised(published.exercise, alice, title="Second")
    _page, few = visit(as_alice, url)
    for number in range(6):
        revised(published.exercise, alice, title=f"Another {number}")
    _page, many = visit(as_alice, url)
    assert many == few
