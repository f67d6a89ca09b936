"""Panels: opened, keyed blind, closed, read together and adopted."""

import random

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.utils import timezone
from hypothesis import assume, given
from hypothesis import strategies as st

from quizzes import exercises
from quizzes.grading import RULINGS, KeyProblem
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.models import Panel, PanelKey, Revision
from quizzes.panels import services
from quizzes.panels.blind import key_asked_for
from quizzes.panels.findings import Findings, Voice, with_reasons
from quizzes.panels.report import Report, voices_of
from tests.conftest import member
from tests.placing import content, key, placing_class
from trainer.clubs.models import Role


@pytest.fixture
def mentors(club, alice):
    """Alice, who opens panels, and two more mentors of the club."""
    return [
        alice,
        member(club, Role.MENTOR, "Ada Mentor"),
        member(club, Role.MENTOR, "Zeno Mentor"),
    ]


@pytest.fixture
def draft(club, alice):
    return placing_class(club, state=Revision.State.DRAFT, edited_by=alice)


def opened(revision, mentors, *, by=None, message="", seed=1):
    return services.open_panel(
        revision,
        mentors=mentors,
        message=message,
        by=by or mentors[0],
        now=timezone.now(),
        rng=random.Random(seed),
        address=lambda path: f"https://example.org{path}",
    )


def keyed(panel, mentor, document, *, done=True):
    mine = panel.keys.get(mentor=mentor)
    return services.save_key(
        mine,
        ClassKey.read(document),
        version=mine.version,
        done=done,
        now=timezone.now(),
    )


def closed(panel):
    return services.close_panel(panel, now=timezone.now())


class TestOpening:
    def test_every_mentor_gets_a_key_of_their_own(self, draft, mentors):
        panel = opened(draft, mentors, message="By Sunday, please.")
        assert panel.is_open
        assert panel.content == draft.content
        assert {made.mentor for made in panel.keys.all()} == set(mentors)
        assert all(made.done_at is None for made in panel.keys.all())

    def test_each_meets_the_dogs_in_an_order_of_their_own(self, club, alice, mentors):
        revision = placing_class(club, names="abcdefgh")
        lines = [
            tuple(dog for dog, _n in made.shown["line"])
            for made in opened(revision, mentors).keys.all()
        ]
        assert len(set(lines)) == 3
        assert {frozenset(line) for line in lines} == {frozenset("abcdefgh")}

    def test_armbands_are_the_same_for_all(self, draft, mentors):
        for made in opened(draft, mentors).keys.all():
            assert dict(made.shown["line"]) == {"a": 11, "b": 22, "c": 33, "d": 44}

    def test_own_key_is_where_one_starts_and_nobody_else(self, draft, mentors):
        panel = opened(draft, mentors)
        orders = {made.mentor: made.key["order"] for made in panel.keys.all()}
        assert orders[mentors[0]] == list("abcd")
        assert orders[mentors[1]] == orders[mentors[2]] == []

    def test_a_key_of_somebody_else_is_not_where_one_starts(self, draft, mentors):
        panel = opened(draft, mentors, by=mentors[1])
        assert all(made.key["order"] == [] for made in panel.keys.all())

    def test_mail_goes_to_the_others(
        self, draft, mentors, django_capture_on_commit_callbacks
    ):
        with django_capture_on_commit_callbacks(execute=True):
            panel = opened(draft, mentors, message="By Sunday, please.")
        assert sorted(m.to[0] for m in mail.outbox) == [
            mentors[1].email,
            mentors[2].email,
        ]
        hers = next(m for m in mail.outbox if m.to == [mentors[1].email])
        address = panel.keys.get(mentor=mentors[1]).get_absolute_url()
        assert f"https://example.org{address}" in hers.body
        assert "By Sunday, please." in hers.body
        assert "Alice Mentor asks you" in hers.body

    def test_a_mail_that_fails_does_not_undo_the_panel(
        self, draft, mentors, settings, django_capture_on_commit_callbacks
    ):
        settings.EMAIL_BACKEND = "no.such.backend"
        with django_capture_on_commit_callbacks(execute=True):
            panel = opened(draft, mentors)
        assert Panel.objects.filter(pk=panel.pk).exists()

    def test_one_mentor_is_no_panel(self, draft, mentors):
        with pytest.raises(ValidationError) as refusal:
            opened(draft, mentors[:1])
        assert refusal.value.code == "few"
        assert not Panel.objects.exists()

    def test_one_open_panel_a_class(self, draft, mentors):
        first = opened(draft, mentors)
        with pytest.raises(ValidationError) as refusal:
            opened(draft, mentors)
        assert refusal.value.code == "open"
        closed(first)
        assert opened(draft, mentors).pk != first.pk


