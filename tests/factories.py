"""The smallest valid objects; a test states what matters to it."""

from datetime import timedelta

import factory
from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from django.utils import timezone
from factory.django import DjangoModelFactory

from quizzes.drawing.sketch import Sketch
from quizzes.models import Attempt, Build, Drawing, Exercise, LibraryDog, Revision
from trainer.accounts.models import User
from trainer.clubs.models import Club, Invitation, Membership, Role
from trainer.study.models import (
    LEVELS,
    Breed,
    Fault,
    Lesson,
    Module,
    ModuleRevision,
    Phrase,
    Priority,
    Step,
    Term,
)
from trainer.study.sections import new_section

PASSWORD = "seven ewes on a windy hill"


class EmailAddressFactory(DjangoModelFactory):
    """A confirmed address; without one nobody gets past the sign-in form."""

    class Meta:
        model = EmailAddress

    email = factory.SelfAttribute("user.email")
    primary = True
    verified = True


class SecondStepFactory(DjangoModelFactory):
    """An authenticator app; the secret is a made-up one."""

    class Meta:
        model = Authenticator

    type = Authenticator.Type.TOTP
    data = factory.LazyFunction(lambda: {"secret": "JBSWY3DPEHPK3PXP"})


class UserFactory(DjangoModelFactory):
    """A person.

    `verified=True`: may use the sign-in form; `second_step=True`: has an app for it.
    """

    class Meta:
        model = User
        skip_postgeneration_save = True

    class Params:
        verified = factory.Trait(
            _address=factory.RelatedFactory(EmailAddressFactory, "user")
        )
        second_step = factory.Trait(
            _app=factory.RelatedFactory(SecondStepFactory, "user")
        )

    name = factory.Sequence("Person {}".format)
    email = factory.Sequence("person{}@example.org".format)
    password = factory.django.Password(PASSWORD)


class ClubFactory(DjangoModelFactory):
    class Meta:
        model = Club

    name = factory.Sequence("Club {}".format)
    slug = factory.Sequence("club-{}".format)


class MembershipFactory(DjangoModelFactory):
    class Meta:
        model = Membership

    club = factory.SubFactory(ClubFactory)
    user = factory.SubFactory(UserFactory)
    role = Role.TRAINEE


class InvitationFactory(DjangoModelFactory):
    class Meta:
        model = Invitation

    club = factory.SubFactory(ClubFactory)
    role = Role.TRAINEE
    expires_at = factory.LazyFunction(lambda: timezone.now() + timedelta(days=1))


class BreedFactory(DjangoModelFactory):
    class Meta:
        model = Breed

    name = factory.Sequence("Breed {}".format)
    slug = factory.Sequence("breed-{}".format)


