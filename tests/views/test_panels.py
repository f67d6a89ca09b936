"""The pages of a panel, and what nobody is shown before it is closed."""

import random
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.attempts import begin, hand_in
from quizzes.exercises import draft_of, save_revision
from quizzes.kinds.placing.content import ClassKey
from quizzes.models import Panel, PanelKey, Revision
from quizzes.panels.services import close_panel, open_panel, save_key
from quizzes.plates import BREEDS
from tests.conftest import member, signed_in
from tests.placing import answer, content, key, placing_class
from trainer.clubs.models import Role

SECRET = "Seen by nobody yet"


@pytest.fixture
def ada(club):
    return member(club, Role.MENTOR, "Ada Mentor")


@pytest.fixture
def zeno(club):
    return member(club, Role.MENTOR, "Zeno Mentor")


@pytest.fixture
def draft(club, alice):
    return placing_class(club, state=Revision.State.DRAFT, edited_by=alice)


@pytest.fixture
def panel(draft, alice, ada, zeno):
    return opened(draft, [alice, ada, zeno])


def opened(revision, mentors):
    return open_panel(
        revision,
        mentors=mentors,
        message="By Sunday, please.",
        by=mentors[0],
        now=timezone.now(),
        rng=random.Random(1),
        address=str,
    )


def keyed(panel, mentor, order, *, reason="", **more):
    document = key(order, **more)
    if reason:
        document["pairs"][0]["reason"] = reason
    mine = panel.keys.get(mentor=mentor)
    read = ClassKey.read(document)
    return save_key(mine, read, version=mine.version, done=True, now=timezone.now())


@pytest.fixture
def all_keyed(panel, alice, ada, zeno):
    keyed(panel, alice, "abcd")
    keyed(panel, ada, "abdc", reason=SECRET)
    keyed(panel, zeno, "bacd")
    return panel


@pytest.fixture
def closed(all_keyed):
    return close_panel(all_keyed, now=timezone.now())


def of_class(revision, end=""):
    return f"/workshop/classes/{revision.exercise_id}/{end}"


class TestOpening:
    def test_all_mentors_of_the_club_are_offered(
        self, as_alice, draft, ada, bob, charlie
    ):
        page = as_alice.get(of_class(draft, "panel/")).text
        assert page.count('type="checkbox" name="mentors"') == 2
        assert "Ada Mentor" in page
        assert bob.name not in page

    def test_opened(self, as_alice, alice, draft, ada):
        url = of_class(draft, "panel/")
        sent = {"mentors": [alice.pk, ada.pk], "message": "By Sunday."}
        assert "0 of 2 keys are in." in as_alice.post(url, sent, follow=True).text
        assert Panel.objects.get().message == "By Sunday."
        assert PanelKey.objects.count() == 2

    def test_nobody_ticked(self, as_alice, draft, ada):
        response = as_alice.post(of_class(draft, "panel/"), {"message": ""})
        assert response.status_code == 422
        assert "Tick the mentors you ask." in response.text

    def test_one_is_too_few(self, as_alice, draft, ada):
        response = as_alice.post(of_class(draft, "panel/"), {"mentors": [ada.pk]})
        assert response.status_code == 422
        assert "two mentors at least" in response.text

    def test_nobody_from_elsewhere(self, as_alice, alice, draft, ada, charlie):
        sent = {"mentors": [alice.pk, charlie.pk]}
        assert as_alice.post(of_class(draft, "panel/"), sent).status_code == 422
        assert not Panel.objects.exists()

    def test_a_club_of_one_mentor(self, as_alice, draft):
        page = as_alice.get(of_class(draft, "panel/")).text
        assert "your club has fewer" in page
        assert 'name="mentors"' not in page

    def test_a_second_press_finds_the_first(self, as_alice, alice, panel, ada):
        sent = {"mentors": [alice.pk, ada.pk]}
        response = as_alice.post(panel.get_absolute_url(), sent)
        assert response.url == panel.get_absolute_url()
        assert Panel.objects.count() == 1

    def test_says_so_where_the_key_may_be_known(self, as_alice, club, draft, ada):
        words = "This class has been in force"
        assert words not in as_alice.get(of_class(draft, "panel/")).text
        known = placing_class(club)
        assert words in as_alice.get(of_class(known, "panel/")).text

    def test_the_class_leads_there(self, as_alice, draft):
        assert of_class(draft, "panel/") in as_alice.get(of_class(draft)).text


