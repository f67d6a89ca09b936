"""Another class, its twin, and that nothing of the key is told before the answer is in."""

import json
import re

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.models import Attempt, Exercise, Revision
from quizzes.plates import FAULTS
from quizzes.practice import services
from tests.conftest import signed_in
from tests.factories import MembershipFactory, ModuleFactory
from tests.material import drawn_module
from tests.placing import placing_class


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.VAR_DIR = tmp_path


@pytest.fixture
def module(club, alice):
    return drawn_module(club, alice)


@pytest.fixture
def wanted(module):
    return {"module": module.pk, "size": 5, "sex": "bitch", "difficulty": "suits"}


@pytest.fixture
def attempt(as_bob, wanted):
    """Bob's open attempt at a class that was made for him."""
    as_bob.post("/classes/another/", wanted)
    return Attempt.objects.get()


@pytest.fixture
def handed_in(as_bob, attempt):
    """The same, handed in with the first two the other way round."""
    order = list(ClassKey.read(attempt.revision.key).order)
    order[:2] = order[1::-1]
    sent = {"answer": json.dumps({"order": order, "rulings": {}})}
    as_bob.post(f"/attempts/{attempt.pk}/hand-in/", sent)
    attempt.refresh_from_db()
    return attempt


def test_another_class_is_made_and_opened(as_bob, bob, wanted):
    response = as_bob.post("/classes/another/", wanted)
    attempt = Attempt.objects.get()
    assert response.url == f"/attempts/{attempt.pk}/"
    assert attempt.trainee == bob
    assert attempt.revision.difficulty == "middling"
    page = as_bob.get(response.url).text
    assert "Open bitches, five" in page
    assert "Schematic plates, not a breed." in page


def test_form_offers_the_modules_in_force_and_what_is_unfinished(as_bob, attempt):
    page = as_bob.get("/classes/another/").text
    assert "As it suits me" in page
    assert "Begun, not handed in" in page
    assert f"/attempts/{attempt.pk}/" in page


@pytest.mark.parametrize(
    "change",
    [
        {"size": 2},
        {"size": 13},
        {"size": "many"},
        {"sex": "hound"},
        {"difficulty": "x"},
        {"module": 10**9},
        {"module": ""},
    ],
)
def test_wrong_wishes_are_refused(as_bob, wanted, change):
    response = as_bob.post("/classes/another/", {**wanted, **change})
    assert response.status_code == 422
    assert "to mend" in response.text
    assert not Exercise.objects.exists()


def test_another_clubs_module_is_no_choice(as_charlie, wanted):
    assert as_charlie.post("/classes/another/", wanted).status_code == 422
    assert not Exercise.objects.exists()


def test_without_a_module_there_is_nothing_to_make(as_stranger):
    page = as_stranger.get("/classes/another/").text
    assert "Nothing to make a class from" in page


def test_too_many_unfinished_is_said(as_bob, wanted, monkeypatch):
    monkeypatch.setattr(services, "MOST_UNFINISHED", 1)
    as_bob.post("/classes/another/", wanted)
    response = as_bob.post("/classes/another/", wanted)
    assert response.status_code == 422
    assert "Hand in one of them first." in response.text


def test_making_is_limited(as_bob, wanted, settings):
    settings.ACCOUNT_RATE_LIMITS = {"another_class": "2/h/user"}
    cache.clear()
    answers = [as_bob.post("/classes/another/", wanted).status_code for _ in range(3)]
    assert answers == [302, 302, 429]


def test_classes_page_leads_there_and_lists_what_was_begun_apart(as_bob, attempt):
    page = as_bob.get("/classes/").text
    assert "/classes/another/" in page
    shared, made = page.split("Made for you, begun")
    assert "Open bitches, five" not in shared
    assert f'href="/attempts/{attempt.pk}/"' in made


def test_each_made_class_has_a_name_of_its_own(as_bob, bob, wanted, handed_in):
    as_bob.post("/classes/another/", wanted)
    as_bob.post(f"/attempts/{handed_in.pk}/twin/")
    made = Revision.objects.filter(exercise__practice_for=bob)
    assert list(made.order_by("exercise").values_list("title", flat=True)) == [
        "Made class 1: Open bitches, five",
        "Made class 2: Open bitches, five",
        "Made class 3: Open bitches, five, mirrored",
    ]
    assert "Made class 1: Open bitches, five" in as_bob.get("/record/").text


