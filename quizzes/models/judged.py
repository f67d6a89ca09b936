"""What mentors say beside one another: keys by a panel, and marks of critiques."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from quizzes.models.attempts import (
    Attempt,
)
from quizzes.models.exercises import (
    Exercise,
    Revision,
)


class PanelQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Panels on classes of the clubs that the person teaches in."""
        return self.filter(exercise__in=Exercise.objects.editable_by(user))

    def run_by(self, user):
        """Panels that the person opened and may close; those of nobody, if the opener is gone."""
        return self.visible_to(user).filter(Q(opened_by=user) | Q(opened_by=None))

    def open(self):
        return self.filter(closed_at__isnull=True)


class Panel(models.Model):
    """Several mentors keying the same class, none of whom sees another's key until it is closed.

    The dogs are kept as they were shown, so that all keys are about the same ones.
    """

    exercise = models.ForeignKey(
        Exercise, on_delete=models.CASCADE, related_name="panels"
    )
    content = models.JSONField()
    message = models.TextField(_("message"), blank=True, max_length=1000)
    opened_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True)

    objects = PanelQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["exercise"],
                condition=Q(closed_at__isnull=True),
                name="quizzes_panel_one_open",
                violation_error_message=_("A panel is keying this class already."),
            )
        ]

    def __str__(self):
        return f"{self.exercise}, {self.opened_at:%Y-%m-%d}"

    def get_absolute_url(self):
        return reverse("quizzes:panel", args=[self.exercise_id])

    @property
    def is_open(self) -> bool:
        return self.closed_at is None


class PanelKeyQuerySet(models.QuerySet):
    def asked_of(self, user):
        """Keys that open panels ask of the person, as long as they teach in the club."""
        return self.filter(mentor=user, panel__in=Panel.objects.visible_to(user).open())

    def for_list(self):
        """With the name of the class, and nothing of dogs or keys."""
        newest = Revision.objects.filter(exercise=models.OuterRef("panel__exercise"))
        title = newest.order_by("-number").values("title")[:1]
        return (
            self.annotate(title=models.Subquery(title))
            .select_related("panel__exercise__module__breed", "panel__opened_by")
            .defer("key", "shown", "panel__content")
            .order_by("-panel__opened_at")
        )

    def done(self):
        return self.filter(done_at__isnull=False)

    def told(self):
        """Keys that may be read by others: done, and of a panel that is closed."""
        return self.done().filter(panel__closed_at__isnull=False)


class PanelKey(models.Model):
    """One mentor's key for a panel, saved as they go and done when they say so.

    shown : the dogs in an order of this mentor's own, as an attempt has them
    """

    panel = models.ForeignKey(Panel, on_delete=models.CASCADE, related_name="keys")
    mentor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    shown = models.JSONField()
    key = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=1)
    saved_at = models.DateTimeField(null=True)
    done_at = models.DateTimeField(null=True)

    objects = PanelKeyQuerySet.as_manager()

    class Meta:
        ordering = ["panel", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["panel", "mentor"], name="quizzes_panel_key_once"
            )
        ]

    def __str__(self):
        return f"{self.panel}: {self.mentor}"

    def get_absolute_url(self):
        return reverse("quizzes:panel-key", args=[self.pk])


class MarkQuerySet(models.QuerySet):
    def final(self):
        return self.filter(state=Mark.State.FINAL)

    def returned(self):
        """Marks that the trainee may see."""
        return self.filter(returned_at__isnull=False)


class Mark(models.Model):
    """What one mentor gives for one attempt, row by row of the rubric of its revision.

    A second mark that was asked for and that nobody has taken yet is a draft of nobody.
    points, comments : in the order of the rubric's rows; points are None while not given
    returned_at : when the trainee got to see it
    """

    class Part(models.TextChoices):
        FIRST = "first", _("first mark")
        SECOND = "second", _("second mark")
        AGREED = "agreed", _("agreed mark")

    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        FINAL = "final", _("final")

    attempt = models.ForeignKey(Attempt, on_delete=models.CASCADE, related_name="marks")
    part = models.CharField(max_length=6, choices=Part)
    marker = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    state = models.CharField(max_length=5, choices=State, default=State.DRAFT)
    points = models.JSONField(default=list)
    comments = models.JSONField(default=list)
    overall = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=0)
    saved_at = models.DateTimeField(null=True)
    returned_at = models.DateTimeField(null=True)

    objects = MarkQuerySet.as_manager()

    class Meta:
        ordering = ["attempt", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["attempt", "part"], name="quizzes_mark_part_once"
            ),
            models.UniqueConstraint(
                fields=["attempt"],
                condition=Q(returned_at__isnull=False),
                name="quizzes_mark_one_returned",
            ),
            models.CheckConstraint(
                condition=Q(returned_at__isnull=True) | Q(state="final"),
                name="quizzes_mark_returned_final",
            ),
        ]

    def __str__(self):
        return f"{self.attempt}, {self.get_part_display()}"

    @property
    def is_final(self) -> bool:
        return self.state == self.State.FINAL

    @property
    def total(self) -> int:
        """The points given so far."""
        return sum(points or 0 for points in self.points)
