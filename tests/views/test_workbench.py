"""The drawing workbench: who may use it, what an address draws, where a sketch is saved."""

import re
from xml.etree import ElementTree

import pytest
from django.http import QueryDict
from django.utils.http import urlencode

from quizzes.drawing.bench import address_of_dog
from quizzes.drawing.sketch import Sketch
from quizzes.kinds.placing.content import ClassContent
from quizzes.models import Build, Drawing, Exercise, Revision
from quizzes.plates import BREEDS, FAULTS
from quizzes.practice import material
from tests.factories import BuildFactory, DrawingFactory, ModuleFactory
from tests.material import drawn_module
from tests.placing import placing_class

BENCH = "/workshop/drawing/"
FRAGMENT = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.VAR_DIR = settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def draft(club, alice):
    """Alice's draft of dogs a to d, which are words so far."""
    return placing_class(
        club, state=Revision.State.DRAFT, edited_by=alice, title="Limit dogs"
    )


@pytest.fixture
def module(club, alice):
    return drawn_module(club, alice)


def query(**fields):
    return urlencode({"breed": "marlefell-drover", **fields}, doseq=True)


def plate(client, **fields):
    return client.get(f"{BENCH}plate.svg?{query(**fields)}")


# Who


def test_only_mentors_find_it(as_bob, as_organiser, as_stranger):
    for client in (as_bob, as_organiser, as_stranger):
        assert client.get(BENCH).status_code == 404
        assert client.get(f"{BENCH}plate.svg").status_code == 404
        assert client.post(f"{BENCH}dog/", {}).status_code == 404
        assert client.post(f"{BENCH}keep/", {}).status_code == 404
        assert client.post(f"{BENCH}breed/", {}).status_code == 404


def test_mentors_find_it_in_the_navigation(as_alice, as_bob):
    assert f'href="{BENCH}"' in as_alice.get("/workshop/").text
    assert f'href="{BENCH}"' not in as_bob.get("/").text


# What an address draws


def test_page_works_without_script(as_alice):
    """Every fault is a number in a form that asks by GET."""
    page = as_alice.get(f"{BENCH}?{query(F1=80, seed=5)}").text
    assert 'method="get"' in page
    for code, fault in FAULTS.items():
        assert f'name="{code}"' in page
        assert fault.name[1:] in page
    assert re.search(r'name="F1" [^>]*value="80"', page)
    assert "Layback of the blade" in page
    assert 'hidden>\n  <input type="number"' in page


def test_fragment_is_the_drawing_alone(as_alice):
    whole = as_alice.get(f"{BENCH}?{query(F1=80)}")
    part = as_alice.get(f"{BENCH}?{query(F1=80)}", headers=FRAGMENT)
    assert "<html" in whole.text
    assert "<html" not in part.text
    assert "bench-side" in part.text
    assert 'name="F1"' not in part.text
    assert "HX-Request" in part["Vary"]


def test_address_is_short_and_gives_the_same_dog(as_alice):
    asked = query(F1=80, F2=0, seed=5, mirror=1, m=["layback", "stifle"], ear="drop")
    page = as_alice.get(f"{BENCH}?{asked}").text
    address = re.search(r'data-query="([^"]+)"', page)[1].replace("&amp;", "&")
    assert "F2" not in address
    again = as_alice.get(f"{BENCH}?{address}").text
    assert f'data-query="{address.replace("&", "&amp;")}"' in again
    for one in ("F1=80", "seed=5", "mirror=1", "m=layback", "m=stifle", "ear=drop"):
        assert one in address


