"""Who comes to a seminar, and when they were there."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from trainer.seminars.models.seminars import Seminar, new_link


class AttendeeQuerySet(models.QuerySet):
    def visible_to(self, user):
        """One's own places; all of the seminars that one leads."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(Q(person=user) | Q(seminar__in=Seminar.objects.led_by(user)))

    def editable_by(self, user):
        """Those of the seminars that the person leads."""
        return self.filter(seminar__in=Seminar.objects.led_by(user))

    def owned_by(self, user):
        if not user.is_authenticated:
            return self.none()
        return self.filter(person=user)

    def with_code(self, code):
        """Whoever holds the link of a place that was not given up."""
        found = self.filter(code=code).exclude(state=Attendee.State.WITHDRAWN)
        return found.select_related("seminar__club", "person")

    def enrolled(self):
        return self.filter(state=Attendee.State.ENROLLED)

    def waiting(self):
        """The waiting list, who waits longest first."""
        return self.filter(state=Attendee.State.WAITING).order_by("enrolled_at", "pk")


class Attendee(models.Model):
    """One person's place at a seminar; by account, by the roster, or as a guest by name.

    person : the account; of a guest too, which then has no address and no password
    code : for links that let this attendee in on another device
    """

    class State(models.TextChoices):
        ENROLLED = "enrolled", _("enrolled")
        WAITING = "waiting", _("on the waiting list")
        WITHDRAWN = "withdrawn", _("withdrawn")

    class Came(models.TextChoices):
        SELF = "self", _("enrolled on the site")
        LINK = "link", _("enrolled by an invitation")
        ROSTER = "roster", _("from the roster")
        ROOM = "room", _("signed in in the room")

    seminar = models.ForeignKey(
        Seminar, on_delete=models.CASCADE, related_name="attendees"
    )
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        related_name="attended",
    )
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("e-mail address"), blank=True)
    number = models.CharField(
        _("membership or judge number"), max_length=40, blank=True
    )
    state = models.CharField(max_length=9, choices=State, default=State.ENROLLED)
    came = models.CharField(max_length=6, choices=Came, default=Came.SELF)
    code = models.CharField(
        max_length=40, unique=True, default=new_link, editable=False
    )
    enrolled_at = models.DateTimeField()
    reminded_at = models.DateTimeField(null=True, editable=False)

    objects = AttendeeQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["seminar", "person"], name="seminars_attendee_person_once"
            ),
            models.UniqueConstraint(
                fields=["seminar", "email"],
                condition=~Q(email=""),
                name="seminars_attendee_email_once",
                violation_error_message=_("This address is on the roster already."),
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        """Where the person sees to the place: with an account on the seminar's page, without by the link."""
        if self.has_account:
            return self.seminar.get_absolute_url()
        return reverse("seminars:personal", args=[self.code])

    @property
    def has_account(self) -> bool:
        return self.person is not None and not self.person.is_guest


class PresenceQuerySet(models.QuerySet):
    def editable_by(self, user):
        return self.filter(attendee__in=Attendee.objects.editable_by(user))

    def running(self):
        """Who is in the room: checked in and not out."""
        return self.filter(out_at__isnull=True)


class Presence(models.Model):
    """A stay in the room, from check-in to check-out. Corrections are said with a note.

    out_at : empty as long as the person is there; at the end of the seminar it counts until then
    """

    attendee = models.ForeignKey(
        Attendee, on_delete=models.CASCADE, related_name="stays"
    )
    in_at = models.DateTimeField(_("in"))
    out_at = models.DateTimeField(_("out"), null=True, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )

    objects = PresenceQuerySet.as_manager()

    class Meta:
        ordering = ["in_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(out_at__isnull=True) | Q(out_at__gte=F("in_at")),
                name="seminars_presence_out_after_in",
                violation_error_message=_("Nobody leaves before they came."),
            ),
            models.UniqueConstraint(
                fields=["attendee"],
                condition=Q(out_at__isnull=True),
                name="seminars_presence_one_running",
            ),
        ]

    def __str__(self):
        return f"{self.attendee}, {self.in_at:%H:%M}"