class TestAskingMore:
    def ask(self, panel, draft, mentors, by):
        services.ask(
            panel, draft, mentors=mentors, by=by, rng=random.Random(2), address=str
        )

    def test_keys_that_are_there_stay(
        self, draft, mentors, alice, django_capture_on_commit_callbacks
    ):
        panel = opened(draft, mentors[:2])
        keyed(panel, mentors[1], key("dcba"))
        with django_capture_on_commit_callbacks(execute=True):
            self.ask(panel, draft, mentors[1:], alice)
        assert panel.keys.count() == 3
        assert panel.keys.get(mentor=mentors[1]).key["order"] == list("dcba")
        assert [sent.to for sent in mail.outbox] == [[mentors[2].email]]

    def test_not_once_it_is_closed(self, draft, mentors, alice):
        panel = closed(opened(draft, mentors[:2]))
        with pytest.raises(services.PanelClosed):
            self.ask(panel, draft, mentors[2:], alice)
        assert panel.keys.count() == 2


class TestKeying:
    def test_saved_and_done(self, draft, mentors):
        panel = opened(draft, mentors)
        half = keyed(panel, mentors[1], key("ab"), done=False)
        assert half.done_at is None
        assert half.saved_at
        whole = keyed(panel, mentors[1], key("badc"))
        assert whole.done_at
        assert (whole.version, whole.key["order"]) == (3, list("badc"))

    def test_what_is_half_done_is_kept_and_not_done(self, draft, mentors):
        panel = opened(draft, mentors)
        half = keyed(panel, mentors[1], key("ab"))
        assert half.done_at is None
        assert half.key["order"] == ["a", "b"]

    def test_reasons_are_not_asked_for(self, draft, mentors):
        panel = opened(draft, mentors)
        assert keyed(panel, mentors[1], {"order": list("abcd")}).done_at

    def test_a_later_change_takes_it_back(self, draft, mentors):
        panel = opened(draft, mentors)
        keyed(panel, mentors[1], key("badc"))
        assert keyed(panel, mentors[1], key("abdc"), done=False).done_at is None

    def test_another_window(self, draft, mentors):
        panel = opened(draft, mentors)
        mine = panel.keys.get(mentor=mentors[1])
        keyed(panel, mentors[1], key("abcd"))
        with pytest.raises(services.KeyedElsewhere):
            services.save_key(
                mine,
                ClassKey.read(key("badc")),
                version=mine.version,
                done=True,
                now=timezone.now(),
            )
        mine.refresh_from_db()
        assert mine.key["order"] == list("abcd")

    def test_not_after_it_was_closed(self, draft, mentors):
        panel = opened(draft, mentors)
        keyed(panel, mentors[1], key("abcd"))
        closed(panel)
        with pytest.raises(services.PanelClosed):
            keyed(panel, mentors[1], key("badc"))
        assert panel.keys.get(mentor=mentors[1]).key["order"] == list("abcd")