class TestWorkshop:
    def test_keys_asked_of_you(self, panel, draft, ada, as_alice):
        page = signed_in(ada).get("/workshop/").text
        mine = panel.keys.get(mentor=ada)
        assert "Keys asked of you" in page
        assert mine.get_absolute_url() in page
        assert "Not begun." in page

    def test_not_once_it_is_closed(self, closed, ada):
        assert "Keys asked of you" not in signed_in(ada).get("/workshop/").text

    def test_as_many_queries_for_many(self, club, alice, ada):
        client = signed_in(ada)

        def visit():
            with CaptureQueriesContext(connection) as queries:
                page = client.get("/workshop/").text
            return page.count("a panel of"), len(queries)

        opened(placing_class(club), [alice, ada])
        visit()
        one, few = visit()
        for _n in range(4):
            opened(placing_class(club), [alice, ada])
        assert (one, visit()) == (1, (5, few))


class TestKeying:
    def key_page(self, panel, mentor):
        return panel.keys.get(mentor=mentor).get_absolute_url()

    def send(self, client, url, **sent):
        mine = PanelKey.objects.get(pk=url.split("/")[3])
        order = ",".join(mine.key["order"])
        return client.post(url, {"version": mine.version, "order": order, **sent})

    def test_the_dogs_as_a_trainee_meets_them(self, panel, ada):
        page = signed_in(ada).get(self.key_page(panel, ada)).text
        assert "By Sunday, please." in page
        shown = panel.keys.get(mentor=ada).shown["line"]
        assert re.findall(r'id="dog-(\w)"', page) == [dog for dog, _n in shown]
        assert "a from the ring-side." in page

    def test_levels_are_not_shown(self, club, alice, ada):
        levels = {"levels": {"priority-1": 4, "priority-2": 0}}
        revision = placing_class(club, by_dog={"a": levels})
        page = signed_in(ada).get(self.key_page(opened(revision, [alice, ada]), ada))
        assert "Levels:" not in page.text
        assert "What your weights would give" not in page.text

    def test_comparing_two_dogs(self, club, alice, ada):
        revision = placing_class(club)
        revision.content["breed"] = next(iter(BREEDS))
        panel = opened(revision, [alice, ada])
        client, url = signed_in(ada), self.key_page(panel, ada)
        assert f"{url}compare/?first=a" in client.get(url).text
        page = client.get(f"{url}compare/?first=a&second=c&how=over").text
        assert "a from the ring-side." in page
        assert "c from the ring-side." in page
        assert f'href="{url}#dog-a"' in page
        (drawing,) = set(re.findall(rf"{url}a/c\.svg\?[^\"]*theme=light", page))
        drawn = client.get(drawing.replace("&amp;", "&"))
        assert drawn.headers["Content-Type"] == "image/svg+xml"
        assert signed_in(alice).get(f"{url}compare/").status_code == 404

    def test_placing_without_a_script(self, panel, ada):
        client, url = signed_in(ada), self.key_page(panel, ada)
        for dog in "badc":
            self.send(client, url, do=f"place:{dog}")
        response = self.send(
            client,
            url,
            do="done",
            **{"reason-b-a": "22 is the sounder.", "level-1": "on", "note": "Close."},
        )
        assert response.url == url
        mine = panel.keys.get(mentor=ada)
        assert mine.done_at
        assert (mine.key["order"], mine.key["level"]) == (list("badc"), [1])
        assert mine.key["pairs"][0]["reason"] == "{b} is the sounder."

    def test_back_to_where_the_button_was(self, panel, ada):
        client, url = signed_in(ada), self.key_page(panel, ada)
        assert self.send(client, url, do="place:b").url == f"{url}#at-b"
        from_dog = self.send(client, f"{url}?from=dogs", do="place:a")
        assert from_dog.url == f"{url}#dog-a"

    def test_what_is_missing_is_named(self, panel, ada):
        client, url = signed_in(ada), self.key_page(panel, ada)
        self.send(client, url, do="place:b")
        response = self.send(client, url, do="done")
        page = client.get(response.url).text
        assert "2nd is free in the key." in page
        assert panel.keys.get(mentor=ada).done_at is None

    def test_another_window(self, panel, ada):
        client, url = signed_in(ada), self.key_page(panel, ada)
        old = {"version": 1, "order": ""}
        client.post(url, {**old, "do": "place:b"})
        response = client.post(url, {**old, "do": "place:c"})
        assert response.status_code == 422
        assert "in another window" in response.text
        assert panel.keys.get(mentor=ada).key["order"] == ["b"]
        again = {"version": 2, "order": "c", "do": "save"}
        assert client.post(url, again).status_code == 302
        assert panel.keys.get(mentor=ada).key["order"] == ["c"]

    def test_a_button_that_is_not_there(self, panel, ada):
        response = self.send(signed_in(ada), self.key_page(panel, ada), do="eat:a")
        assert response.status_code == 422

    def test_closed_meanwhile(self, all_keyed, ada):
        client, url = signed_in(ada), self.key_page(all_keyed, ada)
        close_panel(all_keyed, now=timezone.now())
        assert client.get(url).status_code == 404

    def test_nobody_else_has_the_address(self, panel, ada, alice, as_alice):
        assert as_alice.get(self.key_page(panel, ada)).status_code == 404


