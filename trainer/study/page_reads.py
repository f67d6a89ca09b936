"""What a person has read of a module: a row for each page they opened, with running tallies."""

from django.conf import settings
from django.db import models
from django.db.models import Count, Sum
from django.utils.translation import gettext_lazy as _

LONGEST_VISIT = 20 * 60
"""Seconds that count of one visit to one page, however long it stays open."""


class PageReadQuerySet(models.QuerySet):
    def owned_by(self, user):
        """What the person has read; nobody else is told."""
        return self.filter(person=user)

    def of(self, user, module_id: int):
        """What the person has read of one module."""
        return self.filter(person_id=user.pk, module_id=module_id)

    def latest_first(self):
        return self.order_by("-opened_at", "-pk")

    def by_module(self):
        """Pages opened and seconds read in each module, the module read last first."""
        return (
            self.order_by()
            .values("module_id", breed=models.F("module__breed__name"))
            .annotate(
                pages=Count("pk"),
                seconds=Sum("seconds"),
                first=models.Min("first_at"),
                last=models.Max("opened_at"),
            )
            .order_by("-last")
        )


class PageRead(models.Model):
    """One page of a module as one person has read it. It never grows with visits.

    slug : of the lesson or priority, the number of a step, empty where a part is one page
    name : the page's heading when it was opened last, for a record that outlasts revisions
    section : of a lesson, the one that was in view last
    visit, visit_seconds : the latest visit, so that a report that comes twice counts once
    answers : of a lesson, for each question in passing the answers chosen, in order
    """

    class Part(models.TextChoices):
        LESSON = "lesson", _("lesson")
        PRIORITY = "priority", _("priority")
        EXAMINATION = "examination", _("examination")
        STEP = "step", _("step of the examination")
        REHEARSAL = "rehearsal", _("rehearsal")
        FAULTS = "faults", _("faults")
        TERMS = "terms", _("terms")

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="pages_read"
    )
    module = models.ForeignKey("study.Module", on_delete=models.CASCADE)
    part = models.CharField(max_length=11, choices=Part)
    slug = models.CharField(max_length=50, blank=True)
    name = models.CharField(max_length=120)
    first_at = models.DateTimeField()
    opened_at = models.DateTimeField()
    times = models.PositiveIntegerField(default=1)
    seconds = models.PositiveIntegerField(default=0)
    section = models.CharField(max_length=40, blank=True)
    visit = models.CharField(max_length=36, blank=True)
    visit_seconds = models.PositiveSmallIntegerField(default=0)
    answers = models.JSONField(default=dict, blank=True)

    objects = PageReadQuerySet.as_manager()

    class Meta:
        app_label = "study"
        constraints = [
            models.UniqueConstraint(
                fields=["person", "module", "part", "slug"],
                name="study_page_read_once",
            )
        ]

    def __str__(self):
        return f"{self.name}, read by {self.person_id}"

    @property
    def key(self) -> tuple[str, str]:
        return self.part, self.slug

    @property
    def minutes(self) -> int:
        """Whole minutes; what took less than half a minute is none."""
        return round(self.seconds / 60)
