"""Attempts at a revision, their grades, and running tallies of both."""

from __future__ import annotations

import uuid
from collections import Counter
from functools import reduce
from operator import or_

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from quizzes.models.exercises import (
    Exercise,
    Revision,
    protect_unless_practice,
)


def in_assessment(user):
    """Ids of the exercises that a try of the person's asks, from its beginning until its results are released."""
    asked = Attempt.objects.filter(
        trainee=user, withheld=True, assessment_try__released_at=None
    )
    return asked.order_by().values("revision__exercise")


class AttemptQuerySet(models.QuerySet):
    def owned_by(self, user):
        """The person's own attempts, without previews and what is held back in an assessment."""
        return self.filter(trainee=user, preview=False, withheld=False)

    def told_to(self, user):
        """Without what would tell the person the key of something that their own try at an assessment asks."""
        return self.exclude(revision__exercise__in=in_assessment(user))

    def answerable_by(self, user):
        """Attempts the person may work on: their own, previews included."""
        return self.filter(trainee=user)

    def visible_to(self, user):
        """The person's own attempts; those handed in on exercises they teach."""
        taught = Q(
            revision__exercise__in=Exercise.objects.editable_by(user),
            state=Attempt.State.HANDED_IN,
            preview=False,
        )
        return self.filter(Q(trainee=user) | taught)

    def done_by_exercise(self) -> dict[int, list[int]]:
        """For each exercise that was begun: attempts handed in, and attempts open."""
        rows = (
            self.order_by()
            .values_list("revision__exercise")
            .annotate(
                handed_in=models.Count("pk", filter=Q(state=Attempt.State.HANDED_IN)),
                still_open=models.Count("pk", filter=Q(state=Attempt.State.OPEN)),
            )
        )
        return {exercise: counts for exercise, *counts in rows}

    def for_player(self):
        """Everything the page of an open attempt needs in one query; the key stays behind."""
        return self.select_related(
            "revision__exercise__module__breed", "assessment_try"
        ).defer("revision__key")

    def for_result(self):
        """An attempt with its revision, key and all its grades."""
        grades = Grade.objects.select_related("revision").defer(
            "revision__content", "revision__key"
        )
        return self.select_related(
            "trainee",
            "revision__exercise__module__breed",
            "revision__module_revision__author",
        ).prefetch_related(models.Prefetch("grades", grades))

    def shared(self):
        """Attempts at exercises of a club, and not at those made for one person."""
        return self.filter(revision__exercise__practice_for=None)

    def practice(self):
        """Attempts at exercises made for one person."""
        return self.filter(revision__exercise__practice_for__isnull=False)

    def begun(self):
        """Attempts that are open, the latest first, as plain rows."""
        return (
            self.filter(state=Attempt.State.OPEN)
            .order_by("-started_at", "-pk")
            .values(
                "pk",
                "started_at",
                title=F("revision__title"),
                kind=F("revision__exercise__kind"),
                breed=F("revision__exercise__module__breed__name"),
                difficulty=F("revision__difficulty"),
                practice_for=F("revision__exercise__practice_for"),
            )
        )

    def finished(self):
        """Attempts that were handed in, newest first."""
        handed_in = self.filter(state=Attempt.State.HANDED_IN)
        return handed_in.order_by("-handed_in_at", "-pk")

    def rows(self):
        """Attempts that were handed in, newest first, as plain rows for `attempts.with_grades`."""
        return self.finished().values(
            "pk",
            "handed_in_at",
            "revision_id",
            kind=F("revision__exercise__kind"),
            title=F("revision__title"),
        )

    def for_list(self):
        """Attempts that were handed in, newest first, with their grades."""
        # In no order, which would join two tables.
        grades = Grade.objects.defer("result").annotate(short=F("result__short"))
        return (
            self.filter(state=Attempt.State.HANDED_IN)
            .select_related("revision__exercise")
            .defer("shown", "answer", "revision__content", "revision__key")
            .prefetch_related(models.Prefetch("grades", grades.order_by()))
            .order_by("-handed_in_at", "-pk")
        )


