"""Clubs, who belongs to them, and who may see and write what."""

import secrets
from collections import defaultdict

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

MONTHS_KEPT = 24


class Role(models.TextChoices):
    TRAINEE = "trainee", _("trainee")
    MENTOR = "mentor", _("mentor")
    ORGANISER = "organiser", _("organiser")

    @property
    def in_sentence(self):
        """With its article: "as a trainee"."""
        words = {"trainee": _("a trainee"), "mentor": _("a mentor")}
        return words.get(self.value, _("an organiser"))


def reached_by(user, *roles):
    """Ids of the clubs in which the person holds one of the roles (any, if none is named).

    To filter by: a list where the page has read the roles already (`roles_held`, see
    RolesOnce), a subquery elsewhere. All clubs for site staff.
    """
    if not user.is_authenticated:
        return []
    if user.is_staff:
        return Club.objects.order_by().values_list("pk", flat=True)
    held = getattr(user, "roles_held", None)
    if held is not None:
        return [club for club, own in held.items() if not roles or own & set(roles)]
    rows = Membership.objects.filter(user=user).order_by()
    if roles:
        rows = rows.filter(role__in=roles)
    return rows.values_list("club", flat=True)


class ClubQuerySet(models.QuerySet):
    """Who reaches what in which club; `reached_by` is the one place that says so."""

    def with_role(self, user, *roles):
        """Clubs in which the person holds one of the roles (any, if none is named).

        All clubs for site staff.
        """
        return self.filter(pk__in=reached_by(user, *roles))

    def joined_by(self, user):
        """Clubs the person belongs to, in whatever role."""
        return self.with_role(user)

    def taught_by(self, user):
        """Clubs in which the person is a mentor.

        There the person may write modules and exercises, and see attempts.
        """
        return self.with_role(user, Role.MENTOR)

    def run_by(self, user):
        """Clubs in which the person is an organiser: may invite, and give roles."""
        return self.with_role(user, Role.ORGANISER)

    def led_by(self, user):
        """Clubs whose members the person sees: as a mentor or as an organiser."""
        return self.with_role(user, Role.MENTOR, Role.ORGANISER)

    def for_list(self, user):
        """With the person's own roles in each club (`held`), the oldest first."""
        own = Membership.objects.filter(user=user).order_by("since", "pk")
        return self.prefetch_related(
            models.Prefetch("memberships", own, to_attr="held")
        )


class Club(models.Model):
    name = models.CharField(_("name"), max_length=120, unique=True)
    slug = models.SlugField(_("short name"), unique=True)
    about = models.TextField(_("about the club"), blank=True)
    second_mentor = models.BooleanField(
        _("a second mentor looks at a module or a class before it is published"),
        default=False,
        help_text=_("Another mentor than the one who offers it puts it in force."),
    )
    months_kept = models.PositiveSmallIntegerField(
        _("months that attendance at seminars is kept"),
        default=MONTHS_KEPT,
        validators=[MinValueValidator(1), MaxValueValidator(120)],
        help_text=_(
            "Of seminars that are made from now on; each can say otherwise. After that names are taken out of who was "
            "there, and counts stay."
        ),
    )
    members = models.ManyToManyField(
        settings.AUTH_USER_MODEL, through="Membership", related_name="clubs"
    )

    objects = ClubQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("clubs:club-detail", args=[self.slug])

    def people(self):
        """Everybody in the club by name, each with the roles held here (`held`)."""
        here = Membership.objects.filter(club=self)
        return (
            self.members.distinct()
            .order_by("name", "pk")
            .prefetch_related(models.Prefetch("memberships", here, to_attr="held"))
        )


class MembershipQuerySet(models.QuerySet):
    def roles_by_club(self, user) -> dict[int, set[str]]:
        """Which roles the person holds, by the club's id."""
        held = defaultdict(set)
        own = self.filter(user=user).order_by()
        for club, role in own.values_list("club", "role"):
            held[club].add(role)
        return held

    def visible_to(self, user):
        """A club's mentors and organisers see who belongs; everybody sees their own."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(Q(club__in=Club.objects.led_by(user)) | Q(user=user))

    def editable_by(self, user):
        return self.filter(club__in=Club.objects.run_by(user))


class Membership(models.Model):
    """One role of one person in one club; several roles are several rows."""

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="memberships")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="memberships"
    )
    role = models.CharField(_("role"), max_length=10, choices=Role)
    since = models.DateTimeField(default=timezone.now, editable=False)

    objects = MembershipQuerySet.as_manager()

    class Meta:
        ordering = ["user__name", "role"]
        constraints = [
            models.UniqueConstraint(
                fields=["club", "user", "role"],
                name="clubs_membership_role_once",
                violation_error_message=_(
                    "This person holds that role in the club already."
                ),
            ),
            models.CheckConstraint(
                condition=Q(role__in=Role.values), name="clubs_membership_role_known"
            ),
        ]

    def __str__(self):
        return f"{self.user}, {self.get_role_display()}, {self.club}"


def new_code() -> str:
    """A code for a link: 192 random bits."""
    return secrets.token_urlsafe(24)


class LinkQuerySet(models.QuerySet):
    def with_code(self, code):
        """Whoever holds the link may see what it offers; the code is the key to it."""
        return self.filter(code=code)

    def open(self, now):
        """Links that still admit somebody."""
        is_left = Q(places=None) | Q(used__lt=F("places"))
        return self.filter(is_left, expires_at__gt=now)


class Link(models.Model):
    """What admits whoever holds it, until a moment and at most so many people: to a club, to a seminar.

    places : of the link that is made of it; None for as many as hold it
    """

    code = models.CharField(
        max_length=40, unique=True, default=new_code, editable=False
    )
    used = models.PositiveSmallIntegerField(default=0, editable=False)
    note = models.CharField(_("for whom"), max_length=80, blank=True)
    expires_at = models.DateTimeField(_("valid until"))
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    places: models.Field

    class Meta:
        abstract = True

    @property
    def places_left(self) -> int | None:
        return None if self.places is None else self.places - self.used

    def is_open(self, now) -> bool:
        """Whether the link still admits somebody."""
        return self.places_left != 0 and now < self.expires_at


class InvitationQuerySet(LinkQuerySet):
    def editable_by(self, user):
        return self.filter(club__in=Club.objects.run_by(user))

    def with_code(self, code):
        return super().with_code(code).select_related("club")


class Invitation(Link):
    """A link that gives a role in a club.

    It works once for mentors and organisers, and for a group of trainees.
    """

    MOST_PLACES = 200

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="invitations")
    role = models.CharField(
        _("role"), max_length=10, choices=Role, default=Role.TRAINEE
    )
    places = models.PositiveSmallIntegerField(
        _("how many people"),
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_PLACES)],
    )

    objects = InvitationQuerySet.as_manager()

    class Meta:
        ordering = ["-expires_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(used__lte=F("places")), name="clubs_invitation_places_kept"
            ),
            models.CheckConstraint(
                condition=Q(role=Role.TRAINEE) | Q(places=1),
                name="clubs_invitation_leaders_one_by_one",
                violation_error_message=_(
                    "Mentors and organisers are invited one at a time, each with a "
                    "link of their own. Give 1 as the number of people."
                ),
            ),
        ]

    def __str__(self):
        return f"{self.club}, {self.get_role_display()}, {self.used}/{self.places}"

    def get_absolute_url(self):
        return reverse("clubs:invitation-accept", args=[self.code])

    @property
    def role_said(self) -> str:
        """As it stands in a sentence: "a trainee"."""
        return Role(self.role).in_sentence
