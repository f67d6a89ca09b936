"""From the library into a class and back; numbers; what a trainee is shown when."""

import json
from uuid import uuid4

import pytest
from django.utils import timezone

from quizzes import exercises
from quizzes.attempts import begin
from quizzes.dogs import services
from quizzes.models import Attempt, LibraryDog, Revision
from tests.factories import LibraryDogFactory, ModuleFactory
from tests.photographs import upload
from tests.placing import placing_class
from tests.views.test_query_counts import compare, visit
from tests.views.test_workshop import dogs_post, without_blanks
from trainer.pictures.intake import take_in
from trainer.pictures.models import Picture
from trainer.pictures.services import Sent, keep

DRAFT = Revision.State.DRAFT
HAND = "By hand it is lean."


@pytest.fixture
def draft(club):
    return placing_class(club, state=DRAFT)


@pytest.fixture
def dog(draft):
    return LibraryDogFactory(
        module=draft.exercise.module,
        name="Fern",
        ringside="Long in the back.",
        levels={"priority-1": 1},
        breed="marlefell-drover",
        faults={"F1": 0.6},
        credit="Ada Marsh",
    )


def at(draft, page="dogs/"):
    return f"/workshop/classes/{draft.exercise_id}/{page}"


def stored(draft):
    draft.refresh_from_db()
    return draft.content["dogs"]


def test_page_of_the_dogs_leads_to_the_library(as_alice, draft):
    response = as_alice.post(at(draft), dogs_post(draft, do="library", title="Kept"))
    assert response.url == at(draft, "dogs/library/")
    draft.refresh_from_db()
    assert draft.title == "Kept"


def test_ticked_dogs_are_copied(as_alice, draft, dog):
    page = as_alice.get(at(draft, "dogs/library/")).text
    assert f'name="dog" value="{dog.pk}"' in page
    post = {"version": draft.version, "dog": [dog.pk]}
    assert as_alice.post(at(draft, "dogs/library/"), post).url == at(draft)
    new = stored(draft)[-1]
    assert len(stored(draft)) == 5
    assert (new["ringside"], new["levels"]) == ("Long in the back.", {"priority-1": 1})
    assert (new["library"], new["library_version"]) == (dog.pk, 1)
    assert (new["faults"], new["drawn"], draft.content["breed"]) == (
        {"F1": 0.6},
        True,
        "marlefell-drover",
    )
    assert [one["drawn"] for one in stored(draft)[:4]] == [False] * 4
    page = as_alice.get(at(draft, "dogs/library/")).text
    assert "in this class" in page
    assert f'name="dog" value="{dog.pk}"' not in page


def test_empty_dogs_are_filled_first_and_keep_their_number(as_alice, draft, dog):
    draft.content["dogs"][1] |= {"ringside": "", "hands_on": "", "age_months": None}
    draft.save()
    post = {"version": draft.version, "dog": [dog.pk]}
    as_alice.post(at(draft, "dogs/library/"), post)
    dogs = stored(draft)
    assert len(dogs) == 4
    assert (dogs[1]["id"], dogs[1]["armband"]) == ("b", 22)
    assert dogs[1]["ringside"] == "Long in the back."


def test_dog_drawn_as_another_breed_comes_as_words(as_alice, draft, dog):
    draft.content["breed"] = "tarnholt-longdrover"
    draft.save()
    post = {"version": draft.version, "dog": [dog.pk]}
    as_alice.post(at(draft, "dogs/library/"), post)
    new = stored(draft)[-1]
    assert (new["drawn"], new["faults"]) == (False, {})
    assert draft.content["breed"] == "tarnholt-longdrover"


def test_more_than_a_class_may_have_are_refused_and_stay_ticked(as_alice, club):
    draft = placing_class(club, names="abcdefghijk", state=DRAFT)
    module = draft.exercise.module
    two = [LibraryDogFactory(module=module, ringside="x").pk for _n in range(2)]
    post = {"version": draft.version, "dog": two}
    refused = as_alice.post(at(draft, "dogs/library/"), post)
    assert refused.status_code == 422
    assert "A class has at most 12 dogs." in refused.text
    assert refused.text.count(" checked") == 2
    assert len(stored(draft)) == 11


def test_nothing_ticked_begins_no_draft(as_alice, club):
    published = placing_class(club)
    response = as_alice.post(at(published, "dogs/library/"), {}, follow=True)
    assert "Tick a dog first." in response.text
    assert Revision.objects.count() == 1


