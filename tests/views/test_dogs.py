"""A club's library of dogs: kept, searched, drawn, photographed, put away."""

import pytest
from django.utils import timezone

from quizzes.dogs import services
from quizzes.dogs.searching import SearchForm, modules_taught
from quizzes.kinds.placing.photographs import erase_unused
from quizzes.models import LibraryDog
from tests.factories import LessonFactory, LibraryDogFactory, ModuleFactory
from tests.photographs import upload
from tests.views.test_query_counts import compare
from trainer.pictures.models import Picture
from trainer.study.models import ModuleRevision


@pytest.fixture
def module(club):
    return ModuleFactory(club=club)


@pytest.fixture
def dog(module):
    return LibraryDogFactory(module=module, name="Lame Fern", note="The steep croup.")


def dog_post(dog, **more):
    """What the page of a dog sends."""
    texts = ("name", "note", "ringside", "hands_on", "credit", "version", "sex")
    return {**{name: getattr(dog, name) for name in texts}, "do": "save", **more}


def names(found):
    return [dog.name for dog in found]


def searched(user, **asked):
    form = SearchForm(asked, modules=modules_taught(user))
    return names(form.found(LibraryDog.objects.editable_by(user)))


def test_new_dog_leads_to_its_page(as_alice, alice, module):
    post = {"module": module.pk, "name": "Fern"}
    response = as_alice.post("/workshop/dogs/new/", post)
    made = LibraryDog.objects.get()
    assert response.url == f"/workshop/dogs/{made.pk}/"
    assert (made.club, made.module, made.edited_by) == (module.club, module, alice)


def test_module_of_another_club_is_refused(as_alice, module, other_club):
    theirs = ModuleFactory(club=other_club)
    response = as_alice.post(
        "/workshop/dogs/new/", {"module": theirs.pk, "name": "Fern"}
    )
    assert response.status_code == 422
    assert not LibraryDog.objects.exists()


def test_without_a_module_the_page_says_where_one_is_written(as_alice, club):
    assert "A dog needs a study module" in as_alice.get("/workshop/dogs/new/").text


def test_everything_said_of_a_dog_is_kept(as_alice, dog):
    post = dog_post(
        dog,
        name="Fern",
        sex="bitch",
        age_months=31,
        ringside="Short in the loin.",
        **{"level-priority-1": 4},
    )
    assert as_alice.post(dog.get_absolute_url(), post).url == dog.get_absolute_url()
    dog.refresh_from_db()
    assert (dog.name, dog.sex, dog.age_months) == ("Fern", "bitch", 31)
    assert (dog.ringside, dog.levels) == ("Short in the loin.", {"priority-1": 4})
    assert dog.version == 2


def test_saved_in_another_window_both_are_shown(as_alice, dog):
    url = dog.get_absolute_url()
    as_alice.post(url, dog_post(dog, ringside="Saved first."))
    refused = as_alice.post(url, dog_post(dog, ringside="Typed at the same time."))
    assert refused.status_code == 422
    page = " ".join(refused.text.split())
    assert "You saved this dog at" in page
    assert "<b>From the ring-side, saved there:</b> Saved first." in page
    assert "Typed at the same time.</textarea>" in page
    assert 'name="version" value="2"' in page
    assert 'data-unsaved="yes"' in page
    again = dog_post(dog, ringside="Typed at the same time.", version=2)
    as_alice.post(url, again)
    dog.refresh_from_db()
    assert dog.ringside == "Typed at the same time."


def test_saved_by_somebody_else_says_who(as_alice, organiser, dog):
    services.save_dog(
        dog, by=organiser, now=timezone.now(), version=1, ringside="Olive's."
    )
    refused = as_alice.post(dog.get_absolute_url(), dog_post(dog))
    assert "Olive Organiser saved this dog at" in refused.text


def test_search_by_words_of_name_and_note(alice, module, dog):
    LibraryDogFactory(module=module, name="Moss", note="steep in the pastern")
    assert searched(alice) == ["Lame Fern", "Moss"]
    assert searched(alice, q="steep") == ["Lame Fern", "Moss"]
    assert searched(alice, q="fern steep") == ["Lame Fern"]
    assert searched(alice, q="heather") == []


def test_search_by_sex_and_what_is_shown(alice, module, dog):
    LibraryDogFactory(
        module=module, name="Drawn", breed="marlefell-drover", sex="bitch"
    )
    LibraryDogFactory(module=module, name="Pictured", pictures={"side": "x"})
    assert searched(alice, sex="bitch") == ["Drawn"]
    assert searched(alice, shown="plate") == ["Drawn"]
    assert searched(alice, shown="photograph") == ["Pictured"]
    assert searched(alice, shown="words") == ["Lame Fern"]


