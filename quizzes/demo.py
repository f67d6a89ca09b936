"""The demo: one invented club with its module, classes and trainees, from fixtures/ and a fixed seed."""

from __future__ import annotations

import json
import random
import uuid
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import factory
from allauth.account.models import EmailAddress
from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.db import transaction

from quizzes import attempts, exercises
from quizzes.bundles import checking, importing
from quizzes.demo_assessment import add_assessment
from quizzes.demo_critiques import add_critiques
from quizzes.demo_examinations import add_examinations
from quizzes.demo_pairs import add_pairs
from quizzes.demo_sheets import add_sheets
from quizzes.dogs.services import add_dog, library_values
from quizzes.drawing.services import keep_drawing
from quizzes.drawing.sketch import Sketch
from quizzes.generator import Wish
from quizzes.kinds.placing.content import ClassContent, ClassKey, with_references
from quizzes.models import Attempt, Revision
from quizzes.panels import services as panels
from quizzes.practice import material
from quizzes.practice.making import keep_as_draft
from trainer.accounts.models import User
from trainer.clubs.models import Club, Membership, Role
from trainer.study import reading

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "marlefell-drover"
PASSWORD = "hardground-2026"
SEED = 19
BREED = "marlefell-drover"
# priority, what the drawing shows, faults, measurements laid over it
ILLUSTRATIONS = (
    ("forehand", "A blade well laid", {}, ("layback", "upper_arm")),
    ("forehand", "A blade that stands upright", {"F1": 1.0}, ("layback", "upper_arm")),
    ("back", "A back that sinks behind the withers", {"F7": 0.9}, ("back",)),
)
# Dogs of the library: what the mentors call them, and a note of theirs.
LIBRARY = (
    ("Burnet", "Good to open a class with."),
    ("Campion", "Kept for the spring course."),
    ("Harebell", "For close classes."),
    ("Ling", "Goes well beside Campion."),
    ("Sorrel", ""),
    ("Tansy", ""),
)
# Classes made from the priorities, beside those that were written.
MADE = tuple(
    Wish(
        size=size,
        difficulty=difficulty,
        sex=sex,
        class_name=name,
        breed=BREED,
        seed=SEED,
        odd_one=odd_one,
    )
    for size, difficulty, sex, name, odd_one in (
        (6, "middling", "bitch", "Novice bitches", None),
        (8, "close", "dog", "Graduate dogs", "excused"),
    )
)


class PersonFactory(factory.django.DjangoModelFactory):
    """A person of the demo, whose e-mail address counts as confirmed."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    password = factory.LazyFunction(lambda: make_password(PASSWORD))

    @factory.post_generation
    def confirmed(self, create, _extracted, **_more):
        EmailAddress.objects.create(
            user=self, email=self.email, verified=True, primary=True
        )


def read(name: str) -> dict:
    return json.loads((FOLDER / name).read_text(encoding="utf-8"))


@transaction.atomic
def load_demo(*, now) -> Club | None:
    """Make the demo; None if it is there already."""
    people = read("people.json")
    if Club.objects.filter(slug=people["club"]["slug"]).exists():
        return None
    rng = random.Random(SEED)
    club = Club.objects.create(**people["club"])
    password = make_password(PASSWORD)
    mentor = join(club, people["mentor"], password, Role.MENTOR)
    for row in (people["second_mentor"], people["third_mentor"]):
        join(club, row, password, Role.MENTOR)
    join(club, people["organiser"], password, Role.ORGANISER)
    trainees = [join(club, row, password, Role.TRAINEE) for row in people["trainees"]]
    began = now - timedelta(days=60)
    revisions = take_in(club, by=mentor, now=began)
    module = revisions[0].exercise.module
    revisions += [made_class(module, wish, by=mentor, now=began) for wish in MADE]
    hold_panel(module, by=mentor, opened=began - timedelta(days=9), closed=began)
    illustrate(module, by=mentor)
    keep_dogs(revisions, by=mentor, now=began)
    for trainee in trainees:
        practise(trainee, revisions, rng=rng, began=began, now=now)
    add_critiques(club, revisions, trainees, began=began, now=now)
    add_sheets(module, trainees, by=mentor, began=began, now=now)
    add_examinations(module, trainees, by=mentor, began=began, now=now)
    add_pairs(module, trainees, by=mentor, began=began, now=now)
    add_assessment(module, trainees, by=mentor, now=now)
    return club


def join(club, person, password, role) -> User:
    user = PersonFactory(**person, password=password)
    Membership.objects.create(club=club, user=user, role=role)
    return user


def classes() -> list[dict]:
    """The class documents, in the order of their file names."""
    return [
        json.loads(path.read_text(encoding="utf-8"))
        for path in sorted((FOLDER / "classes").glob("*.json"))
    ]


def take_in(club, *, by, now) -> list[Revision]:
    """Take the module with its classes in as a bundle's, and put all of it in force."""
    document = read("module.json")
    breed = document["breed"]["slug"]
    rows = [exercise_of(one, breed) for one in classes()]
    bundle = checking.held(checking.alone(document, club, rows), {})
    report = importing.take(bundle, club=club, by=by, now=now, agreed=False)
    return importing.publish(report, now=now)


def exercise_of(document: dict, breed: str) -> dict:
    """A class of the demo as an exercise of a bundle."""
    key, dogs = document["key"], document["dogs"]
    refer_to_dogs(key, dogs)
    fields = ("title", "note", "difficulty", "pace_seconds")
    return {
        "id": str(uuid.uuid5(uuid.NAMESPACE_OID, document["title"])),
        "type": "placing",
        **{name: document[name] for name in fields},
        "content": {
            "dogs": dogs,
            "places": document["places"],
            "breed": breed,
            "ask_reasons": document.get("ask_reasons", False),
        },
        "key": key,
    }


