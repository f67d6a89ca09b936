"""A seminar and its programme."""

from __future__ import annotations

import secrets
import zoneinfo
from datetime import timedelta

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from trainer.clubs.models import MONTHS_KEPT, Club
from trainer.study.models import Module

SYMBOLS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
"""Of codes that people read aloud: none looks like another. Six of 31 are 29.7 bits (ASVS 6.6.3 asks for 20)."""
CODE_LENGTH = 6
DAYS_BEFORE = 3
ONE_DAY = timedelta(days=1)


def new_join_code() -> str:
    """A code that a room types in: entry to one seminar and nothing more."""
    return "".join(secrets.choice(SYMBOLS) for _ in range(CODE_LENGTH))


def new_link() -> str:
    """A code for links: 192 random bits."""
    return secrets.token_urlsafe(24)


def check_time_zone(name: str) -> None:
    if name not in zoneinfo.available_timezones():
        text = _("%(name)s is no time zone; write it like Europe/Dublin.")
        raise ValidationError(text, code="zone", params={"name": name})


class SeminarQuerySet(models.QuerySet):
    def announced(self):
        """What anybody may read of: announced, over or called off, not in preparation."""
        return self.exclude(state=Seminar.State.PREPARED)

    def visible_to(self, user):
        """Announced seminars for everybody; those being prepared for who leads the club."""
        if not user.is_authenticated:
            return self.announced()
        led = Q(club__in=Club.objects.led_by(user))
        return self.filter(led | ~Q(state=Seminar.State.PREPARED))

    def run_by(self, user):
        """Seminars of the clubs in which the person is an organiser."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(club__in=Club.objects.run_by(user))

    def led_by(self, user):
        """Seminars that the person may run in the room: an organiser of the club, or one of its mentors here."""
        if not user.is_authenticated:
            return self.none()
        teaches = Q(mentors=user, club__in=Club.objects.taught_by(user))
        found = self.filter(Q(club__in=Club.objects.run_by(user)) | teaches)
        return found.distinct()

    def coming(self, now):
        """Announced and not over, the next first."""
        return self.filter(state=Seminar.State.ANNOUNCED, ends_at__gte=now).order_by(
            "starts_at", "pk"
        )

    def of_clubs_of(self, user):
        return self.filter(club__in=Club.objects.joined_by(user))


class Seminar(models.Model):
    """An education seminar of a club. Times are kept in UTC and said in the seminar's own time zone."""

    class State(models.TextChoices):
        PREPARED = "prepared", _("being prepared")
        ANNOUNCED = "announced", _("announced")
        OVER = "over", _("over")
        CALLED_OFF = "called_off", _("called off")

    club = models.ForeignKey(Club, on_delete=models.PROTECT, related_name="seminars")
    title = models.CharField(_("title"), max_length=120)
    about = models.TextField(_("what it is about"), blank=True, max_length=4000)
    state = models.CharField(
        max_length=10, choices=State, default=State.PREPARED, editable=False
    )
    starts_at = models.DateTimeField(_("begins"))
    ends_at = models.DateTimeField(_("ends"))
    time_zone = models.CharField(
        _("time zone"), max_length=60, default="UTC", validators=[check_time_zone]
    )
    place = models.CharField(_("place"), max_length=300, blank=True)
    is_online = models.BooleanField(_("it is held online"), default=False)
    link = models.URLField(
        _("link to join online"),
        blank=True,
        help_text=_("Only those who are enrolled see it."),
    )
    capacity = models.PositiveSmallIntegerField(
        _("places"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(2000)],
        help_text=_("Empty: as many as come. Whoever enrols later waits."),
    )
    fee_note = models.CharField(
        _("fee"),
        max_length=200,
        blank=True,
        help_text=_("In your words, and how it is paid. Nothing is paid on this site."),
    )
    modules = models.ManyToManyField(
        Module, verbose_name=_("study modules"), related_name="seminars", blank=True
    )
    mentors = models.ManyToManyField(
        settings.AUTH_USER_MODEL,
        verbose_name=_("mentors"),
        related_name="mentored_seminars",
        blank=True,
    )
    guests = models.BooleanField(
        _("people without an account may sign in with their name"),
        default=False,
        help_text=_("They get a code of their own to go on with."),
    )
    join_code = models.CharField(max_length=6, default=new_join_code, editable=False)
    # Whoever holds it may subscribe to the feed of what the club's organisers plan.
    feed_code = models.CharField(max_length=40, default=new_link, editable=False)
    months_kept = models.PositiveSmallIntegerField(
        _("months that attendance is kept"),
        default=MONTHS_KEPT,
        validators=[MinValueValidator(1), MaxValueValidator(120)],
        help_text=_("After that names are taken out; counts stay."),
    )
    remind_days = models.PositiveSmallIntegerField(
        _("reminder by mail, days before"),
        default=DAYS_BEFORE,
        validators=[MaxValueValidator(60)],
        help_text=_("By itself, each person once. 0: only when you say so."),
    )
    certificate_words = models.TextField(
        _("words on the certificate"),
        blank=True,
        max_length=600,
        help_text=_(
            "It says attendance and hours, and never that somebody is qualified."
        ),
    )
    emblem = models.TextField(blank=True, editable=False)
    # Counts what calendars have to hear of (RFC 5545, SEQUENCE).
    sequence = models.PositiveIntegerField(default=0, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    updated_at = models.DateTimeField(auto_now=True)

    objects = SeminarQuerySet.as_manager()

    class Meta:
        ordering = ["-starts_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="seminars_seminar_ends_after_start",
                violation_error_message=_("A seminar ends after it begins."),
            ),
            models.UniqueConstraint(
                fields=["join_code"],
                condition=Q(state="announced"),
                name="seminars_seminar_code_once",
            ),
        ]

    def __str__(self):
        return self.title

    def get_absolute_url(self):
        return reverse("seminars:seminar-detail", args=[self.pk])

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.time_zone)

    @property
    def is_announced(self) -> bool:
        return self.state == self.State.ANNOUNCED

    def is_open_for_joining(self, now) -> bool:
        """The room's code lets people in from a day before until the end of the day after."""
        return self.is_announced and self.is_near(now) and now - self.ends_at <= ONE_DAY

    def is_near(self, now) -> bool:
        """From a day before it begins."""
        return self.starts_at - now <= ONE_DAY


class Session(models.Model):
    """One part of the programme, for which attendance is counted."""

    seminar = models.ForeignKey(
        Seminar, on_delete=models.CASCADE, related_name="sessions"
    )
    title = models.CharField(_("title"), max_length=120)
    starts_at = models.DateTimeField(_("begins"))
    ends_at = models.DateTimeField(_("ends"))
    who = models.CharField(_("with"), max_length=120, blank=True)

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="seminars_session_ends_after_start",
                violation_error_message=_(
                    "A part of the programme ends after it begins."
                ),
            )
        ]

    def __str__(self):
        return self.title
