"""What a club keeps to make classes and lessons from: drawings, breeds of its own, dogs."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from trainer.clubs.models import Club, Role, reached_by
from trainer.study.models import Module


class DrawingQuerySet(models.QuerySet):
    def visible_to(self, user):
        return self.filter(club__in=Club.objects.joined_by(user))

    def editable_by(self, user):
        return self.filter(club__in=Club.objects.taught_by(user))

    def beside(self, module_id, priority):
        """The drawings that a mentor has put beside a priority of a module, the first one first."""
        return self.filter(module=module_id, priority=priority).order_by("pk")


class Drawing(models.Model):
    """A drawn dog that a mentor keeps, as an illustration of a priority if they like.

    The priority is named by its slug, which stays the same from revision to revision, so that what is
    in force can be illustrated without being touched.
    """

    club = models.ForeignKey(Club, on_delete=models.PROTECT, related_name="drawings")
    module = models.ForeignKey(
        Module, on_delete=models.PROTECT, null=True, related_name="drawings"
    )
    priority = models.SlugField(blank=True)
    name = models.CharField(_("what it shows"), max_length=120)
    view = models.CharField(max_length=5, default="side")
    document = models.JSONField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    made_at = models.DateTimeField(auto_now_add=True)

    objects = DrawingQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(priority="") | Q(module__isnull=False),
                name="quizzes_drawing_priority_of_module",
            )
        ]

    def __str__(self):
        return self.name


class BuildQuerySet(models.QuerySet):
    def visible_to(self, user):
        return self.filter(club__in=Club.objects.joined_by(user))

    def editable_by(self, user):
        return self.filter(club__in=Club.objects.taught_by(user))


class Build(models.Model):
    """How a club draws a breed of its own: a breed that is drawn already, and what departs from it.

    Dogs keep the values they were drawn with, so a class that was made stays as it is when a build changes.
    """

    club = models.ForeignKey(Club, on_delete=models.PROTECT, related_name="builds")
    name = models.CharField(_("name of the breed"), max_length=80)
    base = models.SlugField(help_text=_("A breed of quizzes.plates."))
    values = models.JSONField(default=dict)
    # The module whose classes are drawn so.
    module = models.OneToOneField(
        Module, on_delete=models.PROTECT, null=True, related_name="build"
    )
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    made_at = models.DateTimeField(auto_now=True)

    objects = BuildQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                "club", Lower("name"), name="quizzes_build_name_once"
            )
        ]

    def __str__(self):
        return self.name


class LibraryDogQuerySet(models.QuerySet):
    def editable_by(self, user):
        return self.filter(club__in=reached_by(user, Role.MENTOR))

    def in_use(self):
        """Dogs that were not put away."""
        return self.filter(archived_at__isnull=True)


class LibraryDog(models.Model):
    """A dog that a club's mentors keep, to be copied into many classes; trainees never see it here.

    A class holds its own copy, so that a dog may change here while what is published stays.
    """

    club = models.ForeignKey(
        Club, on_delete=models.PROTECT, related_name="library_dogs"
    )
    module = models.ForeignKey(
        Module,
        on_delete=models.PROTECT,
        related_name="library_dogs",
        verbose_name=_("study module"),
    )
    name = models.CharField(
        _("name"),
        max_length=80,
        help_text=_("For your own use; never shown to trainees."),
    )
    note = models.TextField(
        _("note"),
        blank=True,
        max_length=1000,
        help_text=_("For mentors only. Found by the search."),
    )
    sex = models.CharField(_("sex"), max_length=5, default="dog")
    age_months = models.PositiveSmallIntegerField(null=True)
    ringside = models.TextField(blank=True)
    hands_on = models.TextField(blank=True)
    # By the slug of the module's priorities, 0 (faulty) to 4 (ideal).
    levels = models.JSONField(default=dict)
    # What it is drawn as (quizzes.plates); empty for a dog that is not drawn.
    breed = models.SlugField(blank=True)
    faults = models.JSONField(default=dict)
    coat_seed = models.PositiveIntegerField(default=0)
    mirror = models.BooleanField(default=False)
    build = models.JSONField(default=dict)
    # View -> public id of a photograph of the club.
    pictures = models.JSONField(default=dict)
    credit = models.CharField(_("credit"), max_length=120, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)
    edited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    edited_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, editable=False)

    objects = LibraryDogQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        indexes = [models.Index(fields=["club", "name"], name="quizzes_library_name")]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("quizzes:library-dog", args=[self.pk])