class TestBlind:
    def test_nothing_is_told_while_it_is_open(self, draft, mentors):
        panel = opened(draft, mentors)
        for mentor in mentors:
            keyed(panel, mentor, key("abcd"))
        assert not PanelKey.objects.told().exists()
        assert voices_of(panel) == []
        closed(panel)
        assert len(voices_of(panel)) == 3

    def test_what_was_not_done_is_never_told(self, draft, mentors):
        panel = opened(draft, mentors)
        keyed(panel, mentors[1], key("abcd"))
        keyed(panel, mentors[2], key("badc"), done=False)
        assert [voice.name for voice in voices_of(closed(panel))] == ["Ada Mentor"]

    def test_asked_are_the_mentors_of_an_open_panel(self, draft, mentors, club):
        panel = opened(draft, mentors[:2])
        other = mentors[2]
        assert PanelKey.objects.asked_of(mentors[1]).count() == 1
        assert not PanelKey.objects.asked_of(other).exists()
        mentors[1].memberships.all().delete()
        assert not PanelKey.objects.asked_of(mentors[1]).exists()
        closed(panel)
        assert not PanelKey.objects.asked_of(mentors[0]).exists()

    def test_whoever_is_asked_is_to_see_no_other_key(self, draft, mentors):
        panel = opened(draft, mentors[:2])
        asked = key_asked_for(draft.exercise_id, mentors[1])
        assert asked == panel.keys.get(mentor=mentors[1])
        assert key_asked_for(draft.exercise_id, mentors[0]) is None
        assert key_asked_for(draft.exercise_id, mentors[2]) is None

    def test_who_may_close(self, draft, mentors, charlie):
        panel = opened(draft, mentors)
        assert list(Panel.objects.run_by(mentors[0])) == [panel]
        assert not Panel.objects.run_by(mentors[1]).exists()
        assert not Panel.objects.visible_to(charlie).exists()
        mentors[0].delete()
        assert list(Panel.objects.run_by(mentors[1])) == [panel]

    def test_a_key_outlives_its_mentor(self, draft, mentors):
        panel = opened(draft, mentors)
        keyed(panel, mentors[1], key("abcd"))
        keyed(panel, mentors[2], key("badc"))
        mentors[1].delete()
        names = [voice.name for voice in voices_of(closed(panel))]
        assert names == ["a mentor who has left", "Zeno Mentor"]

    def test_namesakes_are_told_apart(self, draft, mentors):
        for mentor in mentors[1:]:
            mentor.name = "Kim Mentor"
            mentor.save()
        panel = opened(draft, mentors)
        for mentor in mentors[1:]:
            keyed(panel, mentor, key("abcd"))
        names = [voice.name for voice in voices_of(closed(panel))]
        assert names == ["Kim Mentor 1", "Kim Mentor 2"]


class TestDogsChanged:
    def changed(self, draft, by, **dogs):
        return exercises.save_revision(
            draft,
            by=by,
            version=draft.version,
            content=content(**dogs),
            key=ClassKey.read(draft.key).document(),
        )

    def test_levels_are_not_shown_so_they_do_not_matter(self, draft, mentors, alice):
        panel = opened(draft, mentors)
        now = self.changed(draft, alice, a={"levels": {"priority-1": 3}})
        assert not services.dogs_changed(panel, now)

    def test_a_word_matters(self, draft, mentors, alice):
        panel = opened(draft, mentors)
        now = self.changed(draft, alice, a={"ringside": "Shorter in the back."})
        assert services.dogs_changed(panel, now)

    def test_keys_are_to_be_done_anew(self, draft, mentors, alice):
        panel = opened(draft, mentors)
        keyed(panel, mentors[1], key("dcba"))
        now = exercises.save_revision(
            draft, by=alice, version=draft.version, content=content("abce")
        )
        services.show_dogs_anew(panel, now, by=alice, rng=random.Random(2))
        panel.refresh_from_db()
        assert not services.dogs_changed(panel, now)
        mine = panel.keys.get(mentor=mentors[1])
        assert mine.done_at is None
        assert mine.key["order"] == list("cba")
        assert {dog for dog, _n in mine.shown["line"]} == set("abce")

    def test_mail_goes_to_those_whose_key_was_done(
        self, draft, mentors, alice, django_capture_on_commit_callbacks
    ):
        panel = opened(draft, mentors)
        for mentor in mentors[:2]:
            keyed(panel, mentor, key("dcba"))
        with django_capture_on_commit_callbacks(execute=True):
            services.show_dogs_anew(
                panel, draft, by=alice, rng=random.Random(2), address=str
            )
        (sent,) = mail.outbox
        assert sent.to == [mentors[1].email]
        assert "Alice Mentor changed the dogs of" in sent.body

    def test_a_page_from_before_is_refused(self, draft, mentors, alice):
        panel = opened(draft, mentors)
        before = panel.keys.get(mentor=mentors[1]).version
        services.show_dogs_anew(panel, draft, by=mentors[0], rng=random.Random(2))
        with pytest.raises(services.KeyedElsewhere):
            services.save_key(
                panel.keys.get(mentor=mentors[1]),
                ClassKey.read(key("abcd")),
                version=before,
                done=True,
                now=timezone.now(),
            )

    def test_not_once_it_is_closed(self, draft, mentors):
        panel = closed(opened(draft, mentors))
        with pytest.raises(services.PanelClosed):
            services.show_dogs_anew(panel, draft, by=mentors[0], rng=random.Random(2))