@pytest.mark.parametrize(
    "wrong",
    [
        {"breed": "spaniel"},
        {"sex": "hound"},
        {"seed": "-5"},
        {"seed": "many"},
        {"F1": "nan"},
        {"F1": "1e999"},
        {"F1": "-4"},
        {"F1": "4000"},
        {"b-length": "inf"},
        {"b-length": "9999"},
        {"b-nonsense": "1"},
        {"ear": "none"},
        {"pattern": "plaid"},
        {"coat": "<b>"},
        {"m": "nonsense"},
        {"F99": "20"},
    ],
)
def test_nonsense_is_left_out_or_taken_to_its_end(as_alice, wrong):
    page = as_alice.get(f"{BENCH}?{query(**wrong)}")
    drawing = as_alice.get(f"{BENCH}plate.svg?{query(**wrong)}")
    assert page.status_code == drawing.status_code == 200
    ElementTree.fromstring(drawing.text)


@pytest.mark.parametrize("view", ["side", "front", "rear", "top", "head", "over"])
@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_every_view_is_drawn(as_alice, view, theme):
    response = plate(as_alice, F1=80, R4=50, view=view, theme=theme, landmarks=1)
    assert response["Content-Type"] == "image/svg+xml"
    ElementTree.fromstring(response.text)


@pytest.mark.parametrize("wrong", ["view=inside", "theme=sepia", "size=huge"])
def test_unknown_drawing_is_not_found(as_alice, wrong):
    assert as_alice.get(f"{BENCH}plate.svg?{wrong}").status_code == 404


def test_drawing_is_the_same_to_the_byte(as_alice):
    one, two = (plate(as_alice, F1=80, seed=3).content for _ in range(2))
    assert one == two
    assert plate(as_alice, F1=75, seed=3).content != one
    assert plate(as_alice, F1=80, seed=4).content != one
    assert plate(as_alice, F1=80, seed=3, mirror=1).content != one


def test_measuring_layer_is_drawn_where_it_belongs(as_alice):
    assert "20°" in plate(as_alice, F1=100, m="layback").text
    assert "°" not in plate(as_alice, F1=100, m="layback", view="front").text


def test_file_says_that_it_is_schematic(as_alice):
    response = plate(as_alice, file=1, theme="print")
    assert "Schematic drawing, not a breed" in response.text
    assert "attachment" in response["Content-Disposition"]
    assert "Schematic" not in plate(as_alice, theme="print").text


def test_measurements_stand_beside_the_breeds_own(as_alice):
    page = as_alice.get(f"{BENCH}?{query(F1=100)}", headers=FRAGMENT).text
    row = re.search(r"Layback of the blade.*?</tr>", page, re.S)[0]
    assert "20°" in row
    assert "32°" in row
    assert "shoulder joint, scapula top" in row
    page = as_alice.get(f"{BENCH}?{query()}", headers=FRAGMENT).text
    assert "Nothing differs" in page


def test_build_changes_proportions_ear_and_coat(as_alice):
    plain = plate(as_alice).content
    for change in ({"b-length": 114}, {"ear": "prick"}, {"coat": "smooth"}):
        assert plate(as_alice, **change).content != plain
    page = as_alice.get(f"{BENCH}?{query(**{'b-length': 114})}").text
    assert "Length to height" in page


def test_another_breed_leaves_the_old_build_behind(as_alice):
    sent = {"was": "marlefell-drover", "b-length": 114, "ear": "prick", "F1": 50}
    page = as_alice.get(f"{BENCH}?{urlencode({'breed': 'linsey-companion', **sent})}")
    address = re.search(r'data-query="([^"]+)"', page.text)[1]
    assert "F1=50" in address
    assert "b-" not in address
    assert "ear" not in address


def test_sketch_survives_its_document():
    sketch = Sketch(
        "fenmere-waterdog",
        "bitch",
        7,
        True,
        {"F1": 0.8},
        {"ear": "prick", "length": 103.0},
        ("layback",),
        True,
        True,
        {"ear": "prick"},
    )
    assert Sketch.of_document(sketch.document()) == sketch
    assert set(BREEDS) >= {sketch.breed}


# As a dog of a class


def save_dog(client, place, **fields):
    return client.post(f"{BENCH}dog/", {"sketch": query(**fields), "place": place})