def test_own_unfinished_class_can_be_deleted(as_bob, attempt):
    path = f"/attempts/{attempt.pk}/drop/"
    assert f'action="{path}"' in as_bob.get("/classes/another/").text
    assert as_bob.get(path).status_code == 405
    assert as_bob.post(path).url == "/classes/"
    assert not Exercise.objects.exists()
    assert as_bob.post(path).status_code == 404


def test_what_was_handed_in_stays_when_a_second_try_is_deleted(as_bob, handed_in):
    exercise = handed_in.revision.exercise_id
    as_bob.post(f"/classes/{exercise}/begin/")
    again = Attempt.objects.exclude(pk=handed_in.pk).get()
    assert as_bob.post(f"/attempts/{handed_in.pk}/drop/").status_code == 404
    assert as_bob.post(f"/attempts/{again.pk}/drop/").status_code == 302
    assert list(Attempt.objects.all()) == [handed_in]


def test_nobody_else_deletes_it(as_alice, as_organiser, as_charlie, attempt):
    for client in (as_alice, as_organiser, as_charlie):
        assert client.post(f"/attempts/{attempt.pk}/drop/").status_code == 404
    assert Exercise.objects.count() == 1


def test_nobody_else_reaches_it(as_alice, as_organiser, as_charlie, handed_in):
    exercise = handed_in.revision.exercise_id
    dog = handed_in.shown["line"][0][0]
    other = handed_in.shown["line"][1][0]
    paths = [
        f"/classes/{exercise}/",
        f"/attempts/{handed_in.pk}/result/",
        f"/attempts/{handed_in.pk}/plates/{dog}.svg",
        f"/attempts/{handed_in.pk}/overlays/{dog}/{other}.svg",
        f"/workshop/classes/{exercise}/",
        f"/workshop/classes/{exercise}/attempts/",
        f"/workshop/classes/{exercise}/dogs/",
        f"/workshop/classes/{exercise}/key/",
    ]
    for client in (as_alice, as_organiser, as_charlie):
        assert {client.get(path).status_code for path in paths} == {404}
    assert "Open bitches, five" not in as_alice.get("/workshop/").text
    assert "Open bitches, five" not in as_alice.get("/").text


def test_result_says_where_its_reasons_come_from(as_bob, handed_in):
    page = as_bob.get(f"/attempts/{handed_in.pk}/result/").text
    assert "as the key has them" in page
    assert "no mentor has looked at it" in page
    assert "The mentor has it so." not in page
    assert "on the class:" not in page


def test_result_leads_to_another_class_of_the_same_size(as_bob, handed_in):
    page = as_bob.get(f"/attempts/{handed_in.pk}/result/").text
    form = page.split('action="/classes/another/"')[1].split("</form>")[0]
    sent = dict(re.findall(r'name="(\w+)" value="(\w+)"', form))
    sent.pop("csrfmiddlewaretoken", None)
    response = as_bob.post("/classes/another/", sent)
    made = Attempt.objects.latest("pk")
    assert response.url == f"/attempts/{made.pk}/"
    assert made.revision.size == 5
    assert ClassContent.read(made.revision.content).sex == "bitch"


def test_twin_opens_mirrored(as_bob, handed_in):
    response = as_bob.post(f"/attempts/{handed_in.pk}/twin/")
    made = Attempt.objects.latest("pk")
    assert response.url == f"/attempts/{made.pk}/"
    assert "facing right" in as_bob.get(response.url).text


def test_open_attempt_has_no_twin(as_bob, attempt):
    assert as_bob.post(f"/attempts/{attempt.pk}/twin/").status_code == 404


def test_nobody_twins_anothers_attempt(as_alice, handed_in):
    assert as_alice.post(f"/attempts/{handed_in.pk}/twin/").status_code == 404


def test_twin_beyond_the_most_says_so(as_bob, handed_in, wanted, monkeypatch):
    monkeypatch.setattr(services, "MOST_UNFINISHED", 1)
    as_bob.post("/classes/another/", wanted)
    response = as_bob.post(f"/attempts/{handed_in.pk}/twin/", follow=True)
    assert response.redirect_chain[0][0] == f"/attempts/{handed_in.pk}/result/"
    assert "Hand in one of them first." in response.text


# What is told before the answer is in


