"""Breeds and study modules: what a mentor teaches, as published revisions."""

import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Max, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from trainer.clubs.models import Club

LEVELS = 5


class Breed(models.Model):
    name = models.CharField(_("name"), max_length=80)
    slug = models.SlugField(unique=True)
    summary = models.TextField(_("in a few words"), blank=True)
    made_for = models.TextField(_("the work it was made for"), blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class ModuleQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Modules of the person's clubs with a revision in force, and all modules of clubs they teach in."""
        in_force = Q(
            club__in=Club.objects.joined_by(user),
            revisions__state=ModuleRevision.State.PUBLISHED,
        )
        return self.filter(
            in_force | Q(club__in=Club.objects.taught_by(user))
        ).distinct()

    def editable_by(self, user):
        return self.filter(club__in=Club.objects.taught_by(user))

    def in_force(self):
        """Modules that have a revision in force."""
        published = ModuleRevision.objects.in_force().values("module")
        return self.filter(pk__in=published)

    def for_list(self):
        """What a list of modules shows: breed, club and the revision in force."""
        in_force = ModuleRevision.objects.in_force().select_related("author")
        return self.select_related("breed", "club").prefetch_related(
            models.Prefetch("revisions", in_force, to_attr="in_force")
        )


class Module(models.Model):
    """Everything a mentor teaches about one breed; what is read is a revision of it."""

    club = models.ForeignKey(Club, on_delete=models.PROTECT, related_name="modules")
    breed = models.ForeignKey(Breed, on_delete=models.PROTECT, related_name="modules")
    slug = models.SlugField()
    # What the module is known by wherever a bundle takes it.
    public_id = models.UUIDField(default=uuid.uuid4, editable=False)

    objects = ModuleQuerySet.as_manager()

    class Meta:
        ordering = ["breed__name", "slug"]
        constraints = [
            models.UniqueConstraint(
                fields=["club", "public_id"], name="study_module_public_id_once"
            ),
            models.UniqueConstraint(
                fields=["club", "slug"],
                name="study_module_slug_once",
                violation_error_message=_(
                    "The club has a module with this short name already."
                ),
            ),
        ]

    def __str__(self):
        return f"{self.breed}, {self.club}"

    def get_absolute_url(self):
        return reverse("study:module-detail", args=[self.pk])


class ModuleRevisionQuerySet(models.QuerySet):
    def in_force(self):
        return self.filter(state=ModuleRevision.State.PUBLISHED)

    def editable_by(self, user):
        """Drafts of the clubs in which the person is a mentor."""
        return self.filter(
            module__club__in=Club.objects.taught_by(user),
            state=ModuleRevision.State.DRAFT,
        )

    def visible_to(self, user):
        """Revisions in force for members of the club; every revision for its mentors."""
        published = Q(
            module__club__in=Club.objects.joined_by(user),
            state=ModuleRevision.State.PUBLISHED,
        )
        return self.filter(published | Q(module__club__in=Club.objects.taught_by(user)))


class ModuleRevision(models.Model):
    """One state of a module. Once published it is never edited; the next state is a new revision."""

    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        PUBLISHED = "published", _("published")
        SUPERSEDED = "superseded", _("superseded")
        WITHDRAWN = "withdrawn", _("withdrawn")

    class Where(models.TextChoices):
        GROUND = "ground", _("on the ground")
        TABLE = "table", _("on the table")
        RAMP = "ramp", _("on the ramp")

    module = models.ForeignKey(
        Module, on_delete=models.PROTECT, related_name="revisions"
    )
    number = models.PositiveIntegerField(_("revision"))
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    title = models.CharField(_("title"), max_length=120)
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
    )
    introduction = models.TextField(_("introduction"), blank=True)
    standard_title = models.CharField(_("standard"), max_length=160, blank=True)
    standard_note = models.TextField(
        _("what is the standard's and what the mentor's"), blank=True
    )
    standard_link = models.URLField(_("link to the standard"), blank=True)
    standard_date = models.CharField(
        _("edition or date of the standard"), max_length=40, blank=True
    )
    examined = models.CharField(
        _("where the dog is examined"),
        max_length=6,
        choices=Where,
        default=Where.GROUND,
    )
    examination_note = models.TextField(_("before the examination"), blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)
    edited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
    )
    edited_at = models.DateTimeField(null=True, blank=True, editable=False)
    offered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
    )
    offered_at = models.DateTimeField(null=True, blank=True)
    published_at = models.DateTimeField(null=True, blank=True)

    objects = ModuleRevisionQuerySet.as_manager()

    class Meta:
        ordering = ["module", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["module", "number"], name="study_revision_number_once"
            ),
            models.UniqueConstraint(
                fields=["module"],
                condition=Q(state="published"),
                name="study_revision_one_in_force",
            ),
            models.UniqueConstraint(
                fields=["module"],
                condition=Q(state="draft"),
                name="study_revision_one_draft",
            ),
            models.CheckConstraint(
                condition=Q(state="draft") | Q(published_at__isnull=False),
                name="study_revision_published_dated",
            ),
        ]

    def __str__(self):
        return f"{self.title}, revision {self.number}"


