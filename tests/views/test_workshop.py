"""A mentor makes a class, sets its key, tries it, publishes it and sees the attempts."""

import random
import re

import pytest
from django.utils import timezone

from quizzes import attempts
from quizzes.models import Attempt, Exercise, Revision
from tests.factories import FaultFactory, ModuleFactory
from tests.placing import answer, key, placing_class

DRAFT = Revision.State.DRAFT


@pytest.fixture
def draft(club):
    return placing_class(club, state=DRAFT)


def key_post(revision, **more):
    """What the key page sends."""
    post = {"version": revision.version, "do": "save"}
    document = revision.key
    for pair in document["pairs"]:
        stem = f"{pair['upper']}-{pair['lower']}"
        post[f"reason-{stem}"] = "Because."
        post[f"priority-{stem}"] = ""
    return {**post, **more}


def dogs_post(revision, **more):
    """What the page of the dogs sends."""
    post = {
        "version": revision.version,
        "title": revision.title,
        "difficulty": revision.difficulty,
        "do": "save",
    }
    for dog in revision.content["dogs"]:
        for name in ("armband", "age_months", "ringside", "hands_on"):
            post[f"{dog['id']}-{name}"] = dog[name] or ""
        post[f"{dog['id']}-sex"] = "dog"
    return {**post, **more}


def test_new_class_leads_to_its_dogs(as_alice, club):
    module = ModuleFactory(club=club)
    post = {
        "module": module.pk,
        "title": "Limit dogs",
        "size": 3,
        "difficulty": "plain",
    }
    response = as_alice.post("/workshop/classes/new/", post)
    made = Revision.objects.get()
    assert response.url == f"/workshop/classes/{made.exercise_id}/dogs/"
    assert (made.size, made.state, made.edited_by.name) == (3, DRAFT, "Alice Mentor")


def test_new_class_offers_only_modules_of_taught_clubs(as_alice, other_club):
    module = ModuleFactory(club=other_club)
    post = {
        "module": module.pk,
        "title": "Limit dogs",
        "size": 3,
        "difficulty": "plain",
    }
    response = as_alice.post("/workshop/classes/new/", post)
    assert response.status_code == 422
    assert not Exercise.objects.exists()


def test_size_out_of_range_is_refused_and_typed_values_kept(as_alice, club):
    ModuleFactory(club=club)
    post = {"title": "Thirteen dogs", "size": 13, "difficulty": "plain"}
    response = as_alice.post("/workshop/classes/new/", post)
    assert response.status_code == 422
    assert "Thirteen dogs" in response.text
    assert "<title>Error:" in response.text.replace("\n", "")


def test_reading_pages_changes_nothing(as_alice, club):
    published = placing_class(club)
    for page in ("", "dogs/", "key/", "attempts/"):
        url = f"/workshop/classes/{published.exercise_id}/{page}"
        assert as_alice.get(url).status_code == 200
    assert Revision.objects.count() == 1


