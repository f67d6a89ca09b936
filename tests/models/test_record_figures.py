"""Hours, pooled shares and the geometry of the pictures of progress: plain values in, plain values out."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from quizzes.record.figure import FOOT, TOP, draw
from quizzes.record.hours import MOST, Worked, counted
from quizzes.record.pooling import (
    GROUP,
    T_OF_GROUP,
    Pooled,
    jackknife_error,
    pooled,
)
from quizzes.record.progress import SHOWN, Point, Series
from quizzes.record.spent import time_said

START = datetime(2026, 3, 1, 20, tzinfo=UTC)


def minutes(n):
    return timedelta(minutes=n)


def worked(begin, end, allowed=None):
    """From one minute of the evening to another."""
    return Worked(
        START + minutes(begin), START + minutes(end), allowed and minutes(allowed)
    )


def test_time_counts_from_opening_to_handing_in():
    assert counted([worked(0, 7), worked(10, 22)]) == [minutes(7), minutes(12)]


def test_page_left_open_overnight_counts_half_an_hour():
    assert counted([worked(0, 600)]) == [MOST]


def test_clock_that_gives_more_counts_what_it_gives():
    assert counted([worked(0, 50, allowed=45)]) == [minutes(45)]
    assert counted([worked(0, 50, allowed=10)]) == [MOST]


def test_no_minute_counts_twice():
    """Two open at once: the second counts only what comes after the first was handed in."""
    assert counted([worked(0, 20), worked(5, 25)]) == [minutes(20), minutes(5)]
    assert counted([worked(0, 20), worked(5, 20)]) == [minutes(20), minutes(0)]


def test_clock_that_was_set_back_counts_nothing():
    assert counted([worked(10, 5)]) == [minutes(0)]


@given(
    st.lists(st.tuples(st.integers(0, 3000), st.integers(0, 900)), max_size=30).map(
        lambda pairs: sorted(
            (worked(begin, begin + length) for begin, length in pairs),
            key=lambda one: one.handed_in,
        )
    )
)
def test_time_is_never_more_than_the_time_there_was(evening):
    times = counted(evening)
    assert all(timedelta() <= time <= MOST for time in times)
    if evening:
        begin = min(one.started for one in evening)
        assert sum(times, timedelta()) <= evening[-1].handed_in - begin


def test_times_are_said_in_hours_and_minutes():
    said = [time_said(minutes(n)) for n in (0, 1, 59, 60, 125)]
    assert said == ["1 min", "1 min", "59 min", "1 h", "2 h 5 min"]


def test_jackknife_error_as_published():
    """Pooled share of six classes and its jackknife error over classes, from hand enumeration.

    (pairs agreed, pairs counted) of classes of 4, 5, 6, 3, 4 and 8 dogs: share 51/68, error .0479891.
    """
    classes = [(5, 6), (8, 10), (9, 15), (3, 3), (4, 6), (22, 28)]
    assert jackknife_error(classes) == pytest.approx(0.0479891, abs=1e-7)


def test_t_of_a_group_as_scipy_has_it():
    assert pytest.approx(stats.t.ppf(0.975, GROUP - 1), abs=1e-12) == T_OF_GROUP


RESULTS = st.lists(
    st.integers(1, 66).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    min_size=GROUP,
    max_size=GROUP,
)


@given(RESULTS)
def test_interval_holds_the_share_and_stays_between_none_and_all(results):
    found = pooled(results)
    assert found.share == sum(a for a, _n in results) / sum(n for _a, n in results)
    if found.low is not None:
        assert 0 <= found.low <= found.share <= found.high <= 1


def test_results_all_alike_have_no_interval():
    """Eight faultless classes say nothing of how the ninth will go."""
    found = pooled([(6, 6)] * GROUP)
    assert (found.share, found.low, found.high) == (1, None, None)


def test_fewer_than_a_group_are_not_pooled():
    with pytest.raises(ValueError, match="7 exercises"):
        pooled([(5, 6)] * (GROUP - 1))


def test_groups_are_told_apart_only_where_intervals_do_not_meet():
    early, late = Pooled(50, 100, 0.4, 0.6), Pooled(80, 100, 0.7, 0.9)
    assert late.is_apart_from(early)
    assert early.is_apart_from(late)
    assert not late.is_apart_from(Pooled(70, 100, 0.55, 0.85))
    assert not late.is_apart_from(Pooled(10, 100, None, None))


def point(attempt, agreed=4, counted=6, number=1):
    return Point(
        kind="placing",
        attempt=attempt,
        title=f"Class {attempt}",
        difficulty="plain",
        handed_in_at=START + timedelta(days=attempt),
        number=number,
        share=agreed / counted,
        pairs_agreed=agreed,
        pairs_counted=counted,
        chance=0.5,
    )


def series(n, again=0):
    """So many new classes, 4 and 5 of 6 in turn, and some of them done again."""
    new = [point(at, 4 + at % 2) for at in range(n)]
    return Series("placing", [*new, *(point(n + at, number=2) for at in range(again))])


def test_only_what_was_new_counts():
    one = series(8, again=3)
    assert len(one.points) == 8
    assert len(one.groups) == 1
    assert "3 more were not new to you" in one.in_words()[0]


def test_fewer_than_eight_prove_little():
    words = series(5).in_words()
    assert words == [
        "5 done.",
        "Too few to say much. After 3 more, eight can be taken together.",
    ]


def test_eight_are_said_with_their_interval():
    (_how_many, said) = series(8).in_words()
    assert said.startswith("In the last eight together: 36 of 48 as the mentor has it")
    assert "75 of 100" in said
    assert "68 to 82 of 100" in said


def test_change_is_claimed_only_where_there_is_one():
    assert series(16).in_words()[-1] == (
        "We can't tell them apart from your first eight yet."
    )
    poor = [point(at, 2 + at % 2) for at in range(8)]
    good = [point(8 + at, 5 + at % 2) for at in range(8)]
    said = Series("placing", [*poor, *good]).in_words()[-1]
    assert said.startswith("In your first eight it was 42 of 100: more has changed")


@pytest.mark.parametrize("n", [1, 8, 41, 47, 48, 100])
def test_pages_hold_every_point_once_and_every_group_whole(n):
    one = series(n)
    points, groups = [], []
    for page in range(one.pages, 0, -1):
        shown, whole = one.shown(page)
        points += shown
        groups += whole
        assert len(whole) <= SHOWN
        assert {p.attempt for g in whole for p in g.points} <= {
            p.attempt for p in shown
        }
    assert points == one.points
    assert groups == one.groups


def test_dots_stand_between_none_and_all_from_left_to_right():
    one = series(19)
    figure = draw(*one.shown(1))
    assert [dot.x for dot in figure.dots] == sorted({dot.x for dot in figure.dots})
    assert all(0 < dot.x < 100 and TOP <= dot.y <= FOOT for dot in figure.dots)
    assert len(figure.spans) == 2
    assert all(span.top < span.y < span.bottom for span in figure.spans)


def test_label_says_the_picture():
    one = series(3)
    assert one.label(one.points) == (
        "Class to place: 3 results, from 4 of 6 to 4 of 6. The tables below say the same."
    )