def before_hand_in(client, attempt):
    """Every address a trainee reaches with an open attempt, what is drawn included."""
    own = f"/attempts/{attempt.pk}/"
    first, second = (dog for dog, _number in attempt.shown["line"][:2])
    pages = [
        "/",
        "/classes/",
        "/classes/another/",
        f"/classes/{attempt.revision.exercise_id}/",
        own,
        f"{own}compare/?first={first}&second={second}",
        f"{own}compare/?first={first}&second={second}&how=over&align=point_of_buttock",
        f"{own}compare/?first={first}&second={second}&view=head",
    ]
    drawings = [
        f"{own}plates/{dog}.svg?theme={theme}&view={view}"
        for dog, _number in attempt.shown["line"]
        for theme in ("light", "dark")
        for view in ("side", "front", "rear", "top", "head")
    ]
    overlays = [
        f"{own}overlays/{first}/{second}.svg?theme={theme}&align={align}&view={view}"
        for theme in ("light", "dark")
        for align in ("withers", "point_of_shoulder", "point_of_buttock")
        for view in ("side", "head")
    ]
    answers = {url: client.get(url) for url in [*pages, *drawings, *overlays]}
    assert {response.status_code for response in answers.values()} == {200}
    return {url: f"{r.headers}\n{r.text}" for url, r in answers.items()}


def forbidden(revision):
    """Every fault's code and name, every word of the key, every measurement's value."""
    key = ClassKey.read(revision.key)
    codes = [rf"\b{code}\b" for code in FAULTS]
    names = [re.escape(fault.name) for fault in FAULTS.values()]
    reasons = [re.escape(pair.reason) for pair in key.reasons.values()]
    # The view that was asked for may be called as a priority is.
    asked = '(?<!name="view" value=)'
    dog = ClassContent.read(revision.content).dogs[0]
    slugs = [f'{asked}"{slug}"' for slug in dog.levels]
    return re.compile("|".join([*codes, *names, *reasons, *slugs, "To be seen"]))


def test_nothing_is_told_before_the_answer_is_in(as_bob, attempt):
    words = forbidden(attempt.revision)
    told = before_hand_in(as_bob, attempt)
    assert {
        url: found[0] for url, t in told.items() if (found := words.search(t))
    } == {}
    drawn = [dog for dog in ClassContent.read(attempt.revision.content) if dog.faults]
    assert len(drawn) >= 3


def test_measuring_waits_for_the_answer(as_bob, attempt, request):
    dog = attempt.shown["line"][0][0]
    url = f"/attempts/{attempt.pk}/plates/{dog}.svg?measured=layback"
    assert as_bob.get(url).status_code == 404
    request.getfixturevalue("handed_in")
    measured = as_bob.get(url)
    assert measured.status_code == 200
    assert "°" in measured.text


def test_result_measures_and_describes(as_bob, handed_in):
    page = as_bob.get(f"/attempts/{handed_in.pk}/result/").text
    assert f"/attempts/{handed_in.pk}/overlays/" in page
    assert "To be seen: " in page
    assert page.count('class="plate-inner"') >= 3


def test_alternative_texts_differ_by_coat_alone(as_bob, attempt):
    """Whatever a dog's levels are, its text is made by one recipe."""
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    texts = re.findall(
        r'alt="\d+\. (Schematic drawing of a dog seen from the side[^"]*)"', page
    )
    assert len(texts) >= 5
    recipe = r"Schematic drawing of a dog seen from the side, facing left: \w+ coat, [\w ,-]+, [\w -]+ ears\."
    assert all(re.fullmatch(recipe, text) for text in texts)


@pytest.mark.parametrize(
    "query",
    ["theme=sepia", "view=inside", "measured=nonsense", "theme=light&view=../side"],
)
def test_drawings_know_their_words_only(as_bob, attempt, query):
    dog = attempt.shown["line"][0][0]
    assert (
        as_bob.get(f"/attempts/{attempt.pk}/plates/{dog}.svg?{query}").status_code
        == 404
    )


def test_overlay_knows_its_words_only(as_bob, attempt):
    first, second = (dog for dog, _number in attempt.shown["line"][:2])
    address = f"/attempts/{attempt.pk}/overlays/{first}/{second}.svg"
    assert as_bob.get(f"{address}?align=nose").status_code == 404
    assert (
        as_bob.get(f"/attempts/{attempt.pk}/overlays/{first}/none.svg").status_code
        == 404
    )


