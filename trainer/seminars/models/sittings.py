"""What is run in the room: a sitting of one exercise, and each attendee's answer to it."""

from __future__ import annotations

import math
import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from quizzes.models import Revision
from trainer.seminars.models.attendees import Attendee
from trainer.seminars.models.seminars import SYMBOLS, Seminar

GRACE_SECONDS = 20
"""How long after the close an answer that was on its way still counts as in time."""


class SittingQuerySet(models.QuerySet):
    def led_by(self, user):
        """Sittings of the seminars that the person may run in the room."""
        return self.filter(seminar__in=Seminar.objects.led_by(user))

    def attended_by(self, user):
        """Sittings of the seminars at which the person has a place."""
        mine = Attendee.objects.owned_by(user).enrolled()
        return self.filter(seminar__in=mine.values("seminar"))


class Sitting(models.Model):
    """One live run of one exercise. The server's clock decides; `version` counts whatever a screen shows.

    repeats : the sitting of the same exercise before the discussion, for a second placing
    revision : of the exercise; of live dogs the mentor may still set the key, so it can be a draft
    closes_at : when answers stop being taken while it is open; None without a clock, and while it is paused
    left_seconds : what was left when it was paused
    line : what the mentor says on it once it is shown
    """

    class State(models.TextChoices):
        WAITING = "waiting", _("waiting")
        OPEN = "open", _("open")
        PAUSED = "paused", _("paused")
        CLOSED = "closed", _("closed")
        SHOWN = "shown", _("result shown")

    seminar = models.ForeignKey(
        Seminar, on_delete=models.CASCADE, related_name="sittings"
    )
    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="+")
    repeats = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="repeated"
    )
    number = models.PositiveSmallIntegerField(default=1)
    title = models.CharField(_("title"), max_length=120)
    seconds = models.PositiveSmallIntegerField(_("seconds"), null=True, blank=True)
    state = models.CharField(max_length=7, choices=State, default=State.WAITING)
    version = models.PositiveIntegerField(default=1)
    opened_at = models.DateTimeField(null=True, blank=True)
    closes_at = models.DateTimeField(null=True, blank=True)
    left_seconds = models.PositiveIntegerField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    line = models.TextField(_("what you say on it"), blank=True, max_length=1000)
    # Kept with the answers, so that no screen counts them.
    handed_in = models.PositiveIntegerField(default=0)
    result = models.JSONField(null=True, blank=True)

    objects = SittingQuerySet.as_manager()

    class Meta:
        ordering = ["seminar", "number", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["seminar", "number"], name="seminars_sitting_number_once"
            ),
            # One thing at a time: a room has one projector.
            models.UniqueConstraint(
                fields=["seminar"],
                condition=Q(state__in=["open", "paused"]),
                name="seminars_sitting_one_open",
                violation_error_message=_(
                    "Another class is open in this room. Close it first."
                ),
            ),
        ]

    def __str__(self):
        return self.title

    @property
    def is_open(self) -> bool:
        return self.state == self.State.OPEN

    @property
    def is_shown(self) -> bool:
        return self.state == self.State.SHOWN

    @property
    def page(self) -> int:
        """Which page of the result the stage is at, counted from 0."""
        return (self.result or {}).get("page", 0)

    def grace_left(self, now) -> int:
        """Whole seconds in which an answer on its way still counts, once it is closed."""
        if self.state != self.State.CLOSED or self.closed_at is None:
            return 0
        left = GRACE_SECONDS - (now - self.closed_at).total_seconds()
        return max(math.ceil(left), 0)

    def seconds_left(self, now) -> int | None:
        """Whole seconds until it closes, never below 0; None without a clock."""
        if self.state == self.State.PAUSED:
            return self.left_seconds
        if not self.is_open or self.closes_at is None:
            return None
        return max(int((self.closes_at - now).total_seconds()), 0)


class HandQuerySet(models.QuerySet):
    def owned_by(self, user):
        return self.filter(attendee__in=Attendee.objects.owned_by(user))

    def handed_in(self):
        return self.filter(handed_in_at__isnull=False)

    def counted(self):
        """What was handed in, and in time."""
        return self.handed_in().filter(is_late=False)


class Hand(models.Model):
    """One attendee's answer in a sitting, saved as it is made and handed in once.

    shown : what the exercise's kind shows this attendee, as an attempt has it
    submission : made by the phone; the same one sent twice is stored once
    share : of the answer as the key has it, once it is graded; grade : the whole, as the kind has it
    """

    sitting = models.ForeignKey(Sitting, on_delete=models.CASCADE, related_name="hands")
    attendee = models.ForeignKey(
        Attendee, on_delete=models.CASCADE, related_name="hands"
    )
    shown = models.JSONField(default=dict)
    answer = models.JSONField(default=dict)
    submission = models.UUIDField(unique=True, default=uuid.uuid4)
    version = models.PositiveIntegerField(default=0)
    saved_at = models.DateTimeField(null=True, blank=True)
    handed_in_at = models.DateTimeField(null=True, blank=True)
    is_late = models.BooleanField(default=False)
    # Typed in by a clerk from a paper card.
    clerk = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    share = models.FloatField(null=True)
    grade = models.JSONField(null=True)
    # When the person's reviews heard of it.
    noted_at = models.DateTimeField(null=True, editable=False)

    objects = HandQuerySet.as_manager()

    class Meta:
        ordering = ["sitting", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["sitting", "attendee"], name="seminars_hand_once"
            ),
            models.CheckConstraint(
                condition=Q(is_late=False) | Q(handed_in_at__isnull=False),
                name="seminars_hand_late_is_in",
            ),
        ]
        indexes = [
            models.Index(
                F("sitting"), F("handed_in_at"), name="seminars_hand_handed_in"
            )
        ]

    def __str__(self):
        return f"{self.attendee}, {self.sitting}"

    @property
    def receipt(self) -> str:
        """Four symbols to compare by word of mouth: the same for the same submission."""
        n, base = self.submission.int, len(SYMBOLS)
        return "".join(SYMBOLS[n // base**at % base] for at in range(4))
