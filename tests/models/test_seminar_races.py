"""What two do at the same moment in a seminar's room: which comes first, and what the other finds."""

import threading
import uuid
from datetime import timedelta

import pytest
from django.db import connection, transaction
from django.utils import timezone

from tests.placing import answer
from tests.seminars import attendee, seminar, sitting
from trainer.seminars import sittings
from trainer.seminars.models import Hand, Sitting
from trainer.seminars.models.sittings import GRACE_SECONDS


@pytest.fixture
def opened(club):
    return sitting(seminar(club), open=True, seconds=60)


def take(one, place, *, now=None):
    """As a phone's answer arrives."""
    hand = sittings.hand_of(one, place)
    given = {"submission": uuid.uuid4(), "now": now or timezone.now()}
    return sittings.take(hand, answer(), **given)


@pytest.mark.django_db
@pytest.mark.parametrize(("after", "is_late"), [(0, False), (1, True)])
def test_it_is_late_though_nobody_has_looked_since_the_time_was_up(
    opened, after, is_late
):
    at = opened.closes_at + timedelta(seconds=GRACE_SECONDS + after)
    assert take(opened, attendee(opened.seminar), now=at).is_late == is_late
    opened.refresh_from_db()
    assert opened.is_open


@pytest.mark.django_db
def test_a_button_pressed_after_the_time_gives_no_more_grace(opened):
    end = opened.closes_at
    assert sittings.close(opened, now=end + timedelta(seconds=90)).closed_at == end


@pytest.mark.django_db(transaction=True)
def test_an_answer_that_comes_while_the_result_is_summed_is_late(opened):
    """It waits for the sums, and finds the result shown: never in time and missing in it."""
    place = attendee(opened.seminar)
    sittings.close(opened, now=timezone.now())
    asked, summing = threading.Event(), threading.Event()

    def show():
        with transaction.atomic():
            shown = sittings.show(opened, now=timezone.now())
            summing.set()
            asked.wait(0.3)  # the answer is on its way meanwhile
        assert shown.result["counted"] == 0
        connection.close()

    showing = threading.Thread(target=show)
    hand = sittings.hand_of(opened, place)
    showing.start()
    summing.wait(5)
    kept = sittings.take(hand, answer(), submission=uuid.uuid4(), now=timezone.now())
    showing.join()
    assert kept.is_late
    assert Sitting.objects.get().handed_in == Hand.objects.handed_in().count() == 1