class ModuleRevisionFactory(DjangoModelFactory):
    """A revision in force; the weights of its `priorities` add up to 100."""

    class Meta:
        model = ModuleRevision
        skip_postgeneration_save = True

    module = factory.SubFactory("tests.factories.ModuleFactory", revision=None)
    number = factory.LazyAttribute(lambda made: made.module.revisions.count() + 1)
    state = ModuleRevision.State.PUBLISHED
    title = "How to look at the breed"
    published_at = factory.LazyFunction(timezone.now)

    @factory.post_generation
    def priorities(self, create, extracted, **kwargs):
        """A number of priorities (2 unless said), each with its five phrases."""
        count = 2 if extracted is None else extracted
        for number in range(1, count + 1):
            weight = 100 - (count - 1) * (100 // count)
            PriorityFactory(
                revision=self,
                number=number,
                weight=weight if number == 1 else 100 // count,
            )

    @factory.post_generation
    def steps(self, create, extracted, **kwargs):
        for number in range(1, (1 if extracted is None else extracted) + 1):
            StepFactory(revision=self, number=number)

    @factory.post_generation
    def faults(self, create, extracted, **kwargs):
        for number in range(1, (1 if extracted is None else extracted) + 1):
            FaultFactory(revision=self, number=number)


class ModuleFactory(DjangoModelFactory):
    """A module with a revision in force; `revision=None` leaves it without one."""

    class Meta:
        model = Module
        skip_postgeneration_save = True

    club = factory.SubFactory(ClubFactory)
    breed = factory.SubFactory(BreedFactory)
    slug = factory.SelfAttribute("breed.slug")
    revision = factory.RelatedFactory(ModuleRevisionFactory, "module")


class TermFactory(DjangoModelFactory):
    class Meta:
        model = Term

    revision = factory.SubFactory(ModuleRevisionFactory)
    number = 1
    name = factory.Sequence("term {}".format)
    meaning = "What people of the trade mean by it."


class LessonFactory(DjangoModelFactory):
    """A lesson of one text, unless `sections` are given."""

    class Meta:
        model = Lesson

    revision = factory.SubFactory(ModuleRevisionFactory)
    number = 1
    slug = factory.LazyAttribute(lambda made: f"lesson-{made.number}")
    name = factory.LazyAttribute(lambda made: f"Lesson {made.number}")
    sections = factory.LazyFunction(
        lambda: [{**new_section("text"), "text": "Look at the *whole* dog."}]
    )


class PriorityFactory(DjangoModelFactory):
    class Meta:
        model = Priority
        skip_postgeneration_save = True

    revision = factory.SubFactory(ModuleRevisionFactory, priorities=0)
    number = 1
    slug = factory.LazyAttribute(lambda made: f"priority-{made.number}")
    name = factory.LazyAttribute(lambda made: f"Priority {made.number}")
    weight = 50
    look_for = "What the eye finds."
    why_it_matters = "The work asks for it."

    @factory.post_generation
    def phrases(self, create, extracted, **kwargs):
        Phrase.objects.bulk_create(
            Phrase(priority=self, level=level, text=f"{self.name} at level {level}")
            for level in range(LEVELS)
        )


class StepFactory(DjangoModelFactory):
    class Meta:
        model = Step

    revision = factory.SubFactory(ModuleRevisionFactory, steps=0)
    number = 1
    name = factory.LazyAttribute(lambda made: f"Step {made.number}")
    sense = Step.Sense.HAND
    instruction = "Lay a hand on the back."


class FaultFactory(DjangoModelFactory):
    class Meta:
        model = Fault

    revision = factory.SubFactory(ModuleRevisionFactory, faults=0)
    number = 1
    name = factory.LazyAttribute(lambda made: f"Fault {made.number}")
    description = "What is wrong."
    severity = Fault.Severity.MINOR
    ruling = Fault.Ruling.PLACE_LOWER


class ExerciseFactory(DjangoModelFactory):
    """An exercise of a module's club, without a revision."""

    class Meta:
        model = Exercise

    module = factory.SubFactory(ModuleFactory)
    club = factory.SelfAttribute("module.club")


class RevisionFactory(DjangoModelFactory):
    """A revision in force; `content` and `key` as the exercise's kind has them."""

    class Meta:
        model = Revision

    exercise = factory.SubFactory(ExerciseFactory)
    module_revision = factory.LazyAttribute(
        lambda made: made.exercise.module.revisions.first()
    )
    number = factory.LazyAttribute(lambda made: made.exercise.revisions.count() + 1)
    state = Revision.State.PUBLISHED
    title = factory.Sequence("Class {}".format)
    published_at = factory.LazyAttribute(
        lambda made: None if made.state == Revision.State.DRAFT else timezone.now()
    )


class AttemptFactory(DjangoModelFactory):
    """An open attempt; `handed_in=True` for one that is in (without a grade)."""

    class Meta:
        model = Attempt

    class Params:
        handed_in = factory.Trait(
            state=Attempt.State.HANDED_IN,
            handed_in_at=factory.SelfAttribute("started_at"),
        )

    revision = factory.SubFactory(RevisionFactory)
    trainee = factory.SubFactory(UserFactory)
    started_at = factory.LazyFunction(timezone.now)


class DrawingFactory(DjangoModelFactory):
    """A drawn dog that a club keeps, beside no priority."""

    class Meta:
        model = Drawing

    club = factory.SubFactory(ClubFactory)
    name = "An upright blade"
    document = factory.LazyFunction(lambda: Sketch(faults={"F1": 0.8}).document())


class BuildFactory(DjangoModelFactory):
    """A breed of a club's own, for no module."""

    class Meta:
        model = Build

    club = factory.SubFactory(ClubFactory)
    name = factory.Sequence(lambda n: f"Sallowmere Herder {n}")
    base = "marlefell-drover"
    values = factory.LazyFunction(lambda: {"ear": "prick", "length": 114.0})


class LibraryDogFactory(DjangoModelFactory):
    """A dog of a club's library, in words alone."""

    class Meta:
        model = LibraryDog

    module = factory.SubFactory(ModuleFactory)
    club = factory.SelfAttribute("module.club")
    name = factory.Sequence("Dog {:03}".format)
    edited_at = factory.LazyFunction(timezone.now)
