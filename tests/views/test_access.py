"""Every address of the site for every kind of person, against the table."""

import random
from datetime import timedelta
from functools import cached_property
from io import BytesIO
from uuid import uuid4

import pytest
from django.contrib.sessions.models import Session
from django.core.cache import cache
from django.db import connection, transaction
from django.test import Client
from django.urls import NoReverseMatch, URLResolver, get_resolver, reverse
from django.utils import timezone

from quizzes.attempts import begin, hand_in
from quizzes.drawing.lessons import section_of
from quizzes.drawing.sketch import Sketch
from quizzes.models import Revision
from quizzes.panels.services import close_panel, open_panel
from quizzes.plates import BREEDS
from tests.assessing import assessment, at, begun
from tests.conftest import signed_in
from tests.critiques import critique, written
from tests.examinations import examination
from tests.factories import (
    BuildFactory,
    ClubFactory,
    DrawingFactory,
    InvitationFactory,
    LessonFactory,
    LibraryDogFactory,
    MembershipFactory,
    ModuleFactory,
    UserFactory,
)
from tests.pairs import pairs
from tests.photographs import jpeg
from tests.placing import answer as answer_of_all
from tests.placing import key as key_of
from tests.placing import placing_class
from tests.seminars import attendee, seminar, sitting
from tests.sheets import opened, sheet
from tests.views.access_table import (
    ADMIN,
    ADMIN_APART,
    ELSEWHERE,
    FORM_AGAIN,
    LOGIN,
    NO_CONTENT,
    NOT_FOUND,
    OK,
    OVER,
    REFUSED,
    TABLE,
    WHO,
    WRONG_METHOD,
)
from tests.views.access_table import (
    signed_in as all_signed_in,
)
from trainer.clubs.models import Role
from trainer.pictures.intake import take_in
from trainer.pictures.services import Sent, keep
from trainer.seminars.certifying import issue
from trainer.seminars.inviting import invite
from trainer.seminars.live import new_class
from trainer.seminars.services import check_in
from trainer.study.desk import drafts, lessons
from trainer.study.page_reads import PageRead
from trainer.study.parts import PARTS

pytestmark = pytest.mark.once

ANSWERS = {
    200: OK,
    204: NO_CONTENT,
    403: REFUSED,
    404: NOT_FOUND,
    405: WRONG_METHOD,
    410: OVER,
    422: FORM_AGAIN,
}
SIGN_IN = ("/account/login/", "/admin/login/")


