"""The demo's seminars: one that is over and shows all that comes after, one that waits for its start."""

from datetime import UTC, datetime
from unittest.mock import patch

import pytest
from django.db import transaction

from quizzes.demo import load_demo
from trainer.accounts.models import User
from trainer.clubs.models import Role
from trainer.seminars.coming import coming
from trainer.seminars.demo import COUNT, add_seminars
from trainer.seminars.models import Certificate, Seminar
from trainer.seminars.report import report

NOW = datetime(2026, 3, 10, 14, 30, tzinfo=UTC)


def loaded():
    club = load_demo(now=NOW)
    add_seminars(club, now=NOW)
    return club


@pytest.fixture(scope="class")
def demo(django_db_setup, django_db_blocker):
    """Loaded once for all that only read it, and rolled back after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield loaded()
        transaction.set_rollback(True)


@pytest.fixture
def over(demo, db):
    return Seminar.objects.get(state=Seminar.State.OVER)


@pytest.mark.once
class TestSeminars:
    """What is there once they are loaded."""

    def test_everybody_who_came_has_a_certificate_and_one_was_issued_anew(self, over):
        assert over.attendees.count() == COUNT
        certificates = Certificate.objects.filter(seminar=over)
        assert certificates.filter(withdrawn_at=None).count() == COUNT
        old = certificates.exclude(withdrawn_at=None).get()
        new = certificates.get(attendee=old.attendee, withdrawn_at=None)
        assert new.says["hours"] > old.says["hours"]
        assert old.why_withdrawn
        assert all(one.says["words"] and one.says["mentors"] for one in certificates)

    def test_the_report_shows_all_that_a_club_is_told(self, over):
        found = report(over, NOW)
        assert found["came"] == COUNT
        first, again, *_others = found["sittings"]
        assert first["pairs"][0]["wrong"]
        assert first["pairs"][0]["why"]
        assert not any(pair["wrong"] for pair in again["pairs"])
        assert any("95 %" in line for line in again["said"])
        assert first["line"]
        assert again["line"]
        assert {one["kind"] for one in found["sittings"]} == {"placing", "sheet"}
        said = found["feedback"]
        assert said["mean"]
        assert len(said["good"]) > 9
        assert len(said["better"]) > 5
        assert any(one["notes"] for one in found["attendance"])

    def test_the_other_can_be_started_from_the_start_page(self, demo, db):
        today = Seminar.objects.get(state=Seminar.State.ANNOUNCED)
        waiting = today.sittings.order_by("number")
        assert {one.state for one in waiting} == {"waiting"}
        assert waiting.count() == 3
        leaders = User.objects.filter(
            memberships__club=demo, memberships__role__in=[Role.MENTOR, Role.ORGANISER]
        )
        with patch("django.utils.timezone.now", return_value=NOW):
            for person in leaders:
                (told,) = coming(person)
                assert (told.pk, told.leads, told.near) == (today.pk, True, True)