class TestBlind:
    """Until the panel is closed nobody sees another's key, whoever they are."""

    PAGES = ("", "panel/", "key/", "dogs/", "attempts/", "discard/", "panel/adopt/")

    def test_no_page_of_the_class_shows_a_key_of_the_panel(
        self, all_keyed, draft, alice, zeno, ada
    ):
        for mentor in (alice, zeno):
            client = signed_in(mentor)
            own = all_keyed.keys.get(mentor=mentor).get_absolute_url()
            addresses = [of_class(draft, end) for end in self.PAGES]
            for address in [*addresses, own, "/workshop/"]:
                assert SECRET not in client.get(address, follow=True).text

    def test_who_has_keyed_is_shown_and_no_more(self, panel, ada, as_alice):
        keyed(panel, ada, "dcba", reason=SECRET)
        page = as_alice.get(panel.get_absolute_url()).text
        assert "1 of 3 keys are in." in page
        assert re.search(r"Ada Mentor:\s*<svg.*?</svg>\s*key is in", page)
        assert re.search(r"Zeno Mentor:\s*not yet", page)
        assert SECRET not in page

    @pytest.mark.parametrize("end", ["", "key/", "dogs/", "attempts/", "discard/"])
    def test_whoever_is_asked_is_led_to_their_own_key(self, panel, draft, ada, end):
        own = panel.keys.get(mentor=ada).get_absolute_url()
        response = signed_in(ada).get(of_class(draft, end))
        assert response.url == own

    def test_nor_do_they_try_it_as_a_trainee(self, panel, draft, ada):
        own = panel.keys.get(mentor=ada).get_absolute_url()
        assert signed_in(ada).post(of_class(draft, "preview/")).url == own

    def test_nor_change_it(self, panel, draft, ada):
        sent = {"version": draft.version, "order": "d,c,b,a", "do": "save"}
        signed_in(ada).post(of_class(draft, "key/"), sent)
        draft.refresh_from_db()
        assert draft.key["order"] == list("abcd")

    def test_whoever_opened_it_goes_on_with_the_class(self, panel, draft, as_alice):
        assert as_alice.get(of_class(draft, "key/")).status_code == 200

    def test_all_is_as_before_once_it_is_closed(self, closed, draft, ada):
        assert signed_in(ada).get(of_class(draft, "key/")).status_code == 200

    def test_only_whoever_opened_it_closes_it(self, all_keyed, draft, ada, as_alice):
        url = of_class(draft, "panel/close/")
        assert (
            "Close the panel" not in signed_in(ada).get(of_class(draft, "panel/")).text
        )
        assert signed_in(ada).post(url).status_code == 404
        all_keyed.refresh_from_db()
        assert all_keyed.is_open
        assert as_alice.post(url).url == all_keyed.get_absolute_url()
        all_keyed.refresh_from_db()
        assert not all_keyed.is_open