class Cast:
    """The people of the table and the objects of the own club, made when asked for."""

    def __init__(self):
        self.club, self.other_club = ClubFactory(), ClubFactory()
        self.people = {
            "stranger": UserFactory(verified=True),
            "staff": UserFactory(verified=True, is_staff=True),
        }
        for role in Role.values:
            self.people[role] = self.member(self.club, role)
            self.people[f"their {role}"] = self.member(self.other_club, role)
        # One who is the only organiser could not leave.
        self.member(self.club, Role.ORGANISER)

    def member(self, club, role):
        return MembershipFactory(club=club, role=role, user__verified=True).user

    @cached_property
    def clients(self):
        return {who: signed_in(person) for who, person in self.people.items()}

    def client(self, who):
        return Client() if who == "anonymous" else self.clients[who]

    @cached_property
    def assessment(self):
        return assessment(self.club, module=self.module)

    @cached_property
    def assessment_draft(self):
        other = placing_class(self.club, module=self.module).exercise
        return assessment(self.club, other, module=self.module, opened=False)

    @cached_property
    def a_try(self):
        return begun(self.assessment, self.people["trainee"])

    @cached_property
    def late_attempt(self):
        """One whose time was up before its answer arrived."""
        made = begun(assessment(self.club), self.people["trainee"], ago=30)
        hand_in(at(made, 1), now=timezone.now(), answer=answer_of_all())
        return at(made, 1)

    @cached_property
    def invitation(self):
        return InvitationFactory(club=self.club)

    @cached_property
    def picture(self):
        photograph = take_in(BytesIO(jpeg()), "dog.jpg")
        sent = Sent(public_id=uuid4(), photograph=photograph, agreed=True)
        by = self.people["mentor"]
        (kept,) = keep([sent], club=self.club, by=by, now=timezone.now())
        return kept

    @cached_property
    def module(self):
        return ModuleFactory(club=self.club)

    @cached_property
    def module_draft(self):
        by = self.people["mentor"]
        return drafts.draft_of(self.module, by=by, now=timezone.now())

    @cached_property
    def taken_out(self):
        by, row = self.people["mentor"], self.module_draft.steps.get()
        return drafts.remove_row(row, by=by, now=timezone.now())

    @cached_property
    def lesson(self):
        by = {"by": self.people["mentor"], "now": timezone.now()}
        part = PARTS["lessons"]
        row = drafts.add_row(self.module_draft, part, **by, name="Standing")
        lessons.add_section(row, "text", **by)
        row.refresh_from_db()
        return row

    @cached_property
    def drawn_section(self):
        """A lesson of the draft, and the section in it that shows a drawn dog."""
        by = {"by": self.people["mentor"], "now": timezone.now()}
        kind, content = section_of(Sketch(), "alone", "side")
        return self.lesson, lessons.add_section(self.lesson, kind, **by, **content)

    @cached_property
    def lesson_in_force(self):
        revision = self.module.revisions.in_force().get()
        return LessonFactory(revision=revision, slug="moving")

    def placing(self, **fields):
        return placing_class(self.club, module=self.module, pace_seconds=60, **fields)

    @cached_property
    def revision(self):
        """A class in force, with dogs that are drawn."""
        made = self.placing()
        made.content["breed"] = next(iter(BREEDS))
        made.save()
        return made

    @cached_property
    def draft(self):
        return self.placing(state=Revision.State.DRAFT)

    @cached_property
    def panel(self):
        """A panel that the club's mentor opened on the class in force, and sits on."""
        by = self.people["mentor"]
        return open_panel(
            self.revision,
            mentors=[by, self.member(self.club, Role.MENTOR)],
            message="By Sunday, please.",
            by=by,
            now=timezone.now(),
            rng=random.Random(1),
            address=str,
        )

    @cached_property
    def closed_panel(self):
        """The panel with both keys in."""
        keys = self.panel.keys.all()
        keys.update(key=key_of("abcd"), done_at=timezone.now())
        return close_panel(self.panel, now=timezone.now())

    @cached_property
    def drawing(self):
        return DrawingFactory(club=self.club)

    @cached_property
    def library_dog(self):
        return LibraryDogFactory(module=self.module, breed=next(iter(BREEDS)))

    @cached_property
    def build(self):
        return BuildFactory(club=self.club)

    def begun(self):
        """An attempt of the own club's trainee."""
        by = self.people["trainee"]
        return begin(self.revision, by=by, now=timezone.now(), rng=random.Random(1))

    @cached_property
    def seminar(self):
        made = seminar(self.club, mentors=[self.people["mentor"]])
        attendee(made, self.people["trainee"])
        return made

    @cached_property
    def place(self):
        """The trainee's place there."""
        return self.seminar.attendees.get(person=self.people["trainee"])

    @cached_property
    def seminar_link(self):
        day = self.seminar.ends_at.date()
        return invite(self.seminar, places=None, until=day, by=None)

    @cached_property
    def stay(self):
        return check_in(self.place, now=timezone.now())

    @cached_property
    def sitting(self):
        return sitting(self.seminar, placing_class(self.club, module=self.module))

    @cached_property
    def drawn_class(self):
        return sitting(self.seminar, self.revision)

    @cached_property
    def live_class(self):
        self.seminar.modules.set([self.module])
        made = new_class(self.seminar, [4, 7, 12], title="Open", by=None)
        return sitting(self.seminar, made)

    @cached_property
    def over(self):
        """A seminar that is over; the trainee was there for an hour."""
        now = timezone.now()
        made = seminar(self.club, state="over", mentors=[self.people["mentor"]])
        place = attendee(made, self.people["trainee"])
        place.stays.create(in_at=now - timedelta(hours=1), out_at=now)
        return made

    @cached_property
    def certificate(self):
        return issue(self.over, by=None, now=timezone.now())[0]

    @cached_property
    def sheet(self):
        return sheet(self.club, module=self.module)

    @cached_property
    def open_sheet(self):
        return opened(self.sheet, self.people["trainee"])

    @cached_property
    def eye(self):
        return sheet(self.club, "eye", module=self.module)

    @cached_property
    def open_eye(self):
        return opened(self.eye, self.people["trainee"])

    @cached_property
    def pairs(self):
        return pairs(self.club)

    @cached_property
    def open_pairs(self):
        return opened(self.pairs, self.people["trainee"])

    @cached_property
    def questions(self):
        """A sheet with a drawn dog in its first row."""
        return sheet(self.club, "question", module=self.module)

    @cached_property
    def open_questions(self):
        return opened(self.questions, self.people["trainee"])

    @cached_property
    def examination(self):
        return examination(self.club, module=self.module)

    @cached_property
    def critique(self):
        return critique(self.club, module=self.module)

    @cached_property
    def open_critique(self):
        by, rng = self.people["trainee"], random.Random(1)
        return begin(self.critique, by=by, now=timezone.now(), rng=rng)

    @cached_property
    def written(self):
        return written(self.critique, self.people["trainee"])

    @cached_property
    def open_attempt(self):
        return self.begun()

    @cached_property
    def attempt(self):
        """An attempt that is handed in and graded."""
        return hand_in(self.begun(), now=timezone.now(), answer=answer_of_all())