def test_dog_of_a_draft_is_drawn_and_keeps_its_words(as_alice, draft):
    response = save_dog(
        as_alice,
        f"{draft.exercise_id}:b",
        F1=80,
        seed=9,
        sex="bitch",
        mirror=1,
        ear="drop",
    )
    assert response.url == f"/workshop/classes/{draft.exercise_id}/dogs/#dog-b"
    draft.refresh_from_db()
    content = ClassContent.read(draft.content)
    dog = content.by_id["b"]
    assert (dog.faults, dog.coat_seed, dog.mirror) == ({"F1": 0.8}, 9, True)
    assert (dog.sex, dog.build, dog.armband) == ("bitch", {"ear": "drop"}, 22)
    assert dog.ringside == "b from the ring-side."
    assert content.breed == "marlefell-drover"
    assert [one.drawn for one in content] == [False, True, False, False]


def test_dogs_that_are_words_stay_words_on_every_page(as_alice, draft):
    save_dog(as_alice, f"{draft.exercise_id}:b", F1=80)
    base = f"/workshop/classes/{draft.exercise_id}/"
    assert as_alice.get(f"{base}plates/b.svg").status_code == 200
    assert as_alice.get(f"{base}plates/a.svg").status_code == 404
    assert as_alice.get(f"{base}dogs/").text.count("plates/") == 2
    assert "plates/a.svg" not in as_alice.get(f"{base}key/").text


def test_one_dog_more(as_alice, draft):
    save_dog(as_alice, f"{draft.exercise_id}:more", F7=40)
    draft.refresh_from_db()
    assert draft.size == 5
    assert draft.content["dogs"][-1]["faults"] == {"F7": 0.4}


def test_new_class(as_alice, module):
    response = save_dog(as_alice, f"new:{module.pk}", F7=40)
    made = Revision.objects.get()
    assert response.url.startswith(f"/workshop/classes/{made.exercise_id}/dogs/#dog-")
    assert made.state == Revision.State.DRAFT
    assert made.content["dogs"][0]["faults"] == {"F7": 0.4}


def test_class_of_another_breed_is_refused(as_alice, draft):
    draft.content["breed"] = "linsey-companion"
    draft.save()
    response = save_dog(as_alice, f"{draft.exercise_id}:b", F1=80)
    assert response.status_code == 422
    assert "This class is drawn as Linsey Companion." in response.text
    draft.refresh_from_db()
    assert not draft.content["dogs"][1].get("faults")


def test_full_class_is_refused(as_alice, club, alice):
    full = placing_class(
        club, names="abcdefghijkl", state=Revision.State.DRAFT, edited_by=alice
    )
    response = save_dog(as_alice, f"{full.exercise_id}:more")
    assert response.status_code == 422
    assert "at most 12 dogs" in response.text


@pytest.mark.parametrize("place", ["", "new:0", "1:zz", "x", "{pk}:zz", "new:x"])
def test_unknown_places_are_refused(as_alice, draft, place):
    response = save_dog(as_alice, place.format(pk=draft.exercise_id))
    assert response.status_code == 422
    assert Exercise.objects.count() == 1


def test_drafts_of_others_are_no_choice(as_alice, club, other_club, alice):
    theirs = placing_class(other_club, state=Revision.State.DRAFT)
    published = placing_class(club, edited_by=alice)
    for revision in (theirs, published):
        assert save_dog(as_alice, f"{revision.exercise_id}:a").status_code == 422


def test_workbench_opens_with_a_dog_of_the_class(as_alice, draft):
    """From the dogs' page: what was typed is saved, the dog lies on the bench."""
    sent = {"version": draft.version, "title": "Limit dogs", "difficulty": "plain"}
    for dog in draft.content["dogs"]:
        sent |= {f"{dog['id']}-armband": dog["armband"], f"{dog['id']}-sex": "dog"}
        sent |= {f"{dog['id']}-ringside": "As typed."}
    response = as_alice.post(
        f"/workshop/classes/{draft.exercise_id}/dogs/", {**sent, "do": "draw:c"}
    )
    assert response.url.startswith(BENCH)
    page = as_alice.get(response.url).text
    assert f'<option value="{draft.exercise_id}:c" selected>' in page
    draft.refresh_from_db()
    assert draft.content["dogs"][2]["ringside"] == "As typed."