class TestClosed:
    def test_words_first(self, closed, draft, as_alice):
        page = as_alice.get(of_class(draft, "panel/")).text
        words = page.index("The three mentors agree on 4 of 6 pairs;")
        assert words < page.index("One order suits the mentors best")
        assert words < page.index("Kendall's W, corrected for ties")
        assert SECRET in page

    def test_each_mentors_key_side_by_side(self, closed, draft, ada):
        page = signed_in(ada).get(of_class(draft, "panel/")).text
        for name in ("Alice Mentor", "Ada Mentor", "Zeno Mentor"):
            assert f'<th scope="col">{name}</th>' in page

    def test_rulings(self, panel, draft, alice, ada, zeno, as_alice):
        out = {"d": {"ruling": "excused", "reason": "Lame, right fore."}}
        keyed(panel, alice, "abc", rulings=out)
        keyed(panel, ada, "abc", rulings=out)
        keyed(panel, zeno, "abcd", rulings={})
        close_panel(panel, now=timezone.now())
        page = as_alice.get(of_class(draft, "panel/")).text
        assert "The three mentors agree on 3 of 3 pairs;" in page
        assert "Lame, right fore." in page

    def test_fewer_than_two_keys(self, panel, draft, ada, as_alice):
        keyed(panel, ada, "abcd")
        close_panel(panel, now=timezone.now())
        page = as_alice.get(of_class(draft, "panel/")).text
        assert "there is nothing to compare" in page
        assert "panel/adopt/" not in page
        assert as_alice.get(of_class(draft, "panel/adopt/")).status_code == 404

    def test_dogs_that_were_changed(self, closed, draft, alice, as_alice):
        page = as_alice.get(of_class(draft, "panel/")).text
        assert "were changed since" not in page
        save_revision(
            draft, by=alice, version=draft.version, content=content(a={"sex": "bitch"})
        )
        assert "were changed since" in as_alice.get(of_class(draft, "panel/")).text

    def test_another_panel(self, closed, draft, alice, ada, as_alice):
        again = as_alice.get(of_class(draft, "panel/") + "?again=yes").text
        assert 'name="mentors"' in again
        sent = {"mentors": [alice.pk, ada.pk]}
        as_alice.post(of_class(draft, "panel/"), sent)
        assert Panel.objects.open().count() == 1

    def test_as_many_queries_for_many_mentors(self, club, alice, as_alice):
        def queries(mentors):
            revision = placing_class(club)
            panel = opened(revision, mentors)
            for mentor in mentors:
                keyed(panel, mentor, "abcd")
            close_panel(panel, now=timezone.now())
            as_alice.get(of_class(revision, "panel/"))
            with CaptureQueriesContext(connection) as found:
                page = as_alice.get(of_class(revision, "panel/")).text
            assert page.count('class="panel-key ') == len(mentors)
            return len(found)

        many = [alice, *(member(club, Role.MENTOR, f"M{n} Mentor") for n in range(9))]
        assert queries(many[:2]) == queries(many)


class TestAskingMore:
    def test_whoever_was_not_asked_yet(self, draft, alice, ada, zeno, as_alice):
        panel = opened(draft, [alice, ada])
        page = as_alice.get(of_class(draft, "panel/")).text
        assert re.findall(r'name="mentors" value="(\d+)"', page) == [str(zeno.pk)]
        url = of_class(draft, "panel/more/")
        response = as_alice.post(url, {"mentors": [zeno.pk]}, follow=True)
        assert "0 of 3 keys are in." in response.text
        assert panel.keys.filter(mentor=zeno).exists()
        assert "Ask another mentor" not in response.text

    def test_nobody_ticked(self, draft, alice, ada, zeno, as_alice):
        opened(draft, [alice, ada])
        response = as_alice.post(of_class(draft, "panel/more/"), {})
        assert response.status_code == 422
        assert "Tick the mentors you ask." in response.text

    def test_only_by_whoever_opened_it(self, draft, alice, ada, zeno):
        opened(draft, [alice, ada])
        client = signed_in(ada)
        assert "Ask another mentor" not in client.get(of_class(draft, "panel/")).text
        sent = {"mentors": [zeno.pk]}
        assert client.post(of_class(draft, "panel/more/"), sent).status_code == 404


class TestDiscarding:
    WORDS = "what its mentors keyed goes too"

    def test_a_class_that_goes_takes_its_panel_along(self, closed, draft, as_alice):
        url = of_class(draft, "discard/")
        assert self.WORDS in as_alice.get(url).text
        as_alice.post(url)
        assert not Panel.objects.exists()

    def test_a_class_in_force_keeps_its_panel(self, club, alice, ada, as_alice):
        revision = placing_class(club)
        opened(revision, [alice, ada])
        draft_of(revision.exercise, by=alice)
        url = of_class(revision, "discard/")
        assert self.WORDS not in as_alice.get(url).text
        as_alice.post(url)
        assert Panel.objects.count() == 1