def refer_to_dogs(key, dogs) -> None:
    """Turn the armbands in the reasons of a key into references to the dogs."""
    armbands = {dog["id"]: dog["armband"] for dog in dogs}
    for pair in key["pairs"]:
        pair["reason"] = with_references(pair["reason"], armbands)
        pair["grant"] = with_references(pair["grant"], armbands)


def hold_panel(module, *, by, opened, closed) -> None:
    """Three mentors key one class, each alone, and the panel is closed."""
    document = read("panel.json")
    classes = Revision.objects.in_force().filter(exercise__module=module)
    revision = classes.get(title=document["class"])
    keys = {row["mentor"]: row["key"] for row in document["keys"]}
    panel = panels.open_panel(
        revision,
        mentors=User.objects.filter(email__in=keys).order_by("pk"),
        message=document["message"],
        by=by,
        now=opened,
        rng=random.Random(SEED),
    )
    for asked in panel.keys.select_related("mentor"):
        key = keys[asked.mentor.email]
        refer_to_dogs(key, revision.content["dogs"])
        read_key = ClassKey.read(key)
        panels.save_key(asked, read_key, version=asked.version, done=True, now=opened)
    panels.close_panel(panel, now=closed)


def made_class(module, wish: Wish, *, by, now) -> Revision:
    """Make one class from the module's priorities, as a mentor would, and put it in force."""
    in_force = module.revisions.in_force().get()
    document = reading.document_of(in_force.pk, in_force.published_at)
    made = material.make(document, wish)
    draft = keep_as_draft(
        document,
        made,
        by=by,
        title=material.titled(wish.class_name, wish.size),
        difficulty=wish.difficulty,
    )
    return exercises.publish(draft, now=now, regrade=False)


def illustrate(module, *, by) -> None:
    """Put a drawing beside some of the priorities, as a mentor would from the workbench."""
    for priority, name, faults, measures in ILLUSTRATIONS:
        sketch = Sketch(BREED, coat_seed=SEED, faults=faults, measures=measures)
        keep_drawing(
            sketch,
            club=module.club,
            module=module,
            priority=priority,
            name=name,
            view="side",
            by=by,
        )


def keep_dogs(revisions, *, by, now) -> None:
    """A few dogs of the classes in the club's library, as a mentor would keep them for the next class."""
    dogs = [
        (revision, dog.id)
        for revision in revisions
        for dog in ClassContent.read(revision.content)
    ]
    chosen = random.Random(SEED).sample(dogs, len(LIBRARY))
    for (name, note), (revision, dog) in zip(LIBRARY, chosen, strict=True):
        content = ClassContent.read(revision.content)
        values = library_values(content, content.by_id[dog])
        module = revision.exercise.module
        add_dog(module, by=by, now=now, name=name, note=note, **values)


def practise(trainee, revisions, *, rng, began, now) -> None:
    """A trainee's past weeks: some classes placed, with an eye and a taste of their own."""
    eye = rng.uniform(0.5, 2.4)
    slugs = [row["slug"] for row in read("module.json")["priorities"]]
    taste = {slug: rng.lognormvariate(0, 0.8) for slug in slugs}
    chosen = [revision for revision in revisions if rng.random() < 0.62]
    days = sorted(rng.uniform(0, (now - began).days - 1) for _class in chosen)
    for revision, day in zip(chosen, days, strict=True):
        start = began + timedelta(days=day, hours=rng.uniform(0, 6))
        answer_class(revision, trainee, rng=rng, eye=eye, taste=taste, start=start)


def answer_class(revision, trainee, *, rng, eye, taste, start) -> Attempt:
    """Place one class as somebody would who weighs the priorities by taste and sees with noise."""
    content, key = ClassContent.read(revision.content), ClassKey.read(revision.key)
    weights = dict(revision.module_revision.priorities.values_list("slug", "weight"))
    worth = {
        dog.id: sum(
            weights[slug] * taste[slug] * (level + rng.gauss(0, eye))
            for slug, level in dog.levels.items()
        )
        for dog in content
    }
    seen = {
        dog: dict(entry) for dog, entry in key.rulings.items() if rng.random() < 0.7
    }
    order = sorted(
        (dog for dog in worth if dog not in seen), key=worth.__getitem__, reverse=True
    )
    reasons = said_reasons(order[: content.places], content, weights, taste, rng)
    attempt = attempts.begin(revision, by=trainee, now=start, rng=rng)
    minutes = len(content) * rng.uniform(0.6, 2.2)
    return attempts.hand_in(
        attempt,
        now=start + timedelta(minutes=minutes),
        answer={
            "order": order[: content.places],
            "rulings": seen,
            **({"reasons": reasons} if content.ask_reasons else {}),
        },
    )


def said_reasons(order, content, weights, taste, rng) -> dict:
    """Reasons as somebody gives them who weighs by taste: what parts two neighbours most, and a grant."""
    found = {}
    for upper, lower in pairwise(content.by_id[dog] for dog in order):
        apart = {
            slug: weights[slug] * taste[slug] * (level - lower.levels[slug])
            for slug, level in upper.levels.items()
        }
        ranked = sorted(apart, key=apart.__getitem__, reverse=True)
        grant = ranked[-1] if rng.random() < 0.7 else ""
        found[f"{upper.id}>{lower.id}"] = {"for": ranked[:2], "grant": grant}
    return found