# As an illustration


def keep(client, beside, **fields):
    sent = {"sketch": query(F1=80), "name": "An upright blade", "view": "side"}
    return client.post(f"{BENCH}keep/", {**sent, "beside": beside, **fields})


def test_drawing_stands_beside_its_priority(as_alice, as_bob, as_charlie, module):
    assert keep(as_alice, f"{module.pk}:forehand").status_code == 302
    kept = Drawing.objects.get()
    assert (kept.module, kept.priority) == (module, "forehand")
    page = as_bob.get(f"/modules/{module.pk}/priorities/forehand/").text
    assert f"/drawings/{kept.pk}.svg" in page
    assert "An upright blade" in page
    assert "straight shoulder" in page
    assert "/drawings/" not in as_bob.get(f"/modules/{module.pk}/priorities/feet/").text
    assert as_bob.get(f"/drawings/{kept.pk}.svg?theme=dark").status_code == 200
    assert as_bob.get(f"/drawings/{kept.pk}.svg?theme=x").status_code == 404
    assert as_charlie.get(f"/drawings/{kept.pk}.svg").status_code == 404


def test_published_module_is_not_touched(as_alice, module):
    before = list(module.revisions.values())
    keep(as_alice, f"{module.pk}:forehand")
    assert list(module.revisions.values()) == before


def test_drawing_of_the_workbench_alone(as_alice, club):
    assert keep(as_alice, f"club:{club.pk}", view="head").status_code == 302
    kept = Drawing.objects.get()
    assert (kept.club, kept.module, kept.view) == (club, None, "head")
    assert f"/drawings/{kept.pk}.svg" in as_alice.get(BENCH).text


@pytest.mark.parametrize(
    "wrong", [{"name": ""}, {"name": "  "}, {"view": "inside"}, {"beside": "x"}]
)
def test_what_is_missing_is_said(as_alice, club, wrong):
    response = keep(as_alice, **{"beside": f"club:{club.pk}", **wrong})
    assert response.status_code == 422
    assert "to mend" in response.text
    assert re.search(r'name="F1" [^>]*value="80"', response.text)
    assert not Drawing.objects.exists()


def test_another_clubs_priority_is_no_choice(as_alice, other_club):
    module = ModuleFactory(club=other_club)
    assert keep(as_alice, f"{module.pk}:priority-1").status_code == 422


def test_drawing_is_taken_away_by_the_clubs_mentors_only(
    as_alice, as_bob, club, other_club
):
    ours, theirs = DrawingFactory(club=club), DrawingFactory(club=other_club)
    assert as_bob.post(f"{BENCH}{ours.pk}/remove/").status_code == 404
    assert as_alice.post(f"{BENCH}{theirs.pk}/remove/").status_code == 404
    assert as_alice.post(f"{BENCH}{ours.pk}/remove/").status_code == 302
    assert list(Drawing.objects.all()) == [theirs]


def test_page_costs_the_same_with_many_drawings_and_drafts(
    as_alice, alice, club, module, django_assert_max_num_queries
):
    def add(count):
        for _time in range(count):
            DrawingFactory(club=club, module=module, priority="forehand")
            BuildFactory(club=club)
            placing_class(
                club, module=module, state=Revision.State.DRAFT, edited_by=alice
            )

    add(1)
    as_alice.get(BENCH)
    with django_assert_max_num_queries(50) as few:
        as_alice.get(BENCH)
    add(8)
    with django_assert_max_num_queries(50) as many:
        as_alice.get(BENCH)
    assert len(few) == len(many)


# As a breed of the club's own


OWN = "marlefell-drover~ear~prick~length~114.0"