def test_search_by_a_level_on_a_priority(alice, module, other_club):
    for level in (1, 2, 4):
        LibraryDogFactory(
            module=module, name=f"Level {level}", levels={"priority-1": level}
        )
    LibraryDogFactory(module=module, name="Not said")
    another = ModuleFactory(club=module.club)
    LibraryDogFactory(module=another, name="Elsewhere", levels={"priority-1": 4})
    asked = {"priority": f"{module.pk}:priority-1", "level": 2}
    assert searched(alice, **asked, bound="gte") == ["Level 2", "Level 4"]
    assert searched(alice, **asked, bound="lte") == ["Level 1", "Level 2"]


def test_nonsense_in_the_address_finds_everything(as_alice, alice, dog):
    asked = "?sex=cat&priority=x&level=9&bound=no&page=99"
    assert "Lame Fern" in as_alice.get(f"/workshop/dogs/{asked}").text


def test_search_offers_the_priorities_published_last(alice, module):
    names_of = dict(
        SearchForm({}, modules=modules_taught(alice)).fields["priority"].choices
    )
    (offered,) = (rows for label, rows in names_of.items() if label == str(module))
    assert offered == [
        (f"{module.pk}:priority-1", "Priority 1"),
        (f"{module.pk}:priority-2", "Priority 2"),
    ]


def test_other_clubs_dogs_are_not_found(as_alice, as_charlie, dog, other_club):
    LibraryDogFactory(module=ModuleFactory(club=other_club), name="Theirs")
    page = as_alice.get("/workshop/dogs/").text
    assert "Lame Fern" in page
    assert "Theirs" not in page
    assert as_charlie.get(dog.get_absolute_url()).status_code == 404


def test_trainees_never_meet_the_library(as_bob, dog):
    for url in ("/workshop/dogs/", dog.get_absolute_url()):
        assert as_bob.get(url).status_code == 404


def test_put_away_and_taken_back(as_alice, alice, dog):
    url = f"{dog.get_absolute_url()}archive/"
    as_alice.post(url, {"do": "away"})
    assert searched(alice) == []
    assert searched(alice, away="on") == ["Lame Fern"]
    assert "Take it back into use" in as_alice.get(dog.get_absolute_url()).text
    as_alice.post(url, {"do": "back"})
    assert searched(alice) == ["Lame Fern"]


def test_plate_is_drawn_for_its_mentors_alone(as_alice, as_bob, module, dog):
    drawn = LibraryDogFactory(module=module, breed="marlefell-drover")
    url = f"{drawn.get_absolute_url()}plate.svg"
    assert as_alice.get(url)["Content-Type"] == "image/svg+xml"
    assert as_alice.get(f"{url}?view=tail").status_code == 404
    assert as_bob.get(url).status_code == 404
    assert as_alice.get(f"{dog.get_absolute_url()}plate.svg").status_code == 404


def test_to_the_workbench_and_back(as_alice, module):
    dog = LibraryDogFactory(
        module=module, breed="marlefell-drover", faults={"F1": 0.8}, ringside="Kept."
    )
    bench = as_alice.post(dog.get_absolute_url(), dog_post(dog, do="draw")).url
    page = as_alice.get(bench).text
    assert f'<option value="library:{dog.pk}" selected>' in page
    assert "F1=80" in bench
    sent = {"place": f"library:{dog.pk}", "sketch": "breed=tarnholt-longdrover&R4=50"}
    back = as_alice.post("/workshop/dogs/drawn/", sent)
    assert back.url == dog.get_absolute_url()
    dog.refresh_from_db()
    assert (dog.breed, dog.faults) == ("tarnholt-longdrover", {"R4": 0.5})
    assert (dog.ringside, dog.version) == ("Kept.", 3)


def test_drawn_dog_becomes_a_new_one_with_a_name(as_alice, module):
    sent = {"place": f"new:{module.pk}", "sketch": "breed=marlefell-drover&F1=80"}
    refused = as_alice.post("/workshop/dogs/drawn/", sent)
    assert refused.status_code == 422
    assert "Give the new dog a name." in refused.text
    as_alice.post("/workshop/dogs/drawn/", {**sent, "name": "Upright Jess"})
    dog = LibraryDog.objects.get()
    assert (dog.name, dog.breed, dog.faults) == (
        "Upright Jess",
        "marlefell-drover",
        {"F1": 0.8},
    )