def findings(*documents, names="abcd", places=None):
    """What keys say, by mentors M1, M2 and so on."""
    voices = [
        Voice(f"M{at}", ClassKey.read(document))
        for at, document in enumerate(documents, 1)
    ]
    return Findings(ClassContent.read(content(names, places=places)), voices)


EXCUSED = {"ruling": "excused", "reason": "Lame."}
WITHHELD = {"ruling": "withheld", "reason": "No merit."}


class TestFindings:
    def test_all_alike(self):
        found = findings(*[key("cabd")] * 3)
        assert (found.agreed, found.pairs) == (6, 6)
        assert found.concordance.w == 1
        assert found.kemeny.count == 1
        assert found.key(0).order == tuple("cabd")
        assert found.key(0).mentors == 3

    def test_rulings_by_majority_leave_the_dog_out(self):
        found = findings(
            key("abc", rulings={"d": EXCUSED}),
            key("abc", rulings={"d": {"ruling": "disqualified", "reason": "Bite."}}),
            key("dabc"),
        )
        assert found.rulings == {"d": EXCUSED}
        assert found.dogs == ["a", "b", "c"]
        assert found.concordance.w == 1
        assert found.key(0).rulings == {"d": EXCUSED}

    def test_the_ruling_that_most_gave(self):
        out = {"ruling": "disqualified", "reason": ""}
        why = {"ruling": "disqualified", "reason": "Bite."}
        found = findings(
            key("abc", rulings={"d": EXCUSED}),
            key("abc", rulings={"d": out}),
            key("abc", rulings={"d": why}),
        )
        assert found.rulings == {"d": why}

    def test_half_is_no_majority_for_a_ruling(self):
        found = findings(key("abc", rulings={"d": EXCUSED}), key("dabc"))
        assert found.rulings == {}
        assert set(found.dogs) == set("abcd")
        assert found.concordance.dogs == 3
        assert found.key(0).order[0] == "d"

    def test_a_withheld_dog_stays_in_the_ring_at_the_end(self):
        found = findings(key("abc", rulings={"d": WITHHELD}), key("abcd"))
        assert found.agreed == 6
        assert found.concordance.dogs == 4

    def test_dogs_without_a_majority_are_level(self):
        found = findings(key("abcd"), key("bacd"))
        made = found.key(0)
        assert made.groups == (("a", "b"), ("c",), ("d",))
        assert found.undecided == [("a", "b")]
        assert found.sides("a", "b") == (["M1"], ["M2"], [])

    def test_orders_in_a_circle_are_all_named(self):
        found = findings(key("abc"), key("bca"), key("cab"), names="abc")
        assert found.kemeny.count == 3
        orders = {found.key(at).order for at in range(3)}
        assert orders == {tuple("abc"), tuple("bca"), tuple("cab")}
        assert found.undecided == []

    def test_only_the_places_that_are_given(self):
        found = findings(key("abc"), key("acb"), key("abd"), names="abcdef", places=3)
        made = found.key(0)
        assert made.order == tuple("abc")
        assert found.kemeny.count == 1
        made.for_grading(found.content)

    def test_two_dogs_that_nobody_placed_say_nothing(self):
        found = findings(key("abc"), key("acb"), names="abcdef", places=3)
        assert (found.agreed, found.pairs) == (11, 12)
        assert found.undecided == [("b", "c")]
        ((_one, _other, two),) = found.two_by_two
        assert (two.agreed, two.counted) == (11, 12)

    def test_median_of_the_cuts(self):
        found = findings(
            key("abcd", cuts=[2, 3, 1]),
            key("abcd", cuts=[5, 3, 1]),
            key("abcd", cuts=[3, 4, 2]),
        )
        assert found.key(0).cuts == (3, 3, 1)

    def test_cuts_add_up_over_dogs_between_and_count_against_when_reversed(self):
        m1 = Voice("M1", ClassKey.read(key("abcd", cuts=[2, 3, 1])))
        assert (m1.over("a", "c"), m1.over("d", "b")) == (5, -4)
        level = Voice("M2", ClassKey.read(key("abcd", cuts=[2, 3, 1], level=[1])))
        assert level.over("a", "d") == 3
        assert Voice("M3", ClassKey.read(key("abcd"))).over("a", "b") is None

    def test_mentors_without_cuts_do_not_count_for_them(self):
        found = findings(key("abcd", cuts=[2, 3, 1]), key("abcd"), key("abcd"))
        assert found.key(0).cuts == (2, 3, 1)
        assert findings(*[key("abcd")] * 2).key(0).cuts == (None,) * 3

    def test_cuts_are_fitted_to_the_limits(self):
        wide = key("abcd", cuts=[5, 5, 5])
        found = findings(wide, key("acbd", cuts=[8, 2, 3]), wide)
        made = found.key(0)
        made.for_grading(found.content)
        assert all(cut >= 1 for cut in made.cuts)

    def test_no_cuts_where_none_would_fit(self):
        names = "abcdefgh"
        found = findings(*[key(names)] * 2, names=names)
        with pytest.raises(KeyProblem):
            ClassKey.read(key(names, cuts=[1] * 7)).for_grading(found.content)
        found = findings(*[key(names, cuts=[1] * 7)] * 2, names=names)
        assert found.key(0).cuts == (None,) * 7

    def test_reasons_of_whoever_has_the_pair_side_by_side(self):
        found = findings(key("abcd"), key("acbd"), key("abdc"))
        made = found.key(0)
        pairs = found.neighbours(made)
        assert [(pair.upper, pair.lower) for pair in pairs] == [
            ("a", "b"),
            ("b", "c"),
            ("c", "d"),
        ]
        said = [[name for name, _reason in pair.reasons] for pair in pairs]
        assert said == [["M1", "M3"], ["M1"], ["M1"]]

    def test_chosen_reasons_carry_the_name(self):
        found = findings(key("abcd"), key("abcd"))
        made = found.key(0)
        pairs = found.neighbours(made)
        reasons = with_reasons(made, pairs, {0: 1, 2: 0}).reasons
        assert set(reasons) == {("a", "b"), ("c", "d")}
        assert reasons["a", "b"].reason == "{a} beats {b}. (M2)"
        assert reasons["a", "b"].grant == "{b} has the better coat."
        assert reasons["c", "d"].reason == "{c} beats {d}. (M1)"

    def test_either_order_takes_reasons_for_both(self):
        found = findings(key("abcd"), key("bacd"))
        made = found.key(0)
        first = found.neighbours(made)[0]
        assert first.level
        assert [(name, one.reason) for name, one in first.reasons] == [
            ("M1", "{a} beats {b}."),
            ("M2", "{b} beats {a}."),
        ]
        assert first.reasons[1][1].grant == ""