def test_only_dogs_of_the_classs_module_are_offered(as_alice, draft, dog, other_club):
    LibraryDogFactory(module=ModuleFactory(club=draft.exercise.club), name="Elsewhere")
    theirs = LibraryDogFactory(module=ModuleFactory(club=other_club), name="Theirs")
    page = as_alice.get(at(draft, "dogs/library/")).text
    assert "Fern" in page
    assert "Elsewhere" not in page
    post = {"version": draft.version, "dog": [theirs.pk]}
    as_alice.post(at(draft, "dogs/library/"), post)
    assert len(stored(draft)) == 4


def test_change_in_the_library_is_told_and_taken_over(as_alice, alice, draft, dog):
    post = {"version": draft.version, "dog": [dog.pk]}
    as_alice.post(at(draft, "dogs/library/"), post)
    new = stored(draft)[-1]["id"]
    assert "It was changed there since." not in as_alice.get(at(draft)).text
    services.save_dog(
        dog, by=alice, now=timezone.now(), version=1, ringside="Not so long."
    )
    page = without_blanks(as_alice.get(at(draft)))
    assert f'From the library: <a href="{dog.get_absolute_url()}">Fern</a>.' in page
    assert "It was changed there since." in page
    worn = stored(draft)[-1]["armband"]
    as_alice.post(at(draft), dogs_post(draft, do=f"take-over:{new}"))
    taken = stored(draft)[-1]
    assert (taken["ringside"], taken["armband"]) == ("Not so long.", worn)
    assert "It was changed there since." not in as_alice.get(at(draft)).text


def test_dog_says_in_which_classes_it_is(as_alice, alice, draft, dog):
    assert "In classes" not in as_alice.get(dog.get_absolute_url()).text
    post = {"version": draft.version, "dog": [dog.pk]}
    as_alice.post(at(draft, "dogs/library/"), post)
    key = {"order": list("abcd"), "cuts": [], "pairs": []}
    Revision.objects.update(state=Revision.State.PUBLISHED, published_at=timezone.now())
    draft_again = exercises.draft_of(draft.exercise, by=alice)
    exercises.save_revision(
        draft_again, by=alice, version=draft_again.version, title="Later", key=key
    )
    page = as_alice.get(dog.get_absolute_url()).text
    assert page.count(f'href="{at(draft)}"') == 1
    assert ">Later</a>" in page


def test_dog_of_a_class_is_kept_as_it_stands_on_the_page(as_alice, draft):
    sent = {"b-ringside": "Typed just now.", "b-level-priority-1": "3"}
    as_alice.post(at(draft), dogs_post(draft, do="keep:b", **sent))
    kept = LibraryDog.objects.get()
    assert kept.name == f"22 of {draft.title}"
    assert (kept.ringside, kept.levels) == ("Typed just now.", {"priority-1": 3})
    assert kept.module == draft.exercise.module
    assert stored(draft)[1]["library"] == kept.pk


def test_dog_is_not_kept_where_the_class_was_not_saved(as_alice, draft):
    sent = dogs_post(draft, do="keep:b", version=draft.version + 1)
    assert as_alice.post(at(draft), sent).status_code == 422
    assert not LibraryDog.objects.exists()


def test_numbers_are_drawn_anew_no_two_alike(as_alice, draft):
    as_alice.post(at(draft), dogs_post(draft, do="renumber"))
    worn = [dog["armband"] for dog in stored(draft)]
    assert worn != [11, 22, 33, 44]
    assert len(set(worn)) == 4
    assert [dog["id"] for dog in stored(draft)] == list("abcd")


def test_typed_words_of_a_dog_taken_out_elsewhere_are_shown(as_alice, draft):
    as_alice.post(at(draft), dogs_post(draft, do="remove:b"))
    mine = dogs_post(draft, **{"b-ringside": "Typed for minutes.", "b-armband": "77"})
    refused = as_alice.post(at(draft), mine)
    assert refused.status_code == 422
    page = without_blanks(refused)
    assert "Taken out in another window" in page
    assert '<a href="#dog-b">What you typed of it</a>' in page
    assert '<details class="section-fine"> <summary>Title, note' in page
    assert "Typed for minutes.</textarea>" in page
    draft.refresh_from_db()
    again = {**mine, "version": draft.version, "do": "again:b"}
    assert as_alice.post(at(draft), again).url == f"{at(draft)}#dog-b"
    back = stored(draft)[-1]
    assert (back["id"], back["armband"]) == ("b", 77)
    assert back["ringside"] == "Typed for minutes."


def test_dog_put_in_again_is_held_to_the_same_rules(as_alice, draft):
    as_alice.post(at(draft), dogs_post(draft, do="remove:b"))
    sent = {"b-ringside": "Typed for minutes.", "b-armband": "33", "do": "again:b"}
    draft.refresh_from_db()
    mine = {**dogs_post(draft, **sent), "version": draft.version}
    mine |= {"b-sex": "dog"}
    refused = as_alice.post(at(draft), mine)
    assert refused.status_code == 422
    assert "Another dog of the class wears this number" in refused.text
    assert "Typed for minutes.</textarea>" in refused.text
    assert len(stored(draft)) == 3


