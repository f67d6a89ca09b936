"""The demo's seminars: one that can be started now, and one with sixty people that is over."""

from __future__ import annotations

import base64
import random
import uuid
from datetime import timedelta

from quizzes.demo import FOLDER, read
from quizzes.kinds import kind_named
from quizzes.models import Revision
from trainer.accounts.models import User
from trainer.clubs.models import Role
from trainer.seminars import services, sittings
from trainer.seminars.demo_after import finish
from trainer.seminars.models import Attendee, Presence, Seminar, Session, Sitting

SEED = 31
COUNT = 60
HERE_TODAY = 8
WEEKS_AGO = 3
PARTS = (
    (0, 90, "The priorities, one by one"),
    (105, 180, "Placing, and placing again"),
)


def add_seminars(club, *, now) -> list[Seminar]:
    """Make both; the people are the club's trainees, and guests from a list."""
    said, rng = read("seminars.json"), random.Random(SEED)
    trainees = list(
        User.objects.filter(memberships__club=club, memberships__role=Role.TRAINEE)
        .distinct()
        .order_by("pk")
    )
    return [
        today(club, said, trainees, now=now),
        over(club, said, trainees, rng=rng, now=now),
    ]


def _new(club, said, words, *, starts, hours) -> Seminar:
    leaders = {
        role: User.objects.filter(memberships__club=club, memberships__role=role)
        for role in (Role.MENTOR, Role.ORGANISER)
    }
    made = Seminar.objects.create(
        club=club,
        title=words["title"],
        about=words["about"],
        fee_note=words["fee_note"],
        certificate_words=words.get("certificate_words", ""),
        emblem=base64.b64encode((FOLDER / "emblem.jpg").read_bytes()).decode(),
        place=said["place"],
        time_zone=said["time_zone"],
        starts_at=starts,
        ends_at=starts + timedelta(hours=hours),
        guests=True,
        made_by=leaders[Role.ORGANISER].first(),
    )
    made.mentors.set(leaders[Role.MENTOR])
    made.modules.set(club.modules.all())
    for begin, end, title in PARTS:
        Session.objects.create(
            seminar=made,
            title=title,
            starts_at=starts + timedelta(minutes=begin),
            ends_at=starts + timedelta(minutes=end),
        )
    return services.announce(made)


def _classes(club) -> list[Revision]:
    """Classes and a sheet of the club in force, in the order in which they were made."""
    offered = Revision.objects.in_force().shared().filter(exercise__club=club)
    offered = offered.filter(exercise__kept_back=False).select_related("exercise")
    placing = list(offered.filter(exercise__kind="placing", size__lte=5).order_by("pk"))
    rulings = list(offered.filter(exercise__kind="severity").order_by("pk"))
    return [*placing[:2], *rulings[:1]]


def today(club, said, trainees, *, now) -> Seminar:
    """Some are there already; the first class waits for its start."""
    starts = (now - timedelta(minutes=40)).replace(second=0, microsecond=0)
    made = _new(club, said, said["today"], starts=starts, hours=7)
    for person in trainees[:HERE_TODAY]:
        place = services.enrol(made, person, now=now)
        services.check_in(place, now=starts + timedelta(minutes=2))
    for revision in _classes(club):
        sittings.add(made, revision, seconds=300)
    return made


def over(club, said, trainees, *, rng, now) -> Seminar:
    """A class placed twice, a second one and a sheet; everything shown, everybody gone home."""
    day = (now - timedelta(weeks=WEEKS_AGO)).replace(hour=9, minute=30)
    starts = day.replace(second=0, microsecond=0)
    made = _new(club, said, said["over"], starts=starts, hours=3)
    places = _people(made, said["names"], trainees, rng, starts)
    first, second, sheet = _classes(club)
    lines = said["over"]["lines"]
    clock = starts + timedelta(minutes=105)
    before = sittings.add(made, first, seconds=300)
    _placed(before, places, rng, spread=1.0, fooled=1.6, now=clock)
    after = sittings.again(Sitting.objects.get(pk=before.pk))
    later = clock + timedelta(minutes=20)
    _placed(after, places, rng, spread=0.9, fooled=0.4, now=later)
    _shown(after, lines[1], now=clock + timedelta(minutes=26))
    sittings.say(before, lines[0])
    for n, revision in enumerate((second, sheet)):
        one, at = (
            sittings.add(made, revision, seconds=300),
            timedelta(minutes=35 + 15 * n),
        )
        _placed(one, places, rng, spread=1.3, now=clock + at)
        _shown(one, "", now=clock + at + timedelta(minutes=6))
    services.end(made, state=Seminar.State.OVER, now=made.ends_at)
    finish(made, places, said["over"], rng=rng)
    return made


def _people(made, names, trainees, rng, starts) -> list[Attendee]:
    """Sixty places: those with an account, then those of the roster; a few come late or leave early."""
    now = starts - timedelta(days=9)
    members = trainees[: COUNT - len(names)]
    places = [services.enrol(made, person, now=now) for person in members]
    places += [
        services.add_to_roster(made, name=name, number=str(100 + n), now=now)
        for n, name in enumerate(names)
    ]
    for place in places:
        late = rng.choice([-8, -5, -3, 0, 2, 4, 31])
        early = rng.choice([0, 0, 0, 0, 0, 47])
        Presence.objects.create(
            attendee=place,
            in_at=starts + timedelta(minutes=late),
            out_at=made.ends_at - timedelta(minutes=early) if early else None,
        )
    return places


def _placed(one: Sitting, places, rng, *, spread, now, fooled=0.0) -> None:
    """Open it, let nearly everybody answer, close it.

    fooled : by how many places the room takes the third dog for better than it is
    """
    sittings.start(one, now=now)
    one = Sitting.objects.select_related("revision__exercise").get(pk=one.pk)
    for place in places:
        if rng.random() < 0.07:
            continue
        moment = now + timedelta(seconds=rng.randint(60, 280))
        sittings.take(
            sittings.hand_of(one, place),
            _answer(one.revision, rng, spread, fooled),
            submission=uuid.UUID(int=rng.getrandbits(128), version=4),
            now=moment,
        )
    sittings.close(one, now=now + timedelta(minutes=5))


def _answer(revision, rng, spread, fooled) -> dict:
    """The key's order with some of it mistaken; a sheet is half known, half guessed."""
    if revision.exercise.kind == "placing":
        key = revision.key
        seen = {
            dog: n - fooled * (n == 2) + rng.gauss(0, spread)
            for n, dog in enumerate(key["order"])
        }
        return {"order": sorted(seen, key=seen.get), "rulings": key["rulings"]}
    kind = kind_named(revision.exercise.kind)
    sheet, key = kind.sheet(revision.content), kind.key(revision.key)
    return {
        "items": {
            row.id: kind.right(row, kind.known_of(key, row))
            if rng.random() < 0.55
            else kind.guess(row, rng)
            for row in sheet
        }
    }


def _shown(one: Sitting, line: str, *, now) -> None:
    sittings.show(one, now=now)
    if line:
        sittings.say(one, line)