def keep_breed(client, module, name="Sallowmere Herder", sketch=None):
    sketch = sketch or query(**{"b-length": 114, "ear": "prick", "F1": 80})
    sent = {"sketch": sketch, "name": name, "module": module}
    return client.post(f"{BENCH}breed/", sent)


def own_query(**fields):
    return urlencode({"breed": OWN, **fields}, doseq=True)


def test_build_is_kept_as_a_breed_without_its_faults(as_alice, alice, club):
    response = keep_breed(as_alice, f"club:{club.pk}")
    build = Build.objects.get()
    assert (build.club, build.base, build.module) == (club, "marlefell-drover", None)
    assert build.values == {"ear": "prick", "length": 114.0}
    assert build.made_by == alice
    page = as_alice.get(response.url).text
    assert f'<option value="{OWN}" selected>Sallowmere Herder</option>' in page
    assert '<optgroup label="Your club\'s">' in page
    assert re.search(r'name="F1" [^>]*value="80"', page)


def test_own_breed_is_drawn_as_the_same_values_are(as_alice):
    own = as_alice.get(f"{BENCH}plate.svg?{own_query(seed=3)}").content
    built = plate(as_alice, seed=3, ear="prick", **{"b-length": 114}).content
    assert own == built
    assert own != plate(as_alice, seed=3).content


def test_what_differs_is_told_against_the_own_breed(as_alice):
    page = as_alice.get(f"{BENCH}?{own_query()}", headers=FRAGMENT).text
    assert "Nothing differs" in page
    page = as_alice.get(f"{BENCH}?{own_query(F4=100)}", headers=FRAGMENT).text
    row = re.search(r"Length to height, point of shoulder.*?</tr>", page, re.S)[0]
    assert re.findall(r"\d\.\d\d", row) == ["1.26", "1.14"]


def test_dog_of_an_own_breed_may_be_built_otherwise_again(as_alice):
    sent = {"b-length": 108, "ear": "semi-prick", "pattern": "saddle", "was": OWN}
    page = as_alice.get(f"{BENCH}?{own_query(**sent)}", headers=FRAGMENT).text
    address = re.search(r'data-query="([^"]+)"', page)[1].replace("&amp;", "&")
    sketch = Sketch.read(QueryDict(address))
    assert sketch.build == {"pattern": "saddle"}
    assert sketch.own == {"ear": "prick", "length": 114.0}
    plain = as_alice.get(f"{BENCH}plate.svg?{query(seed=3, pattern='saddle')}").content
    assert as_alice.get(f"{BENCH}plate.svg?{address}&seed=3").content == plain


def test_script_is_told_the_own_breeds_values(as_alice):
    page = as_alice.get(f"{BENCH}?{own_query()}").text
    number = re.search(r'<input type="number" id="c-b-length"[^>]*>', page)[0]
    assert 'value="114.0"' in number
    assert 'data-own="114.0"' in number
    assert f'name="was" value="{OWN}"' in page
    assert f'href="?breed={OWN}&amp;sex=dog&amp;seed=1"' in page


@pytest.mark.parametrize(
    "word",
    [
        "marlefell-drover~ear",
        "marlefell-drover~ear~horned",
        "marlefell-drover~length~nan",
        "marlefell-drover~colour~1",
        "marlefell-drover~~~",
        "~ear~prick",
    ],
)
def test_nonsense_in_a_breeds_word_is_left_out(as_alice, word):
    asked = urlencode({"breed": word})
    assert as_alice.get(f"{BENCH}?{asked}").status_code == 200
    assert Sketch.read(QueryDict(asked)).own == {}


def test_order_of_stored_values_does_not_matter(as_alice, club):
    """One of the databases keeps the names of a document in an order of its own."""
    BuildFactory(club=club, name="Turned", values={"length": 114, "ear": "prick"})
    page = as_alice.get(f"{BENCH}?{own_query()}").text
    assert f'<option value="{OWN}" selected>Turned</option>' in page