def test_same_drawing_to_the_byte_whether_kept_or_not(
    as_bob, attempt, settings, tmp_path
):
    dog = attempt.shown["line"][0][0]
    url = f"/attempts/{attempt.pk}/plates/{dog}.svg?view=front&theme=dark"
    first, kept = as_bob.get(url).content, as_bob.get(url).content
    settings.VAR_DIR = tmp_path / "elsewhere"
    assert first == kept == as_bob.get(url).content
    assert as_bob.get(f"{url}&measured=").content == first


def test_pages_cost_the_same_however_much_was_practised(as_bob, wanted, club):
    as_bob.post("/classes/another/", wanted)
    few = queries(as_bob)
    for _time in range(6):
        as_bob.post("/classes/another/", wanted)
        other = signed_in(MembershipFactory(club=club).user)
        other.post("/classes/another/", wanted)
    assert queries(as_bob) == few


def queries(client):
    counts = {}
    for url in ("/", "/classes/", "/classes/another/"):
        client.get(url)
        with CaptureQueriesContext(connection) as caught:
            client.get(url)
        counts[url] = len(caught)
    return counts


# The mentor's: made, looked at, kept


MAKE = "/workshop/classes/make/"


@pytest.fixture
def wish(module):
    return {
        "module": module.pk,
        "class_name": "Yearling bitches",
        "size": 5,
        "sex": "bitch",
        "difficulty": "close",
        "seed": "42",
    }


def test_only_mentors_make_classes(as_bob, as_organiser, wish):
    for client in (as_bob, as_organiser):
        assert client.get(MAKE, wish).status_code == 404
        assert client.post(MAKE, wish).status_code == 404


def test_wish_is_asked_for_first(as_alice, module):
    page = as_alice.get(MAKE).text
    assert re.search(r'name="seed" value="\d+"', page)
    assert "Keep it as a draft" not in page


def test_preview_shows_all_of_the_class_and_stores_nothing(as_alice, wish):
    page = as_alice.get(MAKE, wish).text
    assert page.count('class="made-dog"') == 5
    assert page.count('class="made-gap"') == 4
    assert page.count("/workshop/drawing/plate.svg") >= 5
    assert "Cut " in page
    assert "Grant" in page
    assert "Grant</b> There is nothing" not in page
    assert "Make another" in page
    assert not Exercise.objects.exists()


def test_same_seed_gives_the_same_preview(as_alice, wish):
    def dogs(**change):
        page = as_alice.get(MAKE, {**wish, **change}).text
        return page.split('<ol class="made-dogs">')[1].split("</ol>")[0]

    assert dogs() == dogs()
    assert dogs(seed="43") != dogs()


def test_another_has_another_seed(as_alice, wish):
    page = as_alice.get(MAKE, wish).text
    address = re.search(r'href="([^"]+)#preview"', page)[1].replace("&amp;", "&")
    assert not re.search(r"seed=42(\D|$)", address)
    assert as_alice.get(address).text.count('class="made-dog"') == 5


def test_odd_one_is_ruled_out_in_the_preview(as_alice, wish):
    page = as_alice.get(MAKE, {**wish, "odd_one": "disqualified"}).text
    assert "Disqualified" in page
    assert page.count('class="made-dog"') == 5


@pytest.mark.parametrize(
    "change",
    [
        {"size": 2},
        {"size": "x"},
        {"sex": "hound"},
        {"difficulty": "hard"},
        {"seed": ""},
        {"class_name": ""},
        {"module": 0},
        {"odd_one": "eaten"},
        {"either_below": "2"},
    ],
)
def test_wrong_wishes_for_a_class_are_refused(as_alice, wish, change):
    for ask in (as_alice.get, as_alice.post):
        response = ask(MAKE, {**wish, **change})
        assert response.status_code == 422
        assert "to mend" in response.text
    assert not Exercise.objects.exists()


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("Veteran dogs", "Veteran dogs, five"),
        ("Veteran dogs, five, one shy", "Veteran dogs, five, one shy"),
        ("Open dogs 5", "Open dogs 5"),
        ("Open dogs 15", "Open dogs 15, five"),
    ],
)
def test_title_says_the_size_once(as_alice, wish, name, title):
    as_alice.post(MAKE, {**wish, "class_name": name})
    assert Revision.objects.get().title == title


