"""Exercises and their revisions.

What an exercise shows and its key are documents whose form belongs to its kind (quizzes/kinds/). A revision is
copied whole and never edited once published, so a document fits it better than rows, and a new kind needs no new
tables.
"""

from __future__ import annotations

import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from trainer.clubs.models import Club, Role, reached_by
from trainer.study.models import Module, ModuleRevision


class ExerciseQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Exercises in force in the person's clubs, and every exercise of the clubs they teach in.

        What was made for one person to practise on is for that person alone.
        """
        in_force = Revision.objects.filter(state=Revision.State.PUBLISHED).values(
            "exercise"
        )
        return self.filter(
            Q(club__in=Club.objects.joined_by(user), pk__in=in_force)
            | Q(club__in=Club.objects.taught_by(user)),
            Q(practice_for=None) | Q(practice_for=user),
        )

    def shared(self):
        """Exercises of a club, and not of one person."""
        return self.filter(practice_for=None)

    def editable_by(self, user):
        return self.shared().filter(club__in=Club.objects.taught_by(user))


def protect_unless_practice(collector, field, sub_objs, using):
    """What was answered keeps its revision from being deleted.

    A class made for one person goes with that person, and so does what they answered there:
    nobody else ever sees either.
    """
    kept = sub_objs.filter(revision__exercise__practice_for=None)
    if kept.exists():
        raise models.ProtectedError(
            "A revision that somebody has answered can't be deleted.", set(kept)
        )
    models.CASCADE(collector, field, sub_objs, using)


class Exercise(models.Model):
    """Something that is answered and graded; what it shows and its key stand in its revisions."""

    club = models.ForeignKey(Club, on_delete=models.PROTECT, related_name="exercises")
    module = models.ForeignKey(
        Module,
        on_delete=models.PROTECT,
        related_name="exercises",
        verbose_name=_("study module"),
    )
    kind = models.CharField(max_length=20, default="placing", editable=False)
    # What the exercise is known by wherever a bundle takes it.
    public_id = models.UUIDField(default=uuid.uuid4, editable=False)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    # One person's own: nobody else sees it, and it goes when the person goes.
    practice_for = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        null=True,
        related_name="practice",
        editable=False,
    )
    # The key follows from the mentor's weights and phrases; no mentor has read it.
    from_weights = models.BooleanField(default=False, editable=False)
    # Asked in assessments only: trainees don't find it among the classes to practise on.
    kept_back = models.BooleanField(default=False, editable=False)
    twin_of = models.ForeignKey(
        "Revision",
        on_delete=models.SET_NULL,
        null=True,
        related_name="+",
        editable=False,
    )

    objects = ExerciseQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["club", "public_id"], name="quizzes_exercise_public_id_once"
            )
        ]

    def __str__(self):
        return f"{self.kind} {self.pk}"

    def get_absolute_url(self):
        return reverse("quizzes:exercise-detail", args=[self.pk])


class RevisionQuerySet(models.QuerySet):
    def in_force(self):
        return self.filter(state=Revision.State.PUBLISHED)

    def visible_to(self, user):
        """Revisions in force of exercises the person may answer. The key is not fetched with them.

        Mentors belong to their clubs, so for what is in force membership is all there is to ask.
        """
        mine = Q(exercise__practice_for=None) | Q(exercise__practice_for=user)
        clubs = reached_by(user)
        found = self.in_force().filter(mine, exercise__club__in=clubs)
        return found.filter(exercise__kept_back=False).defer("key")

    def known_to(self, user):
        """What is visible to the person, and what was withdrawn or kept back after they had begun it."""
        own = Q(
            attempts__trainee=user,
            attempts__preview=False,
            attempts__withheld=False,
        )
        begun = Revision.objects.filter(own).values("exercise")
        withdrawn = Q(state=Revision.State.WITHDRAWN, exercise__in=begun)
        offered = Q(state=Revision.State.PUBLISHED, exercise__kept_back=False)
        kept_back = Q(state=Revision.State.PUBLISHED, exercise__in=begun)
        mine = Q(exercise__practice_for=None) | Q(exercise__practice_for=user)
        found = self.filter(mine, offered | kept_back | withdrawn)
        clubs = reached_by(user)
        return found.filter(exercise__club__in=clubs).defer("key").order_by("-number")

    def shared_with(self, user):
        """Revisions in force in the person's clubs to practise on; what was made for one person is left out."""
        clubs = reached_by(user)
        return self.in_force().filter(
            exercise__practice_for=None,
            exercise__kept_back=False,
            exercise__club__in=clubs,
        )

    def shared(self):
        """Revisions of a club's exercises, and not of one person's."""
        return self.filter(exercise__practice_for=None)

    def editable_by(self, user):
        taught = reached_by(user, Role.MENTOR)
        return self.shared().filter(exercise__club__in=taught)

    def offered_to(self, user):
        """Drafts that other mentors of the person's clubs offer for review, the longest waiting first."""
        mine = self.editable_by(user).filter(state=Revision.State.DRAFT)
        offered = mine.filter(offered_at__isnull=False).exclude(offered_by=user)
        return offered.select_related("offered_by").order_by("offered_at")

    def for_list(self):
        """What a list of classes shows, and nothing of content or key."""
        return self.select_related("exercise__module__breed", "exercise__club").defer(
            "content", "key"
        )

    def rows(self, *more, **named):
        """What a list says of a class, as plain rows, with more columns where they are asked for."""
        return self.values(
            "exercise_id",
            "title",
            "size",
            "difficulty",
            "pace_seconds",
            *more,
            kind=F("exercise__kind"),
            breed=F("exercise__module__breed__name"),
            **named,
        )