class PartQuerySet(models.QuerySet):
    def editable_by(self, user):
        return self.filter(revision__in=ModuleRevision.objects.editable_by(user))

    def next_number(self) -> int:
        return (self.aggregate(last=Max("number"))["last"] or 0) + 1


class RevisionPart(models.Model):
    """A row of a module's revision, in the mentor's order.

    version : counts the saves, so that nobody writes over what they have not seen
    """

    revision = models.ForeignKey(ModuleRevision, on_delete=models.CASCADE)
    number = models.PositiveSmallIntegerField(
        _("number"), validators=[MinValueValidator(1)]
    )
    version = models.PositiveIntegerField(default=1, editable=False)
    edited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
    )
    edited_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = PartQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ["revision", "number"]


class PriorityQuerySet(PartQuerySet):
    def for_page(self):
        return self.prefetch_related("phrases", "steps", "faults")


class Priority(RevisionPart):
    """One thing the mentor weighs. Its slug stays the same from revision to revision."""

    revision = models.ForeignKey(
        ModuleRevision, on_delete=models.CASCADE, related_name="priorities"
    )
    slug = models.SlugField()
    name = models.CharField(_("name"), max_length=80)
    weight = models.PositiveSmallIntegerField(
        _("weight"),
        validators=[MinValueValidator(1), MaxValueValidator(100)],
        help_text=_("Share of the whole, in per cent."),
    )
    look_for = models.TextField(_("look for"))
    feel_for = models.TextField(_("feel for"), blank=True)
    why_it_matters = models.TextField(_("why it matters"))
    plate_faults = models.JSONField(
        _("faults of the drawn dog that show it"), default=list, blank=True
    )

    objects = PriorityQuerySet.as_manager()

    class Meta(RevisionPart.Meta):
        verbose_name_plural = "priorities"
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "number"], name="study_priority_rank_once"
            ),
            models.UniqueConstraint(
                fields=["revision", "slug"], name="study_priority_slug_once"
            ),
            models.CheckConstraint(
                condition=Q(weight__gte=1, weight__lte=100),
                name="study_priority_weight_percent",
            ),
        ]

    def __str__(self):
        return self.name


class Phrase(models.Model):
    """How the mentor says one level of a priority: 0 faulty to 4 ideal."""

    priority = models.ForeignKey(
        Priority, on_delete=models.CASCADE, related_name="phrases"
    )
    level = models.PositiveSmallIntegerField(
        _("level"), validators=[MaxValueValidator(LEVELS - 1)]
    )
    text = models.CharField(_("phrase"), max_length=160)

    class Meta:
        ordering = ["priority", "-level"]
        constraints = [
            models.UniqueConstraint(
                fields=["priority", "level"], name="study_phrase_level_once"
            ),
            models.CheckConstraint(
                condition=Q(level__lt=LEVELS), name="study_phrase_level_known"
            ),
        ]

    def __str__(self):
        return self.text