def test_page_says_in_plain_words_what_is_asked_and_how_sure_the_key_is(as_alice, wish):
    page = as_alice.get(MAKE, wish).text
    for word in ("Seed", "Sure ", "in 10 sure", "to excuse<"):
        assert word not in page
    assert "Number of the class" in page
    assert page.count("mall changes to levels and weights") == 1 + 4


def test_workshop_says_which_way_of_beginning_is_which(as_alice, module):
    page = as_alice.get("/workshop/").text
    assert "New class: you describe the dogs and set the key" in page
    assert "the site makes dogs and key from your module" in page


def test_another_clubs_module_makes_no_class(as_alice, wish, other_club):
    other = ModuleFactory(club=other_club)
    assert as_alice.get(MAKE, {**wish, "module": other.pk}).status_code == 422


def test_kept_class_is_a_draft_like_any_other(as_alice, wish, alice):
    response = as_alice.post(MAKE, wish)
    draft = Revision.objects.get()
    assert response.url == f"/workshop/classes/{draft.exercise_id}/"
    assert (draft.state, draft.title) == ("draft", "Yearling bitches, five")
    assert (draft.exercise.practice_for, draft.exercise.from_weights) == (None, False)
    page = as_alice.get(response.url).text
    assert "Nothing is missing." in page
    preview = as_alice.get(MAKE, wish).text
    key, content = ClassKey.read(draft.key), ClassContent.read(draft.content)
    shown = re.findall(r'class="armband">(\d+)<', preview)
    assert shown == [str(content.by_id[dog].armband) for dog in key.order]
    assert as_alice.post(f"{response.url}publish/").status_code == 302
    draft.refresh_from_db()
    assert draft.state == "published"


def dogs_post(revision, **more):
    """What the page of the dogs sends."""
    sent = {
        "version": revision.version,
        "title": revision.title,
        "difficulty": revision.difficulty,
    }
    for dog in revision.content["dogs"]:
        names = ("armband", "sex", "age_months", "ringside", "hands_on")
        sent |= {f"{dog['id']}-{name}": dog[name] for name in names}
        sent |= {f"{dog['id']}-level-{s}": n for s, n in dog["levels"].items()}
    return {**sent, **more}


@pytest.fixture
def kept(as_alice, wish):
    as_alice.post(MAKE, wish)
    return Revision.objects.get()


def test_drawing_words_and_key_follow_the_levels(as_alice, kept):
    first = ClassKey.read(kept.key).order[0]
    dog = ClassContent.read(kept.content).by_id[first]
    worse = {f"{first}-level-{slug}": 0 for slug in dog.levels}
    url = f"/workshop/classes/{kept.exercise_id}/dogs/"
    response = as_alice.post(url, dogs_post(kept, do="follow", **worse), follow=True)
    assert f"Drawn from the levels: {dog.armband}." in response.text
    assert f"Worded from the levels: {dog.armband}." in response.text
    assert "The key follows too." in response.text
    kept.refresh_from_db()
    after = ClassContent.read(kept.content).by_id[first]
    assert set(after.levels.values()) == {0}
    assert after.faults["F4"] > dog.faults.get("F4", 0)
    assert after.ringside != dog.ringside
    assert ClassKey.read(kept.key).order[-1] == first


def test_what_a_hand_wrote_stays(as_alice, kept):
    key = ClassKey.read(kept.key)
    first, second = key.order[:2]
    dog = ClassContent.read(kept.content).by_id[first]
    own = {f"{second}-ringside": "Mine, word by word."}
    worse = {f"{first}-level-{slug}": 0 for slug in dog.levels}
    url = f"/workshop/classes/{kept.exercise_id}/dogs/"
    as_alice.post(url, dogs_post(kept, do="follow", **own, **worse))
    kept.refresh_from_db()
    assert (
        ClassContent.read(kept.content).by_id[second].ringside
        == own[f"{second}-ringside"]
    )


def test_levels_that_are_missing_are_asked_for(as_alice, kept):
    dog = kept.content["dogs"][0]
    none = {f"{dog['id']}-level-feet": ""}
    url = f"/workshop/classes/{kept.exercise_id}/dogs/"
    response = as_alice.post(url, dogs_post(kept, do="follow", **none))
    assert response.status_code == 422
    assert f"Give {dog['armband']} a level on every priority first." in response.text