def test_breed_that_nobody_keeps_is_a_choice_while_it_is_open(as_alice):
    page = as_alice.get(f"{BENCH}?{own_query()}").text
    assert f'<option value="{OWN}" selected>A breed that is not kept</option>' in page


def test_pattern_is_a_choice_of_the_build(as_alice):
    """Every number then gives that pattern, and another coat still."""
    texts, drawings = set(), set()
    for seed in range(6):
        page = as_alice.get(f"{BENCH}?{query(pattern='saddle', seed=seed)}").text
        texts.add("pale with a dark saddle" in page)
        drawings.add(plate(as_alice, pattern="saddle", seed=seed).content)
    assert texts == {True}
    assert len(drawings) == 6
    assert '<option value="any" selected>' in as_alice.get(f"{BENCH}?{query()}").text


def test_kept_name_is_drawn_anew(as_alice, club, module):
    keep_breed(as_alice, f"club:{club.pk}")
    again = query(**{"b-length": 110})
    keep_breed(as_alice, f"module:{module.pk}", "  sallowmere  herder", again)
    build = Build.objects.get()
    assert (build.name, build.values) == ("sallowmere herder", {"length": 110.0})
    assert build.module == module


def test_module_is_drawn_as_the_breed_kept_last(as_alice, module):
    keep_breed(as_alice, f"module:{module.pk}", "First")
    keep_breed(as_alice, f"module:{module.pk}", "Second")
    assert {one.name: one.module for one in Build.objects.all()} == {
        "First": None,
        "Second": module,
    }
    page = as_alice.get(f"{BENCH}?{own_query()}").text
    assert "Classes of Marlefell Drover" in page


@pytest.mark.parametrize("wrong", [{"name": " "}, {"module": ""}, {"module": "club:0"}])
def test_breed_that_lacks_something_is_refused(as_alice, club, wrong):
    sent = {"name": "Herder", "module": f"club:{club.pk}", "sketch": query(F1=80)}
    response = as_alice.post(f"{BENCH}breed/", sent | wrong)
    assert response.status_code == 422
    assert "One thing to mend" in response.text
    assert re.search(r'name="F1" [^>]*value="80"', response.text)
    assert not Build.objects.exists()


def test_another_clubs_module_is_no_choice_for_a_breed(as_alice, other_club):
    module = ModuleFactory(club=other_club)
    assert keep_breed(as_alice, f"module:{module.pk}").status_code == 422
    assert keep_breed(as_alice, f"club:{other_club.pk}").status_code == 422


def test_only_the_own_clubs_breeds_are_listed_and_taken_away(
    as_alice, as_bob, club, other_club
):
    ours = BuildFactory(club=club, name="Ours")
    theirs = BuildFactory(club=other_club, name="Theirs")
    page = as_alice.get(BENCH).text
    assert "Ours" in page
    assert "Theirs" not in page
    assert as_bob.post(f"{BENCH}breeds/{ours.pk}/remove/").status_code == 404
    assert as_alice.post(f"{BENCH}breeds/{theirs.pk}/remove/").status_code == 404
    assert as_alice.post(f"{BENCH}breeds/{ours.pk}/remove/").status_code == 302
    assert list(Build.objects.all()) == [theirs]


def test_dog_not_drawn_yet_opens_as_the_modules_own_breed(as_alice, draft, club):
    module = draft.exercise.module
    values = {"coat": "smooth", "length": 126.0}
    BuildFactory(club=club, module=module, base="tarnholt-longdrover", values=values)
    content = ClassContent.read(draft.content)
    address = address_of_dog(draft.exercise, content, content.by_id["c"])
    sketch = Sketch.read(QueryDict(address.partition("?")[2]))
    assert (sketch.breed, sketch.own, sketch.build) == (
        "tarnholt-longdrover",
        values,
        values,
    )


# A class of a breed that a club draws


