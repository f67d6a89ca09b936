"""An account that is deleted: what goes, what stays without a name, what stands in the way."""

import random

import pytest
from django.apps import apps
from django.contrib.admin.models import CHANGE, LogEntry
from django.contrib.contenttypes.models import ContentType
from django.contrib.sessions.models import Session
from django.core import mail
from django.db import connection
from django.db.models import FileField, JSONField
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.attempts import begin
from quizzes.kinds import kind_named
from quizzes.models import Attempt, Exercise, Grade, Mark, Revision, Tally
from quizzes.record import person
from quizzes.record.erasing import without_person
from tests.conftest import signed_in
from tests.critiques import critique, written
from tests.examinations import answered as rehearsed
from tests.examinations import examination
from tests.factories import (
    ClubFactory,
    MembershipFactory,
    ModuleFactory,
    UserFactory,
)
from tests.placing import placing_class
from tests.records import placed
from tests.sheets import answered, sheet
from trainer.accounts import erasing
from trainer.accounts.models import User
from trainer.clubs.models import Club, Role
from trainer.study.models import ModuleRevision


def erase(user):
    erasing.erase(user, now=timezone.now())


@pytest.fixture
def open_dogs(club):
    return placing_class(club, title="Open dogs")


def everything():
    """Every text in every row of the database."""
    found = []
    for model in apps.get_models():
        kinds = (FileField,)
        names = [
            field.attname
            for field in model._meta.local_fields
            if not isinstance(field, kinds)
        ]
        found += [str(row) for row in model._base_manager.values_list(*names)]
    return "\n".join(found)


def test_no_row_names_the_person_any_more(club, open_dogs, django_user_model):
    user = UserFactory(
        name="Wilhelmina Unmistakable",
        email="wilhelmina@example.org",
        verified=True,
        second_step=True,
    )
    MembershipFactory(club=club, user=user)
    placed(open_dogs, user, "bac", d="excused")
    written(critique(club), user, text="I, Wilhelmina Unmistakable, say so.")
    begin(open_dogs, by=user, now=timezone.now(), rng=random.Random(1))
    signed_in(user)
    about = ContentType.objects.get_for_model(User)
    LogEntry.objects.create(
        user=UserFactory(is_staff=True),
        content_type=about,
        object_id=user.pk,
        object_repr=user.name,
        action_flag=CHANGE,
    )
    assert "Wilhelmina" in everything()
    erase(user)
    text = everything()
    assert "Wilhelmina" not in text
    assert "wilhelmina" not in text
    for model, field in person.relations():
        assert not model._base_manager.filter(**{field.attname: user.pk}).exists()


def test_words_go_and_the_plain_answer_stays_of_nobody(open_dogs, bob):
    attempt = placed(open_dogs, bob, "bac", d="excused")
    assert attempt.answer["rulings"]["d"]["reason"] == "seen in the ring"
    before, submission = attempt.handed_in_at, attempt.submission
    erase(bob)
    attempt.refresh_from_db()
    assert attempt.trainee is None
    assert attempt.answer["order"] == list("bac")
    assert attempt.answer["rulings"] == {"d": {"ruling": "excused", "reason": ""}}
    assert attempt.submission != submission
    assert (attempt.handed_in_at.day, attempt.handed_in_at.month) == (1, before.month)
    assert attempt.started_at == attempt.saved_at == attempt.handed_in_at
    assert attempt.own_grade.graded_at == attempt.handed_in_at


def test_tallies_and_counts_stay_as_they_are(open_dogs, club, bob):
    placed(open_dogs, bob, "bacd")
    written(critique(club), bob)
    counted = list(Tally.objects.order_by("pk").values("item", "value", "count"))
    headline = list(Revision.objects.order_by("pk").values("handed_in", "share_sum"))
    erase(bob)
    assert counted == list(
        Tally.objects.order_by("pk").values("item", "value", "count")
    )
    assert headline == list(
        Revision.objects.order_by("pk").values("handed_in", "share_sum")
    )


def test_critiques_open_attempts_and_trials_go(open_dogs, club, bob, alice):
    written(critique(club), bob)
    begin(open_dogs, by=bob, now=timezone.now(), rng=random.Random(1))
    begin(open_dogs, by=bob, now=timezone.now(), rng=random.Random(1), preview=True)
    erase(bob)
    assert not Attempt.objects.exists()
    assert not Grade.objects.exists()


def test_answers_of_a_kind_that_cannot_take_the_person_out_go(
    open_dogs, bob, monkeypatch
):
    attempt = placed(open_dogs, bob)
    assert without_person(attempt) is not None
    monkeypatch.delattr(type(kind_named("placing")), "anonymous")
    assert without_person(attempt) is None
    erase(bob)
    assert not Attempt.objects.exists()


def test_sheets_stay_as_far_as_they_are_chosen(club, bob):
    attempt = answered(sheet(club, "severity"), bob)
    given = attempt.answer
    erase(bob)
    attempt.refresh_from_db()
    assert (attempt.trainee, attempt.answer) == (None, given)


def test_examinations_from_memory_stay(club, bob):
    attempt = rehearsed(examination(club), bob)
    given = attempt.answer
    erase(bob)
    attempt.refresh_from_db()
    assert (attempt.trainee, attempt.answer) == (None, given)


@pytest.mark.parametrize("value", ["two words", ["a", "b c"], {"reason": "words"}])
def test_sheet_with_written_words_does_not_stay(value):
    kind = kind_named("severity")
    assert kind.anonymous({"items": {"a": 3, "b": value}}) is None
    assert kind.anonymous({"items": {"a": 3, "b": ["c"], "d": {"x": 1}}})