class Revision(models.Model):
    """One state of an exercise with its key. Attempts stay with the revision they were begun on."""

    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        PUBLISHED = "published", _("in force")
        SUPERSEDED = "superseded", _("superseded")
        WITHDRAWN = "withdrawn", _("withdrawn")

    class Difficulty(models.TextChoices):
        PLAIN = "plain", _("plain")
        MIDDLING = "middling", _("middling")
        CLOSE = "close", _("close")

    exercise = models.ForeignKey(
        Exercise, on_delete=models.CASCADE, related_name="revisions"
    )
    module_revision = models.ForeignKey(
        ModuleRevision, on_delete=models.PROTECT, related_name="+"
    )
    number = models.PositiveIntegerField(_("revision"), default=1)
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    title = models.CharField(_("title"), max_length=120)
    note = models.TextField(_("note for trainees"), blank=True)
    difficulty = models.CharField(
        _("how close it is"),
        max_length=8,
        choices=Difficulty,
        default=Difficulty.MIDDLING,
    )
    pace_seconds = models.PositiveSmallIntegerField(
        _("seconds per dog"),
        null=True,
        blank=True,
        validators=[MinValueValidator(20), MaxValueValidator(900)],
    )
    content = models.JSONField(default=dict)
    key = models.JSONField(default=dict)
    size = models.PositiveSmallIntegerField(default=0, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    edited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    edited_at = models.DateTimeField(auto_now=True)
    published_at = models.DateTimeField(null=True, blank=True)
    # The draft is offered to the other mentors for review; a later save ends that.
    offered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    offered_at = models.DateTimeField(null=True, blank=True)
    handed_in = models.PositiveIntegerField(default=0, editable=False)
    graded = models.PositiveIntegerField(default=0, editable=False)
    share_sum = models.FloatField(default=0, editable=False)

    objects = RevisionQuerySet.as_manager()

    class Meta:
        ordering = ["exercise", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["exercise", "number"], name="quizzes_revision_number_once"
            ),
            models.UniqueConstraint(
                fields=["exercise"],
                condition=Q(state="published"),
                name="quizzes_revision_one_in_force",
            ),
            models.UniqueConstraint(
                fields=["exercise"],
                condition=Q(state="draft"),
                name="quizzes_revision_one_draft",
            ),
            models.CheckConstraint(
                condition=Q(state="draft") | Q(published_at__isnull=False),
                name="quizzes_revision_published_dated",
            ),
            models.CheckConstraint(
                condition=Q(pace_seconds__isnull=True)
                | Q(pace_seconds__gte=20, pace_seconds__lte=900),
                name="quizzes_revision_pace_sane",
                violation_error_message=_(
                    "Give between 20 and 900 seconds per dog, or leave it empty for no clock."
                ),
            ),
        ]

    def __str__(self):
        return self.title

    @property
    def graded_again(self) -> int:
        """How many attempts at earlier revisions have a grade under this one's key."""
        return self.grades.exclude(attempt__revision=self).count()

    @property
    def mean_share(self) -> float | None:
        """Mean share of agreed pairs over the graded attempts; None while there is none."""
        return self.share_sum / self.graded if self.graded else None
