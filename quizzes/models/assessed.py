"""Assessments: exercises put together by a mentor, and each person's tries at them, timed by the server."""

from __future__ import annotations

from datetime import timedelta

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from quizzes.models.attempts import Attempt
from quizzes.models.exercises import Exercise
from trainer.clubs.models import Role, reached_by
from trainer.study.models import Module

GRACE = timedelta(seconds=60)
"""After the time is up, for answers that were on their way."""
LONGEST = 600
MOST_TRIES = 20
MOST_COUNT = 20


class AssessmentQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Assessments of the person's clubs that are open, or have been."""
        clubs = reached_by(user)
        return self.filter(module__club__in=clubs).exclude(state=Assessment.State.DRAFT)

    def editable_by(self, user):
        return self.filter(module__club__in=reached_by(user, Role.MENTOR))

    def open_now(self, now):
        """Assessments that can be begun at that time."""
        return self.filter(
            Q(opens_at=None) | Q(opens_at__lte=now),
            Q(closes_at=None) | Q(closes_at__gt=now),
            state=Assessment.State.OPEN,
        )


class Assessment(models.Model):
    """What is asked, how long it takes and how often it may be tried; changed as a draft only.

    minutes : how long a try may take; None without a limit
    pass_per_cent : the mark, in per cent of the points; None where none is set
    """

    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        OPEN = "open", _("open")
        CLOSED = "closed", _("closed")

    class Release(models.TextChoices):
        AT_ONCE = "at_once", _("as soon as a try is handed in")
        BY_MENTOR = "by_mentor", _("when a mentor releases them")

    module = models.ForeignKey(
        Module,
        on_delete=models.PROTECT,
        related_name="assessments",
        verbose_name=_("study module"),
    )
    title = models.CharField(_("title"), max_length=120)
    note = models.TextField(_("note for trainees"), blank=True)
    minutes = models.PositiveSmallIntegerField(
        _("minutes"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(LONGEST)],
    )
    pass_per_cent = models.PositiveSmallIntegerField(
        _("mark to reach, in per cent of the points"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
    )
    tries = models.PositiveSmallIntegerField(
        _("tries for each person"),
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_TRIES)],
    )
    release = models.CharField(
        _("results are shown"),
        max_length=9,
        choices=Release,
        default=Release.BY_MENTOR,
    )
    opens_at = models.DateTimeField(_("opens"), null=True, blank=True)
    closes_at = models.DateTimeField(_("last moment to begin"), null=True, blank=True)
    state = models.CharField(max_length=6, choices=State, default=State.DRAFT)
    version = models.PositiveIntegerField(default=1, editable=False)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    edited_at = models.DateTimeField(auto_now=True)

    objects = AssessmentQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes=None) | Q(minutes__gte=1, minutes__lte=LONGEST),
                name="quizzes_assessment_minutes_sane",
            ),
            models.CheckConstraint(
                condition=Q(pass_per_cent=None)
                | Q(pass_per_cent__gte=1, pass_per_cent__lte=100),
                name="quizzes_assessment_pass_sane",
            ),
            models.CheckConstraint(
                condition=Q(tries__gte=1, tries__lte=MOST_TRIES),
                name="quizzes_assessment_tries_sane",
            ),
            models.CheckConstraint(
                condition=Q(opens_at=None)
                | Q(closes_at=None)
                | Q(closes_at__gt=F("opens_at")),
                name="quizzes_assessment_closes_after",
                violation_error_message=_("It closes before it opens."),
            ),
        ]

    def __str__(self):
        return self.title

    def get_absolute_url(self):
        return reverse("quizzes:assessment", args=[self.pk])

    @property
    def is_draft(self) -> bool:
        return self.state == self.State.DRAFT

    def takes(self, now) -> bool:
        """Whether somebody may begin at that time."""
        return (
            self.state == self.State.OPEN
            and (self.opens_at is None or self.opens_at <= now)
            and (self.closes_at is None or now < self.closes_at)
        )


class AssessmentItem(models.Model):
    """One exercise of an assessment: one that is published, or a class made anew for each person.

    wish : size, difficulty and sex of the class that is made; None for a published exercise
    counts : how much it counts beside the others
    """

    assessment = models.ForeignKey(
        Assessment, on_delete=models.CASCADE, related_name="items"
    )
    number = models.PositiveSmallIntegerField()
    exercise = models.ForeignKey(
        Exercise, on_delete=models.PROTECT, null=True, related_name="+"
    )
    wish = models.JSONField(null=True)
    counts = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(MOST_COUNT)]
    )

    class Meta:
        ordering = ["assessment", "number", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "exercise"],
                name="quizzes_assessmentitem_once",
                violation_error_message=_(
                    "This exercise is in the assessment already."
                ),
            ),
            models.CheckConstraint(
                condition=Q(exercise__isnull=True, wish__isnull=False)
                | Q(exercise__isnull=False, wish__isnull=True),
                name="quizzes_assessmentitem_one_source",
            ),
            models.CheckConstraint(
                condition=Q(counts__gte=1, counts__lte=MOST_COUNT),
                name="quizzes_assessmentitem_counts_sane",
            ),
        ]

    def __str__(self):
        return f"{self.assessment}, {self.number}"