def test_further_photographs_of_a_dog_are_shown_where_they_were_taken_over(
    as_alice, as_bob, bob, club, draft, settings, tmp_path
):
    settings.MEDIA_ROOT = tmp_path
    dog = LibraryDogFactory(module=draft.exercise.module, ringside="Pictured.")
    for view in ("front", "side"):
        photograph = {"photograph": upload(), "agreed": "on"}
        as_alice.post(f"{dog.get_absolute_url()}photographs/{view}/", photograph)
    dog.refresh_from_db()
    post = {"version": draft.version, "dog": [dog.pk]}
    as_alice.post(at(draft, "dogs/library/"), post)
    new = stored(draft)[-1]
    assert new["picture"] == dog.pictures["side"]
    assert new["pictures"] == {"front": dog.pictures["front"]}
    page = as_alice.get(at(draft)).text
    assert f"{dog.pictures['front']}/small.jpg" in page
    as_alice.post(at(draft), dogs_post(draft, do=f"no-photograph:{new['id']}"))
    bare = stored(draft)[-1]
    assert (bare["picture"], bare["pictures"]) == ("", {})
    assert Picture.objects.count() == 2


def test_trainee_finds_further_photographs_under_more_views(
    as_bob, bob, alice, club, settings, tmp_path
):
    settings.MEDIA_ROOT = tmp_path
    ids = [uuid4(), uuid4()]
    sent = [Sent(one, take_in(upload(), "dog.jpg"), agreed=True) for one in ids]
    keep(sent, club=club, by=alice, now=timezone.now())
    side, front = map(str, ids)
    by_dog = {"a": {"picture": side, "pictures": {"front": front}}}
    revision = placing_class(club, by_dog=by_dog)
    attempt = begin(revision, by=bob, now=timezone.now(), rng=Shuffle())
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    assert f"{front}/small.jpg" in page
    assert 'alt="Photograph of 11, from the front"' in page
    assert "From the front</figcaption>" in page


def test_saving_leaves_the_dog_that_was_taken_out_elsewhere_out(as_alice, draft):
    as_alice.post(at(draft), dogs_post(draft, do="remove:b"))
    mine = dogs_post(draft, **{"b-ringside": "Typed for minutes."})
    draft.refresh_from_db()
    as_alice.post(at(draft), {**mine, "version": draft.version})
    assert [dog["id"] for dog in stored(draft)] == list("acd")


def test_many_dogs_of_the_library_cost_no_more_queries(as_alice, draft):
    module = draft.exercise.module

    def add(_number):
        LibraryDogFactory(
            module=module, pictures={"side": "5f0a8f0e-0000-4000-8000-000000000000"}
        )

    compare(as_alice, at(draft, "dogs/library/"), add, 'type="checkbox" name="dog"')


def test_dogs_from_the_library_cost_the_page_one_query(as_alice, draft, dog):
    _page, before = visit(as_alice, at(draft))
    for one in draft.content["dogs"]:
        one |= {"library": dog.pk, "library_version": 1}
    draft.save()
    _page, after = visit(as_alice, at(draft))
    assert after == before + 1


# What is shown when.


def later(club, bob, **content):
    """An attempt at a class in which the hand's findings wait."""
    by_dog = {"a": {"hands_on": HAND}, "b": {"hands_on": ""}}
    revision = placing_class(club, by_dog=by_dog, pace_seconds=None)
    revision.content |= {"hand_later": True, **content}
    revision.save()
    return begin(revision, by=bob, now=timezone.now(), rng=Shuffle())


class Shuffle:
    """Leaves the dogs as they are."""

    def shuffle(self, _dogs):
        pass


def go_over(client, attempt, dog):
    return client.post(f"/attempts/{attempt.pk}/board/", {"move": f"hand:{dog}"})


def test_options_are_chosen_on_the_page_of_the_dogs(as_alice, draft):
    ticks = {"hand_later": "on", "picture_goes": "on"}
    as_alice.post(at(draft), dogs_post(draft, **ticks))
    draft.refresh_from_db()
    assert (draft.content["hand_later"], draft.content["picture_goes"]) == (True, True)
    page = as_alice.get(at(draft)).text
    assert page.count("checked") >= 2
    alone = as_alice.post(at(draft), dogs_post(draft, picture_goes="on"))
    assert alone.status_code == 422
    assert "This needs the tick above" in alone.text