def test_dogs_are_saved(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    post = dogs_post(
        draft, **{"a-ringside": "Short in the loin.", "a-level-priority-1": 4}
    )
    assert as_alice.post(url, post).url == url
    dog = Revision.objects.get().content["dogs"][0]
    assert dog["ringside"] == "Short in the loin."
    assert dog["levels"] == {"priority-1": 4}


def test_same_armband_twice_is_refused_and_nothing_is_lost(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    post = dogs_post(draft, **{"b-armband": 11, "c-ringside": "Typed a minute ago."})
    response = as_alice.post(url, post)
    assert response.status_code == 422
    assert "Another dog of the class wears this number" in response.text
    assert "Typed a minute ago." in response.text
    assert Revision.objects.get().version == draft.version


def test_dog_is_added_and_taken_out(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    as_alice.post(url, dogs_post(draft, do="add"))
    draft.refresh_from_db()
    assert draft.size == 5
    as_alice.post(url, dogs_post(draft, do="remove:b"))
    draft.refresh_from_db()
    assert draft.size == 4
    assert "b" not in draft.key["order"]


def test_saving_over_somebody_else_shows_both(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    first = dogs_post(draft, **{"a-ringside": "Saved first."})
    second = dogs_post(draft, **{"a-ringside": "Typed at the same time."})
    as_alice.post(url, first)
    response = as_alice.post(url, second)
    assert response.status_code == 422
    assert "in another window. What you typed here is below" in response.text
    page = without_blanks(response)
    assert "<b>From the ring-side, saved there:</b> Saved first." in page
    assert "Under the hand, saved there" not in page
    assert "Typed at the same time." in response.text
    assert Revision.objects.get().content["dogs"][0]["ringside"] == "Saved first."


def test_changing_a_published_class_begins_the_next_revision(as_alice, club):
    published = placing_class(club)
    url = f"/workshop/classes/{published.exercise_id}/dogs/"
    as_alice.post(url, dogs_post(published, title="New title"))
    draft = Revision.objects.get(state=DRAFT)
    assert (draft.number, draft.title) == (2, "New title")
    published.refresh_from_db()
    assert published.title != "New title"


def test_key_is_saved_whatever_button_is_pressed(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    response = as_alice.post(url, key_post(draft, do="down:a", **{"cut-0": "3"}))
    assert response.url == f"{url}?moved=a#at-a"
    draft.refresh_from_db()
    assert draft.key["order"] == list("bacd")
    assert draft.key["apart"] == [
        {"upper": "a", "lower": "b", "cut": 3, "level": False}
    ]
    assert {pair["reason"] for pair in draft.key["pairs"]} == {"Because."}


def test_too_large_a_cut_is_named_with_what_would_fit(as_alice, draft):
    """4-7-4 would lose 3*15 + 7 = 52 of 50 in a full reversal, 4-6-4 loses 48."""
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    cuts = {"cut-0": "4", "cut-1": "7", "cut-2": "4"}
    as_alice.post(url, key_post(draft, **cuts))
    text = as_alice.get(url).text
    assert "The cut 7 between 2nd and 3rd is too large" in text
    assert "At most 6 fits there" in text


def test_unfinished_class_is_neither_tried_nor_published(as_alice, club):
    draft = placing_class(club, state=DRAFT, key=key("abc"))
    home = f"/workshop/classes/{draft.exercise_id}/"
    for action in ("preview/", "publish/"):
        response = as_alice.post(home + action, follow=True)
        assert "Mend what is listed here first" in response.text
        assert "4th is free in the key" in response.text
    assert Revision.objects.get().state == DRAFT
    assert not Attempt.objects.exists()


def test_trial_is_the_trainees_page_and_counts_nowhere(as_alice, alice, draft):
    response = as_alice.post(
        f"/workshop/classes/{draft.exercise_id}/preview/", follow=True
    )
    assert "This is how trainees meet the class" in response.text
    attempt = Attempt.objects.get()
    assert attempt.preview
    as_alice.post(
        f"/attempts/{attempt.pk}/hand-in/",
        {"answer": '{"order": ["a","b","c","d"], "rulings": {}}'},
    )
    assert not Attempt.objects.owned_by(alice).exists()
    assert Revision.objects.get().handed_in == 0


def test_publishing_puts_it_before_trainees(as_alice, as_bob, draft):
    assert as_bob.get(f"/classes/{draft.exercise_id}/").status_code == 404
    as_alice.post(f"/workshop/classes/{draft.exercise_id}/publish/")
    assert as_bob.get(f"/classes/{draft.exercise_id}/").status_code == 200


def test_attempts_page_has_the_order_table_and_everybody(as_alice, bob, club):
    revision = placing_class(club)
    attempt = attempts.begin(revision, by=bob, now=timezone.now(), rng=random.Random(1))
    attempts.hand_in(attempt, now=timezone.now(), answer=answer("bacd"))
    text = as_alice.get(f"/workshop/classes/{revision.exercise_id}/attempts/").text
    assert "Bob Trainee" in text
    assert "5 of 6" in text
    assert f'href="/attempts/{attempt.pk}/result/"' in text
    assert as_alice.get(f"/attempts/{attempt.pk}/result/").status_code == 200


def test_regrade_is_offered_and_shown_beside_the_first(as_alice, as_bob, bob, club):
    revision = placing_class(club)
    attempt = attempts.begin(revision, by=bob, now=timezone.now(), rng=random.Random(1))
    attempts.hand_in(attempt, now=timezone.now(), answer=answer("abcd"))
    home = f"/workshop/classes/{revision.exercise_id}/"
    as_alice.post(f"{home}key/", key_post(revision, do="down:a"))
    draft = Revision.objects.get(state=DRAFT)
    as_alice.post(
        f"{home}key/", key_post(draft, **{"reason-b-a": "x", "reason-a-c": "y"})
    )
    assert "Grade earlier attempts under this key too" in as_alice.get(home).text
    as_alice.post(f"{home}publish/", {"regrade": "on"})
    text = as_bob.get(f"/attempts/{attempt.pk}/result/").text
    assert "Every pair as the mentor has it" in text
    assert "Revision 2: 5 of 6 pairs." in text


@pytest.mark.parametrize("page", ["", "dogs/", "key/", "attempts/"])
def test_outsiders_and_trainees_get_404(as_bob, as_charlie, club, page):
    url = f"/workshop/classes/{placing_class(club).exercise_id}/{page}"
    assert as_bob.get(url).status_code == 404
    assert as_charlie.get(url).status_code == 404


def test_empty_workshop_says_how_to_begin(as_alice, as_bob, club):
    assert "Nothing to teach from yet" in as_bob.get("/workshop/").text
    ModuleFactory(club=club)
    assert "No classes yet" in as_alice.get("/workshop/").text


def test_going_on_to_publishing_saves_what_is_typed(as_alice, draft):
    home = f"/workshop/classes/{draft.exercise_id}/"
    page = as_alice.get(f"{home}key/").text
    assert 'name="do" value="publish"' in page
    response = as_alice.post(
        f"{home}key/", key_post(draft, do="publish", note="Typed last.")
    )
    assert response.url == f"{home}#before"
    assert Revision.objects.get().key["note"] == "Typed last."


def test_what_is_in_force_has_no_way_on_to_publishing(as_alice, club):
    published = placing_class(club)
    page = as_alice.get(f"/workshop/classes/{published.exercise_id}/key/").text
    assert 'value="publish"' not in page


@pytest.mark.parametrize("page", ["key/", "dogs/"])
def test_page_that_was_refused_says_that_nothing_is_saved(as_alice, draft, page):
    url = f"/workshop/classes/{draft.exercise_id}/{page}"
    saved, unsaved = 'data-kind="saved"', 'data-kind="unsaved"'
    fresh = as_alice.get(url).text
    assert "data-saved" in fresh
    assert unsaved not in fresh
    post = {**dogs_post(draft), **key_post(draft), "version": draft.version + 1}
    refused = as_alice.post(url, post)
    assert refused.status_code == 422
    assert f"{saved} hidden>" in refused.text
    assert f"{unsaved}>" in refused.text
    assert 'data-unsaved="yes"' in refused.text


def without_blanks(response):
    """The page with every run of blanks as one."""
    return " ".join(response.text.split())


def test_dog_taken_out_is_put_back_as_it_was(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    before = (draft.content, draft.key)
    as_alice.post(url, dogs_post(draft, do="remove:b"))
    page = without_blanks(as_alice.get(url))
    assert "22 is out of the class." in page
    assert 'form="dogs" name="do" value="back">Put 22 back</button>' in page
    draft.refresh_from_db()
    as_alice.post(url, dogs_post(draft, do="back", **{"a-ringside": "Typed since."}))
    draft.refresh_from_db()
    dogs = draft.content["dogs"]
    assert dogs[0]["ringside"] == "Typed since."
    assert [dog["id"] for dog in dogs] == list("abcd")
    stored = before[0]["dogs"][1]
    assert {name: dogs[1][name] for name in stored} == stored
    assert draft.key["order"] == before[1]["order"]
    assert draft.key["pairs"] == before[1]["pairs"]
    assert "Put 22 back" not in as_alice.get(url).text


def test_dog_put_back_into_a_changed_key_waits_in_the_line(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/"
    as_alice.post(f"{url}dogs/", dogs_post(draft, do="remove:b"))
    draft.refresh_from_db()
    as_alice.post(f"{url}key/", key_post(draft, do="down:c"))
    draft.refresh_from_db()
    as_alice.post(f"{url}dogs/", dogs_post(draft, do="back"))
    draft.refresh_from_db()
    assert draft.key["order"] == list("adc")
    reasons = {(pair["upper"], pair["lower"]) for pair in draft.key["pairs"]}
    assert {("a", "b"), ("b", "c")} <= reasons


def test_putting_back_without_anything_taken_out_only_saves(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    as_alice.post(url, dogs_post(draft, do="back", title="A title"))
    draft.refresh_from_db()
    assert (draft.title, draft.size) == ("A title", 4)


def test_draft_of_the_next_revision_is_discarded_after_asking(as_alice, club):
    published = placing_class(club)
    home = f"/workshop/classes/{published.exercise_id}/"
    assert "Discard this draft" not in as_alice.get(home).text
    assert as_alice.get(f"{home}discard/").status_code == 404
    as_alice.post(f"{home}key/", key_post(published, do="down:a"))
    assert f'href="{home}discard/"' in as_alice.get(home).text
    page = without_blanks(as_alice.get(f"{home}discard/"))
    assert "Revision 1 stays in force as it is" in page
    assert "Order: 22, 11, 33, 44; it was 11, 22, 33, 44." in page
    assert Revision.objects.count() == 2
    response = as_alice.post(f"{home}discard/", follow=True)
    assert response.redirect_chain == [(home, 302)]
    assert Revision.objects.get() == published
    assert "Revision 1 is in force" in response.text


def test_class_that_was_never_published_goes_with_its_draft(as_alice, draft):
    home = f"/workshop/classes/{draft.exercise_id}/"
    as_alice.post(f"{home}preview/")
    assert "the class goes with its draft" in as_alice.get(f"{home}discard/").text
    assert as_alice.post(f"{home}discard/").url == "/workshop/"
    assert not Exercise.objects.exists()
    assert not Attempt.objects.exists()


def test_before_publishing_the_page_says_what_differs(as_alice, club):
    published = placing_class(club, key=key("abc", cuts=[2, 3]))
    home = f"/workshop/classes/{published.exercise_id}/"
    post = dogs_post(
        published,
        do="add",
        title="Another title",
        pace_seconds="120",
        places="3",
        **{"a-hands_on": "Spring in the rib."},
    )
    as_alice.post(f"{home}dogs/", post)
    draft = Revision.objects.get(state=DRAFT)
    sent = key_post(
        draft,
        do="excused:d",
        **{"cut-0": "4", "cut-1": "3", "level-1": "on", "reason-a-b": "Shoulder."},
    )
    as_alice.post(f"{home}key/", sent)
    page = without_blanks(as_alice.get(home))
    new = [dog["armband"] for dog in draft.content["dogs"]][-1]
    for part in (
        "What differs from revision 1",
        f"Title: Another title; it was {published.title}.",
        "Seconds per dog: 120; it was none.",
        "Places given: 3 instead of all.",
        "Changed of 11: under the hand.",
        f"{new} is added.",
        "Cut between 11 and 22: 4; it was 2.",
        "22 and 33 may stand in either order now.",
        "44: excused; it was no ruling.",
        "Another reason, or what goes with it, for 11 over 22.",
    ):
        assert part in page, part
    assert "Cut between 22 and 33" not in page


def test_ties_and_cuts_that_a_move_took_are_told(as_alice, club):
    published = placing_class(club, key=key("abcd", cuts=[2, 3, 1], level=[0]))
    home = f"/workshop/classes/{published.exercise_id}/"
    cuts = {f"cut-{gap}": cut for gap, cut in enumerate([2, 3, 1])}
    as_alice.post(f"{home}key/", key_post(published, **cuts, **{"level-0": "on"}))
    draft = Revision.objects.get(state=DRAFT)
    as_alice.post(
        f"{home}key/", key_post(draft, do="up:c", **cuts, **{"level-0": "on"})
    )
    page = without_blanks(as_alice.get(home))
    for part in (
        "Cut between 11 and 22: none; it was 2.",
        "Cut between 22 and 33: none; it was 3.",
        "Cut between 33 and 44: none; it was 1.",
        "11 and 22 may no longer stand in either order.",
    ):
        assert part in page, part


def test_missing_cut_is_said_at_its_gap(as_alice, club):
    draft = placing_class(club, state=DRAFT, key=key("abcd", cuts=[2, 3, 1]))
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    response = as_alice.post(url, key_post(draft, **{"cut-0": "2", "cut-2": "1"}))
    assert response.url == f"{url}#gap-1"
    page = without_blanks(as_alice.get(url))
    assert "No cut between 22 and 33 yet." in page
    assert page.count("No cut between") == 1


def test_the_word_below_a_cut_is_there_for_both_and_the_field_decides(as_alice, club):
    """Without a script the field's own state shows one of the two (key.css)."""
    draft = placing_class(club, state=DRAFT, key=key("abcd", cuts=[2, None, 7]))
    page = as_alice.get(f"/workshop/classes/{draft.exercise_id}/key/").text
    said = re.findall(r'class="cut-given" data-cut-word>([^<]+)<', page)
    assert said == ["cut, close", "cut", "cut, easy"]
    assert page.count('<span class="cut-none">no cut</span>') == 3
    assert page.count('placeholder=" " name="cut-') == 3
    words = "close|close|close|moderate|moderate|easy|easy|easy"
    assert f'data-cut-words="{words}"' in page


def test_the_modules_faults_are_offered_as_reasons_of_a_ruling(as_alice, club):
    draft = placing_class(club, state=DRAFT)
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    faults = draft.module_revision.faults
    faults.all().delete()
    FaultFactory(revision=draft.module_revision, name="Long loin", ruling="place_lower")
    FaultFactory(revision=draft.module_revision, number=2, name="Lame", ruling="excuse")
    offered = r'<option value="(Long loin|Lame)">'
    assert not re.findall(offered, as_alice.get(url).text)  # no dog has a ruling
    as_alice.post(url, key_post(draft, do="excused:d"))
    page = as_alice.get(url).text
    assert 'list="module-faults"' in page
    assert re.findall(offered, page) == ["Lame", "Long loin"]
    own = key_post(draft, order="a,b,c", **{"ruling-d": "excused"})
    draft.refresh_from_db()
    own |= {"version": draft.version, "ruling-reason-d": "Bit the steward"}
    as_alice.post(url, own)
    draft.refresh_from_db()
    assert draft.key["rulings"]["d"]["reason"] == "Bit the steward"


def test_move_that_parts_every_pair_says_which_cuts_are_wanted(as_alice, club):
    draft = placing_class(club, state=DRAFT, key=key("abcd", cuts=[2, 3, 1]))
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    cuts = {f"cut-{gap}": cut for gap, cut in enumerate([2, 3, 1])}
    as_alice.post(url, key_post(draft, do="up:c", **cuts))
    page = without_blanks(as_alice.get(url))
    for cut, pair in ((2, "11 and 33"), (3, "33 and 22"), (1, "22 and 44")):
        assert f"{cut} stood here before the move. Right for {pair}?" in page
    for gap, cut in enumerate([2, 3, 1]):
        assert f'name="cut-{gap}" value="{cut}"' in page
    assert "Cuts stay with their pair" in page
    draft.refresh_from_db()
    assert draft.key["cuts"] == [None, None, None]


@pytest.mark.parametrize("page", ["key/", "dogs/"])
def test_pages_are_saved_in_the_background(as_alice, draft, page):
    url = f"/workshop/classes/{draft.exercise_id}/{page}"
    json = {"Accept": "application/json"}
    sent = key_post(draft, note="Typed.")
    if page == "dogs/":
        sent = dogs_post(draft, **{"b-ringside": "Typed."})
    answer = as_alice.post(url, sent, headers=json)
    draft.refresh_from_db()
    assert answer.json()["version"] == draft.version
    assert answer.json()["said"].startswith("Saved ")
    assert "Typed." in (draft.key["note"], draft.content["dogs"][1]["ringside"])
    again = as_alice.post(url, sent, headers=json)
    assert again.status_code == 409
    assert "Press Save to see both" in again.json()["said"]


def test_what_is_wrong_is_said_in_the_background(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    sent = dogs_post(draft, **{"b-armband": "11"})
    answer = as_alice.post(url, sent, headers={"Accept": "application/json"})
    assert answer.status_code == 422
    assert "Another dog of the class wears this number" in answer.json()["said"]


@pytest.mark.parametrize("page", ["key/", "dogs/"])
def test_no_revision_is_begun_in_the_background(as_alice, club, page):
    revision = placing_class(club)
    url = f"/workshop/classes/{revision.exercise_id}/{page}"
    sent = key_post(revision) if page == "key/" else dogs_post(revision)
    answer = as_alice.post(url, sent, headers={"Accept": "application/json"})
    assert answer.status_code == 422
    assert revision.exercise.revisions.count() == 1
    assert "data-autosave" not in as_alice.get(url).text


@pytest.fixture
def levelled(club):
    """A draft in the order abcd whose levels and weights would have dcba."""
    module = ModuleFactory(club=club)
    (slug, *others) = (
        row.slug for row in module.revisions.get().priorities.order_by("number")
    )
    by_dog = {
        name: {"levels": {slug: at, **dict.fromkeys(others, 2)}}
        for at, name in enumerate("abcd")
    }
    return placing_class(club, module=module, state=DRAFT, by_dog=by_dog)


def test_order_of_the_weights_is_taken_over(as_alice, levelled):
    url = f"/workshop/classes/{levelled.exercise_id}/key/"
    assert "Use this order" in as_alice.get(url).text
    as_alice.post(url, key_post(levelled, do="weights"))
    levelled.refresh_from_db()
    assert levelled.key["order"] == list("dcba")
    page = as_alice.get(url).text
    assert "Your key is in this order." in page
    assert "Use this order" not in page


def test_key_shows_her_words_and_the_levels_below(as_alice, levelled):
    url = f"/workshop/classes/{levelled.exercise_id}/key/"
    page = without_blanks(as_alice.get(url))
    assert re.search(
        r'class="key-words">a from the ring-side\.</span><span>Levels: ', page
    )


def test_draft_like_what_is_in_force_differs_in_nothing(as_alice, club):
    published = placing_class(club)
    home = f"/workshop/classes/{published.exercise_id}/"
    as_alice.post(f"{home}dogs/", dogs_post(published))
    page = without_blanks(as_alice.get(home))
    assert "What differs from revision 1</h3> <p>Nothing.</p>" in page


def test_first_revision_has_nothing_to_differ_from(as_alice, draft):
    page = as_alice.get(f"/workshop/classes/{draft.exercise_id}/").text
    assert "What differs from" not in page


def test_without_a_module_in_force_a_new_class_is_refused_with_the_way_on(
    as_alice, as_bob, alice, club
):
    url = "/workshop/classes/new/"
    for client in (as_alice, as_bob):
        page = client.get(url)
        assert page.status_code == 200
        assert "A class needs a study module" in page.text
        assert "<select" not in page.text
        way_on = "New module" if client is as_alice else "make you a mentor"
        assert way_on in without_blanks(page)
        assert "runs this site" not in page.text
    refused = as_alice.post(url, {"title": "Limit dogs", "size": 3})
    assert refused.status_code == 422
    assert "A class needs a study module" in refused.text
    ModuleFactory(club=club)
    assert "A class needs a study module" not in as_alice.get(url).text


def hand_in(revision, person, order, seed=1):
    attempt = attempts.begin(
        revision, by=person, now=timezone.now(), rng=random.Random(seed)
    )
    return attempts.hand_in(attempt, now=timezone.now(), answer=answer(order))


def test_room_speaks_of_the_classs_own_number_of_pairs(as_alice, bob, club):
    """abc is 3 of 3 pairs, bac is 2: on average 2½; at random half of 3."""
    revision = placing_class(club, names="abc")
    for order in ("abc", "bac"):
        hand_in(revision, bob, order)
    page = without_blanks(
        as_alice.get(f"/workshop/classes/{revision.exercise_id}/attempts/")
    )
    assert "On average 2.5 of 3 pairs stand as you have them" in page
    assert "an order at random gets 1.5." in page
    assert "“At random” says how often an answer drawn at random" in page
    assert "1 of 2 attempts put 22 above 11." in page
    assert "Nobody had them the other way round." in page


def test_room_frames_every_place_of_dogs_in_either_order(as_alice, bob, club):
    revision = placing_class(club, key=key("abcd", level=[1]))
    hand_in(revision, bob, "acbd")
    response = as_alice.get(f"/workshop/classes/{revision.exercise_id}/attempts/")
    framed = [
        [at for at, cell in enumerate(row["cells"], 1) if cell["is_key"]]
        for row in response.context["table"]["rows"]
    ]
    assert framed == [[1], [2, 3], [2, 3], [4]]
    # Two dogs may swap, so 5 of the 6 pairs count.
    page = without_blanks(response)
    assert "On average 5 of 5 pairs" in page
    assert "Either order is fine: 0 put 22 higher, 1 put 33 higher." in page


def test_grading_again_is_counted_and_seen_in_room_and_record(
    as_alice, as_bob, bob, club
):
    revision = placing_class(club)
    hand_in(revision, bob, "abcd")
    home = f"/workshop/classes/{revision.exercise_id}/"
    as_alice.post(f"{home}key/", key_post(revision, do="down:a"))
    draft = Revision.objects.get(state=DRAFT)
    texts = {"reason-b-a": "x", "reason-a-c": "y"}
    as_alice.post(f"{home}key/", key_post(draft, **texts))
    published = as_alice.post(f"{home}publish/", {"regrade": "on"}, follow=True)
    assert "One earlier attempt was graded again under this key" in published.text
    assert "under a later key 5 of 6" in without_blanks(as_bob.get("/record/"))
    earlier = as_alice.get(f"{home}attempts/?revision=1")
    assert "under a later key 5 of 6" in without_blanks(earlier)
    later = without_blanks(as_alice.get(f"{home}attempts/"))
    assert "One attempt at an earlier revision was graded again" in later


def test_grading_again_says_if_there_was_nothing_to_grade(as_alice, club):
    revision = placing_class(club)
    home = f"/workshop/classes/{revision.exercise_id}/"
    as_alice.post(f"{home}key/", key_post(revision, note="Another note."))
    published = as_alice.post(f"{home}publish/", {"regrade": "on"}, follow=True)
    assert "none was graded again" in published.text


def test_reason_out_of_use_is_named_and_comes_back(as_alice, draft):
    """From abcd to bacd: a over b and b over c stand apart, c over d stays."""
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    response = as_alice.post(url, key_post(draft, do="down:a"))
    page = without_blanks(as_alice.get(response.url))
    for pair in ("11 over 22", "22 over 33"):
        assert f"Your reason for {pair} is kept." in page
    assert "33 over 44 is kept" not in page
    draft.refresh_from_db()
    back = as_alice.post(url, {"version": draft.version, "do": "up:a"})
    page = without_blanks(as_alice.get(back.url))
    assert "is kept." not in page
    assert page.count(">Because.</textarea>") == 3


def test_move_that_parts_no_reasons_has_nothing_to_say(as_alice, club):
    draft = placing_class(club, state=DRAFT, key={**key("abcd"), "pairs": []})
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    assert as_alice.post(url, key_post(draft, do="down:a")).url == f"{url}#at-a"


def test_key_saved_in_another_window_stands_beside_ones_own(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    shown = {"order": "a,b,c,d", "cut-0": "2", "cut-1": "2", "cut-2": "2"}
    theirs = key_post(draft, do="down:c", **shown, **{"reason-a-b": "Theirs."})
    as_alice.post(url, theirs)
    saved = Revision.objects.get(pk=draft.pk)
    mine = key_post(draft, **{**shown, "cut-0": "5"}, **{"reason-c-d": "Mine."})
    response = as_alice.post(url, {**mine, "note": "My note."})
    assert response.status_code == 422
    page = without_blanks(response)
    assert "in another window" in page
    assert "Order: 11, 22, 44, 33; it was 11, 22, 33, 44." in page
    for value in ("2", "Theirs.", "nothing"):
        assert f"<b>Saved there:</b> {value}</p>" in page
    assert ">Mine.</textarea>" in page
    assert 'data-kind="saved" hidden>' in page
    assert Revision.objects.get(pk=draft.pk).key == saved.key
    again = {**mine, "note": "My note.", "version": saved.version}
    as_alice.post(url, again)
    kept = Revision.objects.get(pk=draft.pk).key
    assert (kept["order"], kept["cuts"]) == (list("abcd"), [5, 2, 2])
    assert kept["note"] == "My note."


def test_dog_added_in_another_window_stays_as_it_is(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    as_alice.post(url, dogs_post(draft, do="add"))
    refused = as_alice.post(url, dogs_post(draft, title="Mine"))
    assert refused.status_code == 422
    fresh = Revision.objects.get(pk=draft.pk)
    as_alice.post(url, {**dogs_post(draft, title="Mine"), "version": fresh.version})
    saved = Revision.objects.get(pk=draft.pk)
    assert saved.title == "Mine"
    assert saved.content["dogs"] == fresh.content["dogs"]


def test_ruling_and_its_reason_come_from_the_page(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    as_alice.post(url, key_post(draft, do="excused:d"))
    draft.refresh_from_db()
    page = as_alice.get(url).text
    assert 'name="ruling-d" value="excused"' in page
    assert 'name="order" value="a,b,c"' in page
    sent = {"order": "a,b,c", "ruling-d": "excused", "ruling-reason-d": "Lame."}
    as_alice.post(url, key_post(draft, **sent))
    draft.refresh_from_db()
    assert draft.key["rulings"] == {"d": {"ruling": "excused", "reason": "Lame."}}


def test_order_that_was_tampered_with_holds_each_dog_once(as_alice, draft):
    url = f"/workshop/classes/{draft.exercise_id}/key/"
    sent = {"order": "b,x,a,b,,c", "ruling-a": "excused", "ruling-d": "champion"}
    as_alice.post(url, key_post(draft, **sent))
    draft.refresh_from_db()
    assert draft.key["order"] == list("bac")
    assert draft.key["rulings"] == {}


@pytest.mark.parametrize(("do", "status"), [("save", 422), ("add", 302)])
def test_more_places_than_dogs_are_refused_at_once(as_alice, draft, do, status):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    response = as_alice.post(url, dogs_post(draft, places="5", do=do))
    assert response.status_code == status
    says = "The class has 4 dogs: give 4 places or fewer, or leave this empty."
    assert (says in response.text) == (status == 422)


def test_new_class_with_more_places_than_dogs_is_refused(as_alice, club):
    module = ModuleFactory(club=club)
    post = {"module": module.pk, "title": "Three", "size": 3, "difficulty": "plain"}
    refused = as_alice.post("/workshop/classes/new/", {**post, "places": 4})
    assert refused.status_code == 422
    assert "The class has 3 dogs: give 3 places or fewer" in refused.text
    assert as_alice.post("/workshop/classes/new/", {**post, "places": 3}).url


def test_reason_of_a_pair_in_either_order_is_not_called_one_of_the_first(
    as_alice, club
):
    draft = placing_class(club, state=DRAFT, key=key("abcd", level=[1]))
    page = without_blanks(as_alice.get(f"/workshop/classes/{draft.exercise_id}/key/"))
    assert page.count("Not a reason for") == 1
    assert "Not a reason for 22 ahead of 33" in page