class TestAdopting:
    def test_writes_the_draft_and_says_how_many_they_were(self, draft, mentors, alice):
        panel = opened(draft, mentors)
        for mentor in mentors:
            keyed(panel, mentor, key("dcba"))
        panel = closed(panel)
        report = Report(panel)
        adopted = services.adopt(panel, report.found.key(0), by=alice)
        assert adopted.pk == draft.pk
        assert adopted.key["order"] == list("dcba")
        assert adopted.key["panel"] == {"mentors": 3}
        assert ClassKey.read(adopted.key).mentors == 3

    def test_what_is_published_stays(self, club, alice, mentors):
        revision = placing_class(club)
        panel = opened(revision, mentors)
        for mentor in mentors:
            keyed(panel, mentor, key("dcba"))
        panel = closed(panel)
        adopted = services.adopt(panel, Report(panel).found.key(0), by=alice)
        assert (adopted.number, adopted.state) == (2, Revision.State.DRAFT)
        revision.refresh_from_db()
        assert revision.key == key("abcd")
        assert revision.state == Revision.State.PUBLISHED

    def test_a_dog_that_is_gone_is_left_out(self, draft, mentors, alice):
        panel = opened(draft, mentors)
        for mentor in mentors:
            keyed(panel, mentor, key("dcba"))
        exercises.save_revision(
            draft, by=alice, version=draft.version, content=content("abd")
        )
        panel = closed(panel)
        adopted = services.adopt(panel, Report(panel).found.key(0), by=alice)
        assert adopted.key["order"] == list("dba")

    def test_not_while_it_is_open(self, draft, mentors, alice):
        panel = opened(draft, mentors)
        with pytest.raises(ValidationError) as refusal:
            services.adopt(panel, ClassKey.read(key("abcd")), by=alice)
        assert refusal.value.code == "open"

    def test_a_key_without_a_panel_says_nothing_of_one(self):
        assert "panel" not in ClassKey.read(key("abcd")).document()