def test_as_ever_everything_is_told_from_the_start(as_bob, bob, club):
    attempt = later(club, bob, hand_later=False)
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    assert HAND in page
    assert "Go over it with the hand" not in page


@pytest.mark.parametrize("goes", [False, True])
def test_trainee_is_told_before_the_class_is_begun(as_bob, bob, club, goes):
    attempt = later(club, bob, picture_goes=goes)
    page = as_bob.get(f"/classes/{attempt.revision.exercise_id}/").text
    assert "What the hand finds is told once you go over a dog." in page
    assert ("Its picture goes then." in page) == goes
    plain = placing_class(club)
    page = as_bob.get(f"/classes/{plain.exercise_id}/").text
    assert "once you go over a dog" not in page


@pytest.mark.parametrize("page", ["", "compare/?first=a&second=b"])
def test_hands_findings_wait_until_the_dog_is_gone_over(as_bob, bob, club, page):
    attempt = later(club, bob)
    url = f"/attempts/{attempt.pk}/{page}"
    assert HAND not in as_bob.get(url).text
    assert go_over(as_bob, attempt, "a").url == f"/attempts/{attempt.pk}/#dog-a"
    assert HAND in as_bob.get(url).text
    assert "a from the ring-side." in as_bob.get(url).text


def test_dog_without_findings_looks_like_the_others(as_bob, bob, club):
    attempt = later(club, bob)
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    assert page.count("Go over it with the hand") == 4
    go_over(as_bob, attempt, "b")
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    assert "The hand finds nothing more." in page
    assert page.count("Go over it with the hand") == 3


def test_who_was_gone_over_is_recorded_and_not_graded(as_bob, bob, club):
    attempt = later(club, bob)
    go_over(as_bob, attempt, "c")
    go_over(as_bob, attempt, "a")
    go_over(as_bob, attempt, "a")
    attempt.refresh_from_db()
    assert attempt.answer == {"order": [], "rulings": {}, "handled": ["c", "a"]}
    whole = {"order": list("abcd"), "rulings": {}, "handled": ["c", "a"]}
    as_bob.post(f"/attempts/{attempt.pk}/hand-in/", {"answer": json.dumps(whole)})
    grade = Attempt.objects.get().own_grade
    assert (grade.pairs_agreed, grade.pairs_counted) == (6, 6)
    assert Attempt.objects.get().answer["handled"] == ["c", "a"]


def test_page_from_before_does_not_undo_what_was_gone_over(as_bob, bob, club):
    attempt = later(club, bob)
    go_over(as_bob, attempt, "a")
    sent = {"answer": json.dumps({"order": ["b"], "rulings": {}}), "version": 1}
    as_bob.post(f"/attempts/{attempt.pk}/save/", sent)
    attempt.refresh_from_db()
    assert attempt.answer == {"order": ["b"], "rulings": {}, "handled": ["a"]}


@pytest.mark.parametrize("handled", ["a", ["nobody"], [["a"]], {"a": 1}])
def test_nonsense_about_the_hand_is_refused(as_bob, bob, club, handled):
    attempt = later(club, bob)
    whole = {"order": [], "rulings": {}, "handled": handled}
    sent = {"answer": json.dumps(whole), "version": 0}
    assert as_bob.post(f"/attempts/{attempt.pk}/save/", sent).status_code == 422


def test_picture_goes_with_the_ring_side(as_bob, bob, club):
    attempt = later(club, bob, picture_goes=True, breed="marlefell-drover")
    url = f"/attempts/{attempt.pk}/"
    page = as_bob.get(url).text
    assert page.count("Its picture goes then.") == 4
    assert f"{url}plates/a.svg" in page
    go_over(as_bob, attempt, "a")
    page = as_bob.get(url).text
    assert f"{url}plates/a.svg" not in page
    assert f"{url}plates/b.svg" in page
    assert "a from the ring-side." in page
    pair = as_bob.get(f"{url}compare/?first=a&second=b&how=over").text
    assert f"{url}plates/a.svg" not in pair
    assert f"{url}overlays/a" not in pair


def test_everything_is_told_once_it_is_in(as_bob, bob, club):
    attempt = later(club, bob, picture_goes=True, breed="marlefell-drover")
    go_over(as_bob, attempt, "b")
    whole = {"order": list("abcd"), "rulings": {}, "handled": ["b"]}
    as_bob.post(f"/attempts/{attempt.pk}/hand-in/", {"answer": json.dumps(whole)})
    url = f"/attempts/{attempt.pk}/"
    pair = as_bob.get(f"{url}compare/?first=a&second=b").text
    assert HAND in pair
    assert f"{url}plates/b.svg" in pair