def by_hand(club, module, **texts):
    """A draft as a mentor begins one: numbers, and what was typed of some dogs."""
    draft = placing_class(club, module=module, state="draft")
    dogs = [
        {
            "id": dog["id"],
            "armband": dog["armband"],
            "ringside": texts.get(dog["id"], ""),
        }
        for dog in draft.content["dogs"]
    ]
    draft.content = ClassContent.read({"dogs": dogs}).document()
    draft.save()
    return draft


def levels_post(draft, module, **more):
    """The page of the dogs with a level for each dog, the same on every priority."""
    rows = module.revisions.get().priorities.all()
    sent = {"version": draft.version, "title": draft.title, "difficulty": "plain"}
    for at, dog in enumerate(draft.content["dogs"]):
        stem = dog["id"]
        sent |= {f"{stem}-armband": dog["armband"], f"{stem}-sex": "dog"}
        sent |= {f"{stem}-{name}": dog[name] for name in ("ringside", "hands_on")}
        sent |= {f"{stem}-level-{row.slug}": at for row in rows}
    return {**sent, **more}


def follow(client, draft, module, **more):
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    sent = levels_post(draft, module, do="follow", **more)
    response = client.post(url, sent, follow=True)
    draft.refresh_from_db()
    return response.text, ClassContent.read(draft.content)


def test_class_begun_by_hand_is_drawn_and_worded(as_alice, club, module):
    draft = by_hand(club, module)
    page, content = follow(as_alice, draft, module)
    assert "Drawn from the levels: 11, 22, 33, 44." in page
    assert "Worded from the levels: 11, 22, 33, 44." in page
    assert (content.breed, all(dog.drawn for dog in content)) == (
        "marlefell-drover",
        True,
    )
    rows = module.revisions.get().priorities.prefetch_related("phrases")
    for level, dog in enumerate(content):
        texts = f"{dog.ringside} {dog.hands_on}".lower()
        for row in rows:
            assert row.phrases.get(level=level).text.lower() in texts
    strengths = [dog.faults.get("F4", 0) for dog in content]
    assert strengths[0] > strengths[2] > strengths[4 - 1]
    assert page.count("theme=light") == 4


def test_words_of_ones_own_stay_unless_the_tick_is_set(as_alice, club, module):
    draft = by_hand(club, module, b="Mine, word by word.")
    page, content = follow(as_alice, draft, module)
    assert content.by_id["b"].ringside == "Mine, word by word."
    assert "Worded from the levels: 11, 33, 44." in page
    assert "Words as they were: 22." in page
    said = re.search(r"In words only: ([^;]+); the coat is drawn as the breed", page)[1]
    assert {"Coat", "Temper"} <= set(said.split(", "))
    page, again = follow(as_alice, draft, module)
    assert again == content
    assert "As they were: 11, 22, 33, 44." in page
    _page, anew = follow(as_alice, draft, module, anew="on")
    assert "Mine" not in anew.by_id["b"].ringside
    assert anew.by_id["b"].ringside


def test_module_that_nobody_drew_has_its_dogs_worded_only(
    as_alice, club, alice, module
):
    module.breed.slug = "not-drawn-yet"
    module.breed.save()
    draft = by_hand(club, module)
    page, content = follow(as_alice, draft, module)
    assert "Only words follow: nobody has drawn the module&#x27;s breed yet." in page
    assert '<a href="/workshop/drawing/">Draw it on the workbench</a>' in page
    assert "Drawn from the levels" not in page
    assert all(dog.ringside for dog in content)
    assert content.breed == ""


def test_dog_drawn_on_the_workbench_stays_unless_the_tick_is_set(
    as_alice, club, module
):
    draft = by_hand(club, module)
    _page, content = follow(as_alice, draft, module)
    own = content.changed("b", faults={"F7": 0.5})
    draft.content = own.document()
    draft.save()
    _page, after = follow(as_alice, draft, module)
    assert after.by_id["b"].faults == {"F7": 0.5}
    _page, anew = follow(as_alice, draft, module, anew="on")
    assert anew == content


