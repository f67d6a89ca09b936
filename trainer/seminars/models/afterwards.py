"""What is handed out and collected after a seminar."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from trainer.seminars.models.attendees import Attendee
from trainer.seminars.models.seminars import Seminar, new_link


class CertificateQuerySet(models.QuerySet):
    def with_code(self, code):
        """Whoever holds the code sees what the certificate shows."""
        return self.filter(code=code).select_related("seminar__club")

    def editable_by(self, user):
        return self.filter(seminar__in=Seminar.objects.run_by(user))


class Certificate(models.Model):
    """Attendance of one person at one seminar, as it was certified. Never changed: withdrawn and issued anew.

    number : within the club, 1 for its first
    says : everything that stands on it, as a document, so that it stays as it was
    """

    seminar = models.ForeignKey(
        Seminar, on_delete=models.PROTECT, related_name="certificates"
    )
    attendee = models.ForeignKey(
        Attendee, on_delete=models.SET_NULL, null=True, related_name="certificates"
    )
    number = models.PositiveIntegerField()
    code = models.CharField(
        max_length=40, unique=True, default=new_link, editable=False
    )
    says = models.JSONField()
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    why_withdrawn = models.CharField(_("why"), max_length=200, blank=True)

    objects = CertificateQuerySet.as_manager()

    class Meta:
        ordering = ["seminar", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["attendee"],
                condition=Q(withdrawn_at__isnull=True),
                name="seminars_certificate_one_valid",
                violation_error_message=_(
                    "This person has a certificate. Withdraw it before you issue another."
                ),
            )
        ]

    def __str__(self):
        return f"{self.seminar}, {self.number}"


class Feedback(models.Model):
    """What one attendee says of the seminar; the report shows it without the name.

    attendee : so that each says it once and can change it; never shown beside the words
    """

    seminar = models.ForeignKey(
        Seminar, on_delete=models.CASCADE, related_name="feedback"
    )
    attendee = models.OneToOneField(
        Attendee, on_delete=models.SET_NULL, null=True, related_name="feedback"
    )
    useful = models.PositiveSmallIntegerField(
        _("how useful it was"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(5)],
    )
    good = models.TextField(_("what was good"), blank=True, max_length=2000)
    better = models.TextField(_("what could be better"), blank=True, max_length=2000)
    given_at = models.DateTimeField()

    class Meta:
        ordering = ["seminar", "pk"]
        verbose_name_plural = "feedback"

    def __str__(self):
        return f"{self.seminar}, {self.given_at:%Y-%m-%d}"