class Attempt(models.Model):
    """One person's answer to one exercise, saved as they go and handed in once."""

    class State(models.TextChoices):
        OPEN = "open", _("open")
        HANDED_IN = "handed_in", _("handed in")

    revision = models.ForeignKey(
        Revision, on_delete=protect_unless_practice, related_name="attempts"
    )
    trainee = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        related_name="attempts",
    )
    state = models.CharField(max_length=9, choices=State, default=State.OPEN)
    preview = models.BooleanField(default=False, editable=False)
    number = models.PositiveIntegerField(default=1, editable=False)
    shown = models.JSONField(default=dict)
    answer = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=0)
    submission = models.UUIDField(unique=True, default=uuid.uuid4)
    started_at = models.DateTimeField()
    saved_at = models.DateTimeField(null=True, blank=True)
    handed_in_at = models.DateTimeField(null=True, blank=True)
    extra_seconds = models.PositiveIntegerField(default=0)
    # Part of a try at an assessment, and the item of it that is answered.
    assessment_try = models.ForeignKey(
        "quizzes.AssessmentTry",
        on_delete=models.CASCADE,
        null=True,
        related_name="attempts",
        editable=False,
    )
    assessment_item = models.ForeignKey(
        "quizzes.AssessmentItem",
        on_delete=models.PROTECT,
        null=True,
        related_name="attempts",
        editable=False,
    )
    # Shown on the assessment's own pages only: its results are not released, or it has none.
    withheld = models.BooleanField(default=False, editable=False)

    objects = AttemptQuerySet.as_manager()

    class Meta:
        ordering = ["-started_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "trainee", "preview"],
                condition=Q(state="open", assessment_try=None),
                name="quizzes_attempt_one_open",
                violation_error_message=_("You have this class open already."),
            ),
            models.UniqueConstraint(
                fields=["assessment_try", "assessment_item"],
                name="quizzes_attempt_item_once",
            ),
            models.CheckConstraint(
                condition=Q(assessment_try=None, assessment_item=None, withheld=False)
                | Q(assessment_try__isnull=False, assessment_item__isnull=False),
                name="quizzes_attempt_of_try",
            ),
            models.CheckConstraint(
                condition=Q(state="open", handed_in_at__isnull=True)
                | Q(state="handed_in", handed_in_at__isnull=False),
                name="quizzes_attempt_handed_in_dated",
            ),
        ]
        indexes = [
            models.Index(
                fields=["trainee", "-handed_in_at"], name="quizzes_attempt_history"
            )
        ]

    def __str__(self):
        return f"{self.trainee}: {self.revision}"

    def get_absolute_url(self):
        name = (
            "quizzes:attempt-result" if self.is_handed_in else "quizzes:attempt-answer"
        )
        return reverse(name, args=[self.pk])

    @property
    def is_handed_in(self) -> bool:
        return self.state == self.State.HANDED_IN

    def may_tell(self, user) -> bool:
        """Whether its pages may tell the person what an answer is compared with."""
        mine = Attempt.objects.filter(pk=self.pk)
        return self.is_handed_in and mine.told_to(user).exists()

    @property
    def own_grade(self):
        """The grade under the revision that was answered; None while it is not handed in."""
        return next(
            (
                grade
                for grade in self.grades.all()
                if grade.revision_id == self.revision_id
            ),
            None,
        )

    @property
    def later_grade(self):
        """The grade under the latest key that came after the one answered; None without one."""
        later = [g for g in self.grades.all() if g.revision_id > self.revision_id]
        return max(later, key=lambda grade: grade.revision_id, default=None)

    @property
    def seconds_allowed(self) -> int | None:
        """The pace times the dogs, with what was asked for on top; None without a clock."""
        # In an assessment one clock is enough: that of the whole.
        pace = None if self.assessment_try_id else self.revision.pace_seconds
        return pace * self.revision.size + self.extra_seconds if pace else None

    def seconds_left(self, now) -> int | None:
        """Whole seconds until the time is up; negative once it is; None without a clock."""
        allowed = self.seconds_allowed
        return (
            None
            if allowed is None
            else allowed - int((now - self.started_at).total_seconds())
        )


class Grade(models.Model):
    """What one attempt earned under one revision's key, kept as it was computed.

    The first is under the revision that was answered; a changed key may add another, and the old one stays.
    """

    attempt = models.ForeignKey(
        Attempt, on_delete=models.CASCADE, related_name="grades"
    )
    revision = models.ForeignKey(
        Revision, on_delete=protect_unless_practice, related_name="grades"
    )
    graded_at = models.DateTimeField()
    share = models.FloatField(null=True)
    pairs_agreed = models.FloatField(default=0)
    pairs_counted = models.PositiveSmallIntegerField(default=0)
    chance = models.FloatField(null=True)
    result = models.JSONField()

    class Meta:
        ordering = ["attempt", "revision__number"]
        constraints = [
            models.UniqueConstraint(
                fields=["attempt", "revision"], name="quizzes_grade_once_per_key"
            ),
            models.CheckConstraint(
                condition=Q(share__isnull=True) | Q(share__gte=0, share__lte=1),
                name="quizzes_grade_share_unit",
            ),
            models.CheckConstraint(
                condition=Q(chance__isnull=True) | Q(chance__gt=0, chance__lte=1),
                name="quizzes_grade_chance_unit",
            ),
        ]

    def __str__(self):
        return f"{self.attempt}: {self.pairs_agreed} of {self.pairs_counted}"


class TallyQuerySet(models.QuerySet):
    def add(self, revision, marks):
        """Count each (item, value) once more; rows are made where they are missing."""
        marks = list(marks)
        self.bulk_create(
            [
                Tally(revision=revision, item=item, value=value, count=0)
                for item, value in marks
            ],
            ignore_conflicts=True,
        )
        times = Counter(marks)
        for n in set(times.values()):
            alike = [Q(item=i, value=v) for (i, v), m in times.items() if m == n]
            found = self.filter(reduce(or_, alike), revision=revision)
            found.update(count=F("count") + n)


class Tally(models.Model):
    """How often an item got a value over all attempts at a revision, so that no page counts attempts."""

    revision = models.ForeignKey(
        Revision, on_delete=models.CASCADE, related_name="tallies"
    )
    item = models.CharField(max_length=20)
    value = models.CharField(max_length=20)
    count = models.PositiveIntegerField(default=0)

    objects = TallyQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "tallies"
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "item", "value"], name="quizzes_tally_once"
            )
        ]

    def __str__(self):
        return f"{self.item} {self.value}: {self.count}"