class Allowance(models.Model):
    """What one person gets beyond the others in one assessment; for them and the mentors to see."""

    assessment = models.ForeignKey(
        Assessment, on_delete=models.CASCADE, related_name="allowances"
    )
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="allowances"
    )
    minutes = models.PositiveSmallIntegerField(
        _("minutes more"), default=0, validators=[MaxValueValidator(LONGEST)]
    )
    tries = models.PositiveSmallIntegerField(
        _("tries more"), default=0, validators=[MaxValueValidator(MOST_TRIES)]
    )

    class Meta:
        ordering = ["assessment", "person"]
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "person"], name="quizzes_allowance_once"
            )
        ]

    def __str__(self):
        return f"{self.assessment}: {self.person}"


class AssessmentTryQuerySet(models.QuerySet):
    def owned_by(self, user):
        return self.filter(person=user)

    def taught_by(self, user):
        """Tries at assessments of the clubs in which the person is a mentor."""
        taught = reached_by(user, Role.MENTOR)
        return self.filter(assessment__module__club__in=taught)

    def open(self):
        return self.filter(handed_in_at=None)

    def due(self, now):
        """Open tries whose time is up, and the grace after it."""
        return self.open().filter(deadline__lt=now - GRACE)


class AssessmentTry(models.Model):
    """One person's go at an assessment. It holds an attempt at each item, begun with it.

    deadline : by the server's clock, the person's extra minutes included; None without a limit
    by_time : it was closed because the time was up
    """

    assessment = models.ForeignKey(
        Assessment, on_delete=models.PROTECT, related_name="all_tries"
    )
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="assessment_tries",
    )
    number = models.PositiveSmallIntegerField(default=1)
    started_at = models.DateTimeField()
    deadline = models.DateTimeField(null=True)
    handed_in_at = models.DateTimeField(null=True)
    by_time = models.BooleanField(default=False)
    released_at = models.DateTimeField(null=True)

    objects = AssessmentTryQuerySet.as_manager()

    class Meta:
        ordering = ["-started_at", "-pk"]
        indexes = [models.Index(fields=["deadline"], name="quizzes_try_deadline")]
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "person", "number"],
                name="quizzes_try_number_once",
            ),
            models.UniqueConstraint(
                fields=["assessment", "person"],
                condition=Q(handed_in_at=None),
                name="quizzes_try_one_open",
            ),
            models.CheckConstraint(
                condition=Q(released_at=None) | Q(handed_in_at__isnull=False),
                name="quizzes_try_released_handed_in",
            ),
        ]

    def __str__(self):
        return f"{self.person}: {self.assessment}, {self.number}"

    def get_absolute_url(self):
        return reverse("quizzes:try", args=[self.pk])

    @property
    def is_open(self) -> bool:
        return self.handed_in_at is None

    @property
    def grace_until(self):
        """Until when answers that were on their way are taken; None without a limit."""
        return self.deadline and self.deadline + GRACE

    def seconds_left(self, now) -> int | None:
        """Whole seconds until the time is up, at least 0; None without a limit."""
        if self.deadline is None:
            return None
        return max(int((self.deadline - now).total_seconds()), 0)

    def is_over(self, now) -> bool:
        """Whether the time is up; answers may still be on their way."""
        return self.deadline is not None and now > self.deadline

    def takes(self, now) -> bool:
        """Whether an answer that arrives at that time counts."""
        return self.is_open and (self.deadline is None or now <= self.grace_until)


class LateAnswer(models.Model):
    """An answer that arrived after its try was closed: kept and marked, and counted if a mentor says so.

    before : the answer that stood when the try was closed, once this one counts in its place
    """

    attempt = models.OneToOneField(
        Attempt, on_delete=models.CASCADE, related_name="late_answer"
    )
    answer = models.JSONField()
    arrived_at = models.DateTimeField()
    counted_at = models.DateTimeField(null=True)
    before = models.JSONField(null=True)

    def __str__(self):
        return f"{self.attempt}, {self.arrived_at:%H:%M:%S}"