@pytest.fixture
def cast(db, settings, tmp_path):
    settings.VAR_DIR = settings.MEDIA_ROOT = tmp_path
    return Cast()


def addresses(resolver=None, spaces=()):
    """Name and pattern of every address, those of included files and namespaces too."""
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            inner = (pattern.namespace,) if pattern.namespace else ()
            yield from addresses(pattern, (*spaces, *inner))
        elif pattern.name or "admin" not in spaces:
            yield ":".join([*spaces, pattern.name or str(pattern.pattern)])


NAMES = sorted(set(addresses()))
OF_ADMIN = [name for name in NAMES if name.startswith("admin:")]


def answer(response):
    if response.status_code == 302:
        return LOGIN if response.url.startswith(SIGN_IN) else ELSEWHERE
    return ANSWERS.get(response.status_code, response.status_code)


def ask(client, method, url, data):
    """The answer, with everything the request changed undone."""
    cache.clear()
    with transaction.atomic():
        response = getattr(client, method)(url, data)
        transaction.set_rollback(True)
    return answer(response)


def answers(cast, method, url, data=None):
    return {who: ask(cast.client(who), method, url, data) for who in WHO}


def look(client, url):
    """The answer to asking for a page; nothing is undone."""
    cache.clear()
    return answer(client.get(url))


KEPT_BY_READING = (Session, PageRead)
"""Sessions note when they were used; reading a page notes the reader's own place (test_places.py)."""


class Written:
    """The statements that wrote something, but for what reading keeps."""

    def __init__(self):
        self.statements = []

    def __call__(self, execute, sql, params, many, context):
        verb, _, rest = sql.partition(" ")
        kept = any(f'"{one._meta.db_table}"' in rest for one in KEPT_BY_READING)
        if verb in ("INSERT", "UPDATE", "DELETE") and not kept:
            self.statements.append(sql)
        return execute(sql, params, many, context)


def test_what_is_written_is_seen(db):
    with connection.execute_wrapper(written := Written()):
        club = ClubFactory()
        club.delete()
    assert {one.partition(" ")[0] for one in written.statements} >= {"INSERT", "DELETE"}


def test_table_has_every_address_and_no_other():
    own = {name for name in NAMES if name not in OF_ADMIN}
    assert own == set(TABLE)
    assert set(OF_ADMIN) >= set(ADMIN_APART)


@pytest.mark.parametrize("name", TABLE)
def test_address(cast, name):
    """Everybody gets what the table says, and asking changes nothing; a form without its token is refused."""
    row = TABLE[name]
    url = reverse(name, kwargs=row.args(cast))
    clients = {who: cast.client(who) for who in WHO}
    with connection.execute_wrapper(written := Written()):
        assert {who: look(client, url) for who, client in clients.items()} == row.get
    assert written.statements == []
    data = row.data(cast)
    if row.post:
        assert {who: untrusted(cast, who, url, data) for who in UNTRUSTED} == UNTRUSTED
    expected = row.post or all_signed_in(WRONG_METHOD)
    assert answers(cast, "post", url, data) == expected


# Whoever it is: the token is looked at before anything else.
UNTRUSTED = dict.fromkeys(("anonymous", "trainee", "mentor"), REFUSED)


def untrusted(cast, who, url, data):
    """The answer to a form that was sent without its token."""
    client = Client(enforce_csrf_checks=True)
    client.cookies = cast.client(who).cookies
    return answer(client.post(url, data))


@pytest.mark.parametrize("method", ["get", "post"])
def test_administration(cast, method):
    expected = {
        name: getattr(ADMIN_APART.get(name, ADMIN), method) for name in OF_ADMIN
    }
    found = {name: answers(cast, method, admin_url(name)) for name in OF_ADMIN}
    assert found == expected


def admin_url(name):
    """The address with 1 for whatever it asks for: access is decided before."""
    for kwargs in ({}, {"object_id": 1}, {"app_label": "clubs"}, {"id": 1}):
        try:
            return reverse(name, kwargs=kwargs)
        except NoReverseMatch:
            continue
    return reverse(name, args=[1] * 2)