def test_a_ruled_dogs_words_stay_with_the_tick(as_alice, as_bob, wish, module):
    as_alice.post(MAKE, {**wish, "odd_one": "disqualified"})
    draft = Revision.objects.get()
    before = ClassContent.read(draft.content)
    (odd,) = ClassKey.read(draft.key).rulings
    url = f"/workshop/classes/{draft.exercise_id}/dogs/"
    as_alice.post(url, dogs_post(draft, do="follow", anew="on"))
    draft.refresh_from_db()
    assert ClassContent.read(draft.content).by_id[odd].ringside == (
        before.by_id[odd].ringside
    )


# What the plates show, and what is left to the words


@pytest.fixture
def untied(module):
    """The module with no priority that a plate could show."""
    module.revisions.get().priorities.update(plate_faults=[])
    return module


def test_page_says_which_priorities_the_drawings_show(as_alice, module):
    page = " ".join(as_alice.get(MAKE).text.split())
    rows = {row.slug: row for row in module.revisions.get().priorities.all()}
    for slug, views in {"temper": "in words only", "back": "from the side"}.items():
        address = f"/workshop/modules/{module.pk}/priorities/{rows[slug].pk}/"
        assert f'<a href="{address}">{rows[slug].name}</a>: {views}' in page
    feet = rows["feet"]
    assert re.search(rf">{feet.name}</a>: [^<]*from the front", page)


def test_links_lead_to_the_draft_where_one_is_written(as_alice, alice, module):
    as_alice.post(f"/workshop/modules/{module.pk}/begin/")
    draft = module.revisions.get(state="draft").priorities.get(slug="temper")
    page = as_alice.get(MAKE).text
    assert f"/workshop/modules/{module.pk}/priorities/{draft.pk}/" in page


def test_class_that_plates_could_not_tell_apart_is_made_in_words(
    as_alice, wish, untied
):
    page = " ".join(as_alice.get(MAKE, wish).text.split())
    assert "the class comes in words only. No priority is tied to a fault" in page
    assert '/priorities/">Tie a priority to a drawing</a>' in page
    assert "plate.svg" not in page
    assert "Schematic plates" not in page
    as_alice.post(MAKE, wish)
    assert Revision.objects.get().content["breed"] == ""


def test_levels_that_no_plate_shows_are_followed_in_words(as_alice, club, untied):
    page, content = follow(as_alice, by_hand(club, untied), untied)
    assert "Only words follow: no priority of the module is tied to a drawing." in page
    there = f"/workshop/modules/{untied.pk}/priorities/"
    assert f'<a href="{there}">Tie a priority to a drawing</a>' in page
    assert content.breed == ""


def test_preview_says_what_is_in_words_only_and_shows_the_views(as_alice, wish, module):
    rows = {row.slug: row for row in module.revisions.get().priorities.all()}
    page = as_alice.get(MAKE, wish).text
    said = re.search(r"In words only in this class: ([^.]+)\.", page)[1]
    assert rows["temper"].name in said
    assert rows["coat"].name in said
    assert page.count("From the front</figcaption>") == 5


def test_trainees_are_told_for_what_to_go_by_the_words(as_bob, attempt):
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    said = re.search(r"Go by the words alone for: ([^.]+)\.", page)[1]
    assert "temper" in said
    assert "coat" in said


def test_before_a_class_is_begun_it_says_what_no_plate_shows(
    as_alice, as_bob, wish, club, module
):
    as_alice.post(MAKE, wish)
    drawn = Revision.objects.get()
    as_alice.post(f"/workshop/classes/{drawn.exercise_id}/publish/")
    page = " ".join(as_bob.get(f"/classes/{drawn.exercise_id}/").text.split())
    said = re.search(r"so go by the words: ([^.]+)\.", page)[1]
    assert {"movement", "coat", "temper"} <= set(said.split(", "))
    words = placing_class(club, module=module)
    assert "go by the words" not in as_bob.get(f"/classes/{words.exercise_id}/").text


def test_class_of_words_has_no_word_of_plates(as_bob, wanted, untied):
    as_bob.post("/classes/another/", wanted)
    page = as_bob.get(f"/attempts/{Attempt.objects.get().pk}/").text
    assert "Go by the words alone" not in page
    assert "Schematic plates" not in page


def test_view_that_a_fault_needs_is_named_on_the_placing_page(as_bob, attempt):
    page = " ".join(as_bob.get(f"/attempts/{attempt.pk}/").text.split())
    assert re.search(r'More views</b> <span class="soft">[^<]*from the front', page)