def test_classes_made_for_the_person_go_with_what_was_answered_there(club, bob):
    made = placing_class(club)
    Exercise.objects.filter(pk=made.exercise_id).update(practice_for=bob)
    made.refresh_from_db()
    placed(made, bob)
    erase(bob)
    assert not Exercise.objects.filter(pk=made.exercise_id).exists()
    assert not Attempt.objects.exists()


def test_other_people_keep_everything(open_dogs, club, bob, charlie, alice):
    other = MembershipFactory(club=club).user
    theirs = placed(open_dogs, other, "bac", d="excused")
    wrote = written(critique(club), other)
    placed(open_dogs, bob)
    erase(bob)
    theirs.refresh_from_db()
    assert theirs.trainee == other
    assert theirs.answer["rulings"]["d"]["reason"] == "seen in the ring"
    assert Attempt.objects.filter(pk=wrote.pk, trainee=other).exists()
    assert User.objects.filter(pk__in=[other.pk, charlie.pk, alice.pk]).count() == 3


def test_what_a_mentor_made_stays_without_the_name(club, alice, bob):
    module = ModuleFactory(club=club)
    module.revisions.update(author=alice, edited_by=alice)
    revision = placing_class(club, module=module)
    Exercise.objects.update(made_by=alice)
    Revision.objects.update(edited_by=alice)
    piece = written(critique(club, module=module), bob)
    final = {"attempt": piece, "marker": alice, "state": Mark.State.FINAL}
    Mark.objects.create(part=Mark.Part.FIRST, points=[15, 5], overall="Good.", **final)
    erase(alice)
    assert ModuleRevision.objects.in_force().get().author is None
    revision.refresh_from_db()
    assert revision.state == Revision.State.PUBLISHED
    assert revision.edited_by is None
    mark = Mark.objects.get()
    assert (mark.marker, mark.points, mark.overall) == (None, [15, 5], "Good.")


def test_marks_that_were_not_finished_lose_their_words(club, alice, bob):
    piece = written(critique(club), bob)
    Mark.objects.create(
        attempt=piece, part=Mark.Part.FIRST, marker=alice, points=[3], overall="Hm."
    )
    erase(alice)
    mark = Mark.objects.get()
    assert (mark.marker, mark.points, mark.overall) == (None, [], "")


def test_sessions_end_everywhere_and_those_of_others_do_not(bob, charlie):
    phone, desk, other = signed_in(bob), signed_in(bob), signed_in(charlie)
    erase(bob)
    for client in (phone, desk):
        assert client.get("/you/profile/").status_code == 302
    assert other.get("/you/profile/").status_code == 200
    assert Session.objects.count() == 1


def test_last_mail_goes_out_once_it_is_done(bob, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        erase(bob)
    (sent,) = mail.outbox
    assert sent.to == ["bob@example.org"]
    assert sent.subject == "Placing Room: your account is deleted"
    assert "Bob Trainee" in sent.body


def test_mail_that_fails_keeps_nothing_from_being_deleted(
    bob, settings, django_capture_on_commit_callbacks
):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_PORT = 1
    with django_capture_on_commit_callbacks(execute=True):
        erase(bob)
    assert not User.objects.filter(email="bob@example.org").exists()


def test_last_organiser_of_a_club_with_others_stays(club, organiser, bob):
    (why,) = erasing.obstacles(organiser)
    assert club.name in why
    assert "Make somebody else an organiser" in why
    with pytest.raises(erasing.InTheWay):
        erase(organiser)
    assert User.objects.filter(pk=organiser.pk).exists()
    MembershipFactory(club=club, user=bob, role=Role.ORGANISER)
    assert erasing.obstacles(organiser) == []
    erase(organiser)
    assert club.memberships.filter(role=Role.ORGANISER).get().user == bob


def test_empty_club_of_one_goes_with_them(db):
    founder = MembershipFactory(role=Role.ORGANISER).user
    assert erasing.obstacles(founder) == []
    erase(founder)
    assert not Club.objects.exists()


def test_club_of_one_that_holds_something_stays(db):
    club = ClubFactory()
    founder = MembershipFactory(club=club, role=Role.ORGANISER).user
    ModuleFactory(club=club)
    erase(founder)
    assert Club.objects.get() == club
    assert not club.memberships.exists()


def test_only_person_who_looks_after_the_site_stays(db):
    root = UserFactory(is_staff=True, is_superuser=True)
    assert "only one who looks after this site" in erasing.obstacles(root)[0]
    UserFactory(is_superuser=True)
    assert erasing.obstacles(root) == []


def test_deleting_asks_as_often_for_many_attempts_as_for_few(club, bob):
    def count(user):
        with CaptureQueriesContext(connection) as queries:
            erase(user)
        return len(queries)

    busy = MembershipFactory(club=club).user
    classes = [placing_class(club) for _n in range(12)]
    for revision in classes[:2]:
        placed(revision, bob)
    for revision in classes:
        placed(revision, busy)
    assert count(bob) == count(busy)


def test_every_field_that_may_hold_words_is_known():
    """A kind's answers are JSON alone; were an attempt to get a text of its own, it would have to go too."""
    texts = {
        field.name
        for field in Attempt._meta.local_fields
        if field.get_internal_type() in ("TextField", "CharField", "JSONField")
    }
    assert texts == {"state", "shown", "answer"}
    assert isinstance(Attempt._meta.get_field("answer"), JSONField)