class TestReport:
    def report(self, draft, mentors, *documents):
        panel = opened(draft, mentors)
        for mentor, document in zip(mentors, documents, strict=True):
            keyed(panel, mentor, document)
        return Report(closed(panel))

    def test_words(self, draft, mentors):
        report = self.report(draft, mentors, key("abcd"), key("abcd"), key("bacd"))
        assert report.headline == (
            "The three mentors agree on 5 of 6 pairs; Kendall's W is 0.91."
        )
        assert report.majority == "Every pair has a majority."
        assert report.how_many_orders == (
            "One order suits the mentors best: 1 vote goes against it, fewer than any other."
        )
        assert [dog["place"] for dog in report.orders[0]["dogs"]] == [
            "1st",
            "2nd",
            "3rd",
            "4th",
        ]

    def test_places_that_are_shared(self, draft, mentors):
        report = self.report(draft, mentors[:2], key("abcd"), key("bacd"))
        assert report.majority == ("One pair has no majority: either order is as good.")
        assert [dog["place"] for dog in report.orders[0]["dogs"]] == [
            "1st =",
            "1st =",
            "3rd",
            "4th",
        ]
        assert report.how_many_orders == (
            "Two orders suit the mentors equally well and differ only in dogs that may "
            "stand in either order: 1 vote goes against it, whichever you take."
        )
        assert len(report.orders) == 1
        (pair,) = report.undecided
        assert {pair["upper"], pair["lower"]} == {11, 22}
        assert sorted(pair["said"]) == [
            "11 over 22: Alice Mentor",
            "22 over 11: Ada Mentor",
        ]

    def test_nobody_keyed(self, draft, mentors):
        report = Report(closed(opened(draft, mentors)))
        assert not report.can_be_compared
        assert report.keys == []
        assert [row["cells"] for row in report.places] == [[]] * 4


@st.composite
def panels(draw):
    """Findings of a few mentors who rule, level, cut and leave unplaced as they like."""
    names = "abcdefgh"[: draw(st.integers(2, 8))]
    places = draw(st.none() | st.integers(1, len(names)))
    mentors = draw(st.integers(2, 5))
    return findings(
        *(draw(a_key(names, places)) for _ in range(mentors)),
        names=names,
        places=places,
    )


@st.composite
def a_key(draw, names, places):
    rulings = draw(
        st.dictionaries(
            st.sampled_from(names), st.sampled_from(RULINGS), max_size=len(names) - 1
        )
    )
    ring = [name for name in draw(st.permutations(names)) if name not in rulings]
    order = ring[:places]
    gaps = len(order) - 1
    level = draw(st.sets(st.integers(0, gaps - 1))) if gaps > 0 else set()
    cuts = draw(st.lists(st.integers(1, 8), min_size=gaps, max_size=gaps))
    document = key(
        order,
        cuts=draw(st.sampled_from([None, cuts])),
        level=level,
        rulings={
            dog: {"ruling": ruling, "reason": ""} for dog, ruling in rulings.items()
        },
    )
    try:
        ClassKey.read(document).for_grading(ClassContent.read(content(names)))
    except KeyProblem:
        document["cuts"] = [None] * gaps
    return document


@given(panels())
def test_every_order_makes_a_key_that_can_be_used(found):
    assume(found.dogs)
    for number in range(len(found.kemeny.orders)):
        made = found.key(number)
        graded = made.for_grading(found.content)
        assert set(graded.dogs) == {dog.id for dog in found.content}
        assert len(made.order) == min(found.content.places or 12, len(found.dogs))
        pairs = found.neighbours(made)
        chosen = {gap: 0 for gap, pair in enumerate(pairs) if pair.reasons}
        assert set(with_reasons(made, pairs, chosen).reasons) <= set(made.neighbours)