def make_page(client, module, **more):
    fields = {
        "module": module.pk,
        "class_name": "Open dogs",
        "size": 4,
        "sex": "dog",
        "difficulty": "plain",
        "seed": 7,
        **more,
    }
    return client.get(f"/workshop/classes/make/?{urlencode(fields)}").text


def test_page_says_which_classes_are_in_words_only(as_alice, club):
    """Until the breed is drawn on the workbench, to which it links, and something is tied to a drawing."""
    module = ModuleFactory(club=club)
    module.revisions.get().priorities.filter(number=1).update(plate_faults=["F4"])
    page = make_page(as_alice, module)
    said = re.search(r"[^>]*the class comes in words only.*?</p>", page, re.S)[0]
    assert str(module) in said
    assert f'href="{BENCH}"' in said
    assert "plate.svg" not in page
    BuildFactory(club=club, module=module)
    page = make_page(as_alice, module)
    assert "the class comes in words only" not in page
    assert page.count("plate.svg") == 8
    assert page.count("b-length=114.0") == 8


def test_page_says_nothing_of_words_where_breeds_are_drawn(as_alice, module):
    assert "the class comes in words only" not in make_page(as_alice, module)


def test_what_stands_in_the_way_is_said_in_the_pages_language(
    as_alice, club, monkeypatch
):
    german = {"No fault of the module has a dog %(ruling)s.": "Kein Fehler: %(ruling)s"}
    monkeypatch.setattr(material, "_", lambda text: german.get(text, text))
    page = make_page(as_alice, ModuleFactory(club=club), odd_one="excused")
    assert "Kein Fehler: excused" in page


# What is being drawn, and what can be seen of it


def at_bench(client, **fields):
    return " ".join(client.get(f"{BENCH}?{query(**fields)}").text.split())


def test_page_says_what_is_drawn_and_saves_it_there(as_alice, draft):
    place = f"{draft.exercise_id}:c"
    page = at_bench(as_alice, F7=60, **{"for": place})
    assert "Drawing <b>33</b> of Limit dogs" in page
    assert "Save it as 33</button>" in page
    sent = {"place": place, "sketch": query(F7=60), "for": place}
    response = as_alice.post(f"{BENCH}dog/", sent)
    assert response.url.endswith("#dog-c")
    draft.refresh_from_db()
    assert draft.content["dogs"][2]["faults"] == {"F7": 0.6}


@pytest.mark.parametrize("place", ["", "x", "999999:a", "new:1", "library:3"])
def test_page_without_a_dog_of_a_class_names_none(as_alice, draft, place):
    page = at_bench(as_alice, **{"for": place})
    assert "Save it as" not in page


def test_dog_is_still_named_after_a_drawing_was_kept_or_refused(as_alice, draft, club):
    place = f"{draft.exercise_id}:c"
    sent = {"sketch": query(F1=80), "view": "side", "beside": f"club:{club.pk}"}
    refused = as_alice.post(f"{BENCH}keep/", {**sent, "name": "", "for": place})
    assert "Save it as 33" in refused.text
    kept = as_alice.post(f"{BENCH}keep/", {**sent, "name": "Blade", "for": place})
    assert "Save it as 33" in as_alice.get(kept.url).text


def test_fault_of_another_view_brings_that_view_beside_the_side(as_alice):
    plain, splayed = at_bench(as_alice), at_bench(as_alice, R9=60)
    assert "bench-also" not in plain
    assert "Not seen from the side. Splayed feet: from the front." in splayed
    beside = splayed.split('class="bench-also"')[1].split("</figure>")[0]
    assert "view=front" in beside
    assert "bench-view-front" not in splayed


def test_coat_ear_and_pattern_are_told_among_what_differs(as_alice):
    page = at_bench(as_alice, coat="curly", pattern="saddle")
    assert "Coat: curly; the breed has broken." in page
    assert "Pattern: pale with a dark saddle; the breed has" in page
    assert "Nothing differs from the breed's own" not in page
    assert "Every measurement is the breed's own." in page
