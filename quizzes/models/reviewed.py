"""What a person comes back to, and which priorities their placings reward; a row each, kept up to date."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F

from trainer.study.models import Module


class ReviewQuerySet(models.QuerySet):
    def owned_by(self, user):
        return self.filter(person=user)

    def due(self, now):
        """What should be looked at again by then, the longest waiting first."""
        return self.filter(due_at__lte=now).order_by("due_at", "pk")


class Review(models.Model):
    """When one thing is due again for one person: a priority of a module, or an exercise.

    subject : "priority:" and its slug, or "exercise:" and its number
    card : the scheduler's own values
    share : how much of the last answer that concerned it was as the key has it, 0 to 1
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="reviews"
    )
    module = models.ForeignKey(Module, on_delete=models.CASCADE, related_name="+")
    subject = models.CharField(max_length=80)
    card = models.JSONField()
    share = models.FloatField()
    times = models.PositiveIntegerField(default=0)
    due_at = models.DateTimeField()

    objects = ReviewQuerySet.as_manager()

    class Meta:
        ordering = ["due_at", "pk"]
        indexes = [models.Index(fields=["person", "due_at"], name="quizzes_review_due")]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "module", "subject"], name="quizzes_review_once"
            )
        ]

    def __str__(self):
        return f"{self.subject}, {self.due_at:%Y-%m-%d}"


class RewardedQuerySet(models.QuerySet):
    def owned_by(self, user):
        return self.filter(person=user)

    def rows(self):
        """As plain rows, with the module's name."""
        return self.values(
            "module_id", "choices", "parts", title=F("module__breed__name")
        )


class Rewarded(models.Model):
    """What one person's placings in one module reward, as they were estimated last.

    choices : how many choices among dogs it rests on
    parts : by the slug of a priority [share in per cent, low, high]; empty while there is too little
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="rewarded"
    )
    module = models.ForeignKey(Module, on_delete=models.CASCADE, related_name="+")
    choices = models.PositiveIntegerField(default=0)
    parts = models.JSONField(default=dict)
    updated_at = models.DateTimeField(auto_now=True)

    objects = RewardedQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["person", "module"], name="quizzes_rewarded_once"
            )
        ]

    def __str__(self):
        return f"{self.person}, {self.module}"