class Step(RevisionPart):
    """One step of the examination sequence."""

    class Sense(models.TextChoices):
        EYE = "eye", _("by eye")
        HAND = "hand", _("by hand")
        BOTH = "both", _("by eye and hand")

    revision = models.ForeignKey(
        ModuleRevision, on_delete=models.CASCADE, related_name="steps"
    )
    name = models.CharField(_("name"), max_length=80)
    where = models.CharField(_("where the hand goes"), max_length=120, blank=True)
    sense = models.CharField(_("by eye or by hand"), max_length=4, choices=Sense)
    instruction = models.TextField(_("what to do"))
    find = models.TextField(_("what to find"), blank=True)
    caution = models.TextField(_("caution"), blank=True)
    priority = models.ForeignKey(
        Priority, on_delete=models.SET_NULL, null=True, blank=True, related_name="steps"
    )

    class Meta(RevisionPart.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "number"], name="study_step_number_once"
            )
        ]

    def __str__(self):
        return self.name


class Fault(RevisionPart):
    """A fault, how grave it is, and the ruling it calls for."""

    class Severity(models.TextChoices):
        MINOR = "minor", _("minor")
        SERIOUS = "serious", _("serious")
        DISQUALIFYING = "disqualifying", _("disqualifying")

    class Ruling(models.TextChoices):
        PLACE_LOWER = "place_lower", _("weigh it in the placing")
        WITHHOLD = "withhold", _("withhold awards")
        EXCUSE = "excuse", _("excuse the dog")
        DISQUALIFY = "disqualify", _("disqualify the dog")

    revision = models.ForeignKey(
        ModuleRevision, on_delete=models.CASCADE, related_name="faults"
    )
    name = models.CharField(_("name"), max_length=80)
    description = models.TextField(_("what it is"))
    severity = models.CharField(_("severity"), max_length=13, choices=Severity)
    ruling = models.CharField(_("ruling"), max_length=11, choices=Ruling)
    priority = models.ForeignKey(
        Priority,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="faults",
    )

    class Meta(RevisionPart.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "number"], name="study_fault_number_once"
            )
        ]

    def __str__(self):
        return self.name


class Term(RevisionPart):
    """A word of the trade, explained wherever it occurs in the module."""

    revision = models.ForeignKey(
        ModuleRevision, on_delete=models.CASCADE, related_name="terms"
    )
    name = models.CharField(_("term"), max_length=60)
    forms = models.CharField(
        _("other forms of it"),
        max_length=160,
        blank=True,
        help_text=_("Plural and other wordings, with commas between them."),
    )
    meaning = models.TextField(_("what it means"))

    class Meta(RevisionPart.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "number"], name="study_term_number_once"
            )
        ]

    def __str__(self):
        return self.name

    @property
    def spellings(self) -> list[str]:
        """The term and its other forms."""
        others = (form.strip() for form in self.forms.split(","))
        return [self.name, *(form for form in others if form)]


class Lesson(RevisionPart):
    """A page of a module: sections of text, pictures with numbered points, comparisons, questions.

    sections : documents, see trainer/study/sections.py
    """

    revision = models.ForeignKey(
        ModuleRevision, on_delete=models.CASCADE, related_name="lessons"
    )
    slug = models.SlugField()
    name = models.CharField(_("title"), max_length=120)
    sections = models.JSONField(default=list, blank=True)

    class Meta(RevisionPart.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "number"], name="study_lesson_number_once"
            ),
            models.UniqueConstraint(
                fields=["revision", "slug"], name="study_lesson_slug_once"
            ),
        ]

    def __str__(self):
        return self.name


class Removed(models.Model):
    """A part that was taken out of a draft, as a document, so that it can be put back."""

    revision = models.ForeignKey(
        ModuleRevision, on_delete=models.CASCADE, related_name="removed"
    )
    part = models.CharField(max_length=12)
    name = models.CharField(max_length=120)
    document = models.JSONField()
    removed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    removed_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]

    def __str__(self):
        return self.name


from trainer.study.page_reads import PageRead  # noqa: E402, F401 - a model of this app