def test_dog_of_another_club_is_not_drawn_over(as_alice, module, other_club):
    theirs = LibraryDogFactory(module=ModuleFactory(club=other_club))
    sent = {"place": f"library:{theirs.pk}", "sketch": "breed=marlefell-drover"}
    assert as_alice.post("/workshop/dogs/drawn/", sent).status_code == 422
    theirs.refresh_from_db()
    assert theirs.breed == ""


def test_levels_outlive_a_withdrawn_module(as_alice, module, dog):
    module.revisions.update(state=ModuleRevision.State.WITHDRAWN)
    assert "Priority 1" in as_alice.get(dog.get_absolute_url()).text


def test_photograph_is_sent_chosen_and_taken_away(as_alice, dog, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    url = f"{dog.get_absolute_url()}photographs/front/"
    assert "no photographs yet" in as_alice.get(url).text
    file = {"photograph": upload(), "agreed": "on", "credit": "Ada Marsh"}
    assert as_alice.post(url, file).url == dog.get_absolute_url()
    picture = Picture.objects.get()
    dog.refresh_from_db()
    assert dog.pictures == {"front": str(picture.public_id)}
    assert dog.credit == "Ada Marsh"
    side = url.replace("front", "side")
    as_alice.post(side, {"picture": picture.public_id})
    dog.refresh_from_db()
    assert set(dog.pictures) == {"front", "side"}
    as_alice.post(dog.get_absolute_url(), dog_post(dog, do="no-photograph:front"))
    dog.refresh_from_db()
    assert set(dog.pictures) == {"side"}


def test_withdrawn_photograph_gives_way_to_the_plate(as_alice, module):
    gone = {"side": "5f0a8f0e-0000-4000-8000-000000000000"}
    dog = LibraryDogFactory(module=module, breed="marlefell-drover", pictures=gone)
    assert "It was withdrawn." in as_alice.get(dog.get_absolute_url()).text
    page = as_alice.get("/workshop/dogs/").text
    assert f"{dog.get_absolute_url()}plate.svg" in page
    assert gone["side"] not in page


@pytest.mark.parametrize("chosen", ["nonsense", "5f0a8f0e-0000-4000-8000-000000000000"])
def test_photograph_that_is_not_the_clubs_is_refused(as_alice, dog, chosen):
    url = f"{dog.get_absolute_url()}photographs/front/"
    response = as_alice.post(url, {"picture": chosen}, follow=True)
    assert "That photograph is gone" in response.text
    dog.refresh_from_db()
    assert dog.pictures == {}


def test_photograph_needs_the_tick(as_alice, dog, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    url = f"{dog.get_absolute_url()}photographs/front/"
    refused = as_alice.post(url, {"photograph": upload()})
    assert refused.status_code == 422
    assert "Tick this, or leave the photograph out." in refused.text
    assert not Picture.objects.exists()


def test_unknown_view_is_404(as_alice, dog):
    url = f"{dog.get_absolute_url()}photographs/tail/"
    assert as_alice.get(url).status_code == 404


def test_list_asks_as_often_for_many_as_for_few(as_alice, module):
    def add(number):
        LibraryDogFactory(
            module=module if number % 2 else ModuleFactory(club=module.club),
            breed="marlefell-drover" if number % 2 else "",
            pictures={"side": "5f0a8f0e-0000-4000-8000-000000000000"},
        )

    compare(as_alice, "/workshop/dogs/", add, 'class="dogs-row"')


def test_photograph_that_something_else_shows_is_not_erased(
    as_alice, alice, club, module, settings, tmp_path
):
    settings.MEDIA_ROOT = tmp_path
    dog = LibraryDogFactory(module=module)
    as_alice.post(
        f"{dog.get_absolute_url()}photographs/side/",
        {"photograph": upload(), "agreed": "on"},
    )
    picture = Picture.objects.get()
    public_id = str(picture.public_id)
    lesson = LessonFactory(revision=module.revisions.get(), sections=[{"p": public_id}])
    erase_unused({public_id}, club.pk)
    LibraryDog.objects.update(pictures={})
    erase_unused({public_id}, club.pk)
    lesson.delete()
    Picture.objects.update(title="A long loin")
    erase_unused({public_id}, club.pk)
    assert Picture.objects.count() == 1
    Picture.objects.update(title="")
    erase_unused({public_id}, club.pk)
    assert not Picture.objects.exists()
