"""Links that let somebody enrol for a seminar: from outside the club, and without an account."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from trainer.clubs.models import Link, LinkQuerySet
from trainer.seminars.models.seminars import Seminar

MOST_PLACES = 2000


class SeminarInvitationQuerySet(LinkQuerySet):
    def editable_by(self, user):
        return self.filter(seminar__in=Seminar.objects.run_by(user))

    def with_code(self, code):
        """Whoever holds the link may read of the seminar, and enrol as long as it is open."""
        return super().with_code(code).select_related("seminar__club")


class SeminarInvitation(Link):
    """A link to one seminar. Where the seminar is full, whoever comes by it waits.

    places : how many may come by it; None for as many as hold it
    """

    seminar = models.ForeignKey(
        Seminar, on_delete=models.CASCADE, related_name="invitations"
    )
    places = models.PositiveSmallIntegerField(
        _("for how many people"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_PLACES)],
    )

    objects = SeminarInvitationQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(places=None) | Q(used__lte=F("places")),
                name="seminars_invitation_places_kept",
            )
        ]

    def __str__(self):
        return f"{self.seminar}, {self.used}/{self.places or '-'}"

    def get_absolute_url(self):
        return reverse("seminars:invited", args=[self.code])