class TestDogsAnew:
    def test_shown_again(self, all_keyed, draft, alice, ada, as_alice):
        save_revision(
            draft, by=alice, version=draft.version, content=content(a={"sex": "bitch"})
        )
        page = as_alice.get(of_class(draft, "panel/")).text
        assert "The panel still sees them as they were." in page
        response = as_alice.post(of_class(draft, "panel/dogs/"), follow=True)
        assert "0 of 3 keys are in." in response.text
        assert (
            "Bitch"
            in signed_in(ada)
            .get(all_keyed.keys.get(mentor=ada).get_absolute_url())
            .text
        )


class TestAdopting:
    def adopt(self, client, revision, query="", **sent):
        return client.post(of_class(revision, f"panel/adopt/{query}"), sent)

    def test_reasons_to_choose_from(self, closed, draft, as_alice):
        page = as_alice.get(of_class(draft, "panel/adopt/")).text
        assert "panel of 3 mentors" in page
        assert "Alice Mentor: 11 beats 22." in page
        assert f"Ada Mentor: {SECRET}" in page

    def test_written_into_the_draft(self, closed, draft, as_alice):
        first = as_alice.get(of_class(draft, "panel/adopt/"))
        (ada_at,) = [
            value
            for value, label in first.context["form"]["reason-0"].field.choices
            if SECRET in str(label)
        ]
        response = self.adopt(
            as_alice, draft, **{"reason-0": ada_at, "reason-1": "", "reason-2": "0"}
        )
        assert response.url == of_class(draft, "key/")
        draft.refresh_from_db()
        assert draft.key["order"] == list("abcd")
        assert draft.key["panel"] == {"mentors": 3}
        reasons = {(p["upper"], p["lower"]): p["reason"] for p in draft.key["pairs"]}
        assert reasons["a", "b"] == f"{SECRET} (Ada Mentor)"
        assert ("b", "c") not in reasons
        assert reasons["c", "d"].endswith(" Mentor)")

    def test_an_order_that_is_not_there(self, closed, draft, as_alice):
        for order in ("7", "-1", "x"):
            url = of_class(draft, f"panel/adopt/?order={order}")
            assert as_alice.get(url).status_code == 404

    def test_a_reason_that_is_not_there(self, closed, draft, as_alice):
        assert self.adopt(as_alice, draft, **{"reason-0": "9"}).status_code == 422

    def test_one_of_several_orders(self, club, alice, ada, zeno, as_alice):
        revision = placing_class(club, names="abc")
        panel = opened(revision, [alice, ada, zeno])
        for mentor, order in zip(
            (alice, ada, zeno), ("abc", "bca", "cab"), strict=True
        ):
            keyed(panel, mentor, order)
        close_panel(panel, now=timezone.now())
        page = as_alice.get(of_class(revision, "panel/")).text
        assert "Three orders suit the mentors equally well" in page
        assert page.count("panel/adopt/?order=") == 3
        self.adopt(as_alice, revision, "?order=2")
        draft = revision.exercise.revisions.get(state=Revision.State.DRAFT)
        assert draft.key["order"] == list("cab")
        revision.refresh_from_db()
        assert revision.key["order"] == list("abc")


class TestTold:
    """Trainees read that a panel made the key, before and after."""

    def test_intro_and_result(self, club, bob, as_bob):
        made = placing_class(club, key=key("abcd") | {"panel": {"mentors": 4}})
        words = "The key was made by a panel of 4 mentors."
        assert words in as_bob.get(f"/classes/{made.exercise_id}/").text
        now = timezone.now()
        attempt = begin(made, by=bob, now=now, rng=random.Random(1))
        hand_in(attempt, now=now, answer=answer("abcd"))
        assert words in as_bob.get(f"/attempts/{attempt.pk}/result/").text

    def test_not_where_one_mentor_made_it(self, club, bob, as_bob):
        made = placing_class(club)
        assert "panel" not in as_bob.get(f"/classes/{made.exercise_id}/").text

    def test_a_mentor_takes_the_words_back(self, club, alice, as_alice):
        made = placing_class(club, key=key("abcd") | {"panel": {"mentors": 4}})
        draft = draft_of(made.exercise, by=alice)
        url = of_class(made, "key/")
        assert "panel of 4 mentors" in as_alice.get(url).text
        sent = {"version": draft.version, "order": "a,b,c,d"}
        as_alice.post(url, {**sent, "do": "save"})
        draft.refresh_from_db()
        assert draft.key["panel"] == {"mentors": 4}
        as_alice.post(url, {"version": draft.version, "order": "a,b,c,d", "do": "own"})
        draft.refresh_from_db()
        assert "panel" not in draft.key
