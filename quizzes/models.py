"""Exercises in revisions, attempts at them, grades and running tallies.

What an exercise shows, its key and what a person answers are documents whose form belongs to the exercise's kind
(quizzes/kinds/). A revision is copied whole and never edited once published, so a document fits it better than rows,
and a new kind needs no new tables.
"""

import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from trainer.clubs.models import Club, Role, reached_by
from trainer.study.models import Module, ModuleRevision


class ExerciseQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Exercises in force in the person's clubs, and every exercise of the clubs they teach in.

        What was made for one person to practise on is for that person alone.
        """
        in_force = Revision.objects.filter(state=Revision.State.PUBLISHED).values(
            "exercise"
        )
        return self.filter(
            Q(club__in=Club.objects.joined_by(user), pk__in=in_force)
            | Q(club__in=Club.objects.taught_by(user)),
            Q(practice_for=None) | Q(practice_for=user),
        )

    def shared(self):
        """Exercises of a club, and not of one person."""
        return self.filter(practice_for=None)

    def editable_by(self, user):
        return self.shared().filter(club__in=Club.objects.taught_by(user))


def protect_unless_practice(collector, field, sub_objs, using):
    """What was answered keeps its revision from being deleted.

    A class made for one person goes with that person, and so does what they answered there:
    nobody else ever sees either.
    """
    kept = sub_objs.filter(revision__exercise__practice_for=None)
    if kept.exists():
        raise models.ProtectedError(
            "A revision that somebody has answered can't be deleted.", set(kept)
        )
    models.CASCADE(collector, field, sub_objs, using)


class Exercise(models.Model):
    """Something that is answered and graded; what it shows and its key stand in its revisions."""

    club = models.ForeignKey(Club, on_delete=models.PROTECT, related_name="exercises")
    module = models.ForeignKey(
        Module,
        on_delete=models.PROTECT,
        related_name="exercises",
        verbose_name=_("study module"),
    )
    kind = models.CharField(max_length=20, default="placing", editable=False)
    # What the exercise is known by wherever a bundle takes it.
    public_id = models.UUIDField(default=uuid.uuid4, editable=False)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    # One person's own: nobody else sees it, and it goes when the person goes.
    practice_for = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        null=True,
        related_name="practice",
        editable=False,
    )
    # The key follows from the mentor's weights and phrases; no mentor has read it.
    from_weights = models.BooleanField(default=False, editable=False)
    twin_of = models.ForeignKey(
        "Revision",
        on_delete=models.SET_NULL,
        null=True,
        related_name="+",
        editable=False,
    )

    objects = ExerciseQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["club", "public_id"], name="quizzes_exercise_public_id_once"
            )
        ]

    def __str__(self):
        return f"{self.kind} {self.pk}"

    def get_absolute_url(self):
        return reverse("quizzes:exercise-detail", args=[self.pk])


class RevisionQuerySet(models.QuerySet):
    def in_force(self):
        return self.filter(state=Revision.State.PUBLISHED)

    def visible_to(self, user):
        """Revisions in force of exercises the person may answer. The key is not fetched with them.

        Mentors belong to their clubs, so for what is in force membership is all there is to ask.
        """
        mine = Q(exercise__practice_for=None) | Q(exercise__practice_for=user)
        clubs = reached_by(user)
        return self.in_force().filter(mine, exercise__club__in=clubs).defer("key")

    def known_to(self, user):
        """What is visible to the person, and what was withdrawn after they had begun it; the latest first."""
        begun = Attempt.objects.owned_by(user).values("revision__exercise")
        withdrawn = Q(state=Revision.State.WITHDRAWN, exercise__in=begun)
        mine = Q(exercise__practice_for=None) | Q(exercise__practice_for=user)
        found = self.filter(mine, Q(state=Revision.State.PUBLISHED) | withdrawn)
        clubs = reached_by(user)
        return found.filter(exercise__club__in=clubs).defer("key").order_by("-number")

    def shared_with(self, user):
        """Revisions in force in the person's clubs; what was made for one person is left out."""
        clubs = reached_by(user)
        return self.in_force().filter(
            exercise__practice_for=None, exercise__club__in=clubs
        )

    def shared(self):
        """Revisions of a club's exercises, and not of one person's."""
        return self.filter(exercise__practice_for=None)

    def editable_by(self, user):
        taught = reached_by(user, Role.MENTOR)
        return self.shared().filter(exercise__club__in=taught)

    def offered_to(self, user):
        """Drafts that other mentors of the person's clubs offer for review, the longest waiting first."""
        mine = self.editable_by(user).filter(state=Revision.State.DRAFT)
        offered = mine.filter(offered_at__isnull=False).exclude(offered_by=user)
        return offered.select_related("offered_by").order_by("offered_at")

    def for_list(self):
        """What a list of classes shows, and nothing of content or key."""
        return self.select_related("exercise__module__breed", "exercise__club").defer(
            "content", "key"
        )

    def rows(self, *more, **named):
        """What a list says of a class, as plain rows, with more columns where they are asked for."""
        return self.values(
            "exercise_id",
            "title",
            "size",
            "difficulty",
            "pace_seconds",
            *more,
            kind=F("exercise__kind"),
            breed=F("exercise__module__breed__name"),
            **named,
        )


class Revision(models.Model):
    """One state of an exercise with its key. Attempts stay with the revision they were begun on."""

    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        PUBLISHED = "published", _("in force")
        SUPERSEDED = "superseded", _("superseded")
        WITHDRAWN = "withdrawn", _("withdrawn")

    class Difficulty(models.TextChoices):
        PLAIN = "plain", _("plain")
        MIDDLING = "middling", _("middling")
        CLOSE = "close", _("close")

    exercise = models.ForeignKey(
        Exercise, on_delete=models.CASCADE, related_name="revisions"
    )
    module_revision = models.ForeignKey(
        ModuleRevision, on_delete=models.PROTECT, related_name="+"
    )
    number = models.PositiveIntegerField(_("revision"), default=1)
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    title = models.CharField(_("title"), max_length=120)
    note = models.TextField(_("note for trainees"), blank=True)
    difficulty = models.CharField(
        _("how close it is"),
        max_length=8,
        choices=Difficulty,
        default=Difficulty.MIDDLING,
    )
    pace_seconds = models.PositiveSmallIntegerField(
        _("seconds per dog"),
        null=True,
        blank=True,
        validators=[MinValueValidator(20), MaxValueValidator(900)],
    )
    content = models.JSONField(default=dict)
    key = models.JSONField(default=dict)
    size = models.PositiveSmallIntegerField(default=0, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    edited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    edited_at = models.DateTimeField(auto_now=True)
    published_at = models.DateTimeField(null=True, blank=True)
    # The draft is offered to the other mentors for review; a later save ends that.
    offered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    offered_at = models.DateTimeField(null=True, blank=True)
    handed_in = models.PositiveIntegerField(default=0, editable=False)
    graded = models.PositiveIntegerField(default=0, editable=False)
    share_sum = models.FloatField(default=0, editable=False)

    objects = RevisionQuerySet.as_manager()

    class Meta:
        ordering = ["exercise", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["exercise", "number"], name="quizzes_revision_number_once"
            ),
            models.UniqueConstraint(
                fields=["exercise"],
                condition=Q(state="published"),
                name="quizzes_revision_one_in_force",
            ),
            models.UniqueConstraint(
                fields=["exercise"],
                condition=Q(state="draft"),
                name="quizzes_revision_one_draft",
            ),
            models.CheckConstraint(
                condition=Q(state="draft") | Q(published_at__isnull=False),
                name="quizzes_revision_published_dated",
            ),
            models.CheckConstraint(
                condition=Q(pace_seconds__isnull=True)
                | Q(pace_seconds__gte=20, pace_seconds__lte=900),
                name="quizzes_revision_pace_sane",
                violation_error_message=_(
                    "Give between 20 and 900 seconds per dog, or leave it empty for no clock."
                ),
            ),
        ]

    def __str__(self):
        return self.title

    @property
    def graded_again(self) -> int:
        """How many attempts at earlier revisions have a grade under this one's key."""
        return self.grades.exclude(attempt__revision=self).count()

    @property
    def mean_share(self) -> float | None:
        """Mean share of agreed pairs over the graded attempts; None while there is none."""
        return self.share_sum / self.graded if self.graded else None


class AttemptQuerySet(models.QuerySet):
    def owned_by(self, user):
        """The person's own attempts, without previews."""
        return self.filter(trainee=user, preview=False)

    def answerable_by(self, user):
        """Attempts the person may work on: their own, previews included."""
        return self.filter(trainee=user)

    def visible_to(self, user):
        """The person's own attempts; those handed in on exercises they teach."""
        taught = Q(
            revision__exercise__in=Exercise.objects.editable_by(user),
            state=Attempt.State.HANDED_IN,
            preview=False,
        )
        return self.filter(Q(trainee=user) | taught)

    def done_by_exercise(self) -> dict[int, list[int]]:
        """For each exercise that was begun: attempts handed in, and attempts open."""
        rows = (
            self.order_by()
            .values_list("revision__exercise")
            .annotate(
                handed_in=models.Count("pk", filter=Q(state=Attempt.State.HANDED_IN)),
                still_open=models.Count("pk", filter=Q(state=Attempt.State.OPEN)),
            )
        )
        return {exercise: counts for exercise, *counts in rows}

    def for_player(self):
        """Everything the page of an open attempt needs in one query; the key stays behind."""
        return self.select_related("revision__exercise__module__breed").defer(
            "revision__key"
        )

    def for_result(self):
        """An attempt with its revision, key and all its grades."""
        grades = Grade.objects.select_related("revision").defer(
            "revision__content", "revision__key"
        )
        return self.select_related(
            "trainee",
            "revision__exercise__module__breed",
            "revision__module_revision__author",
        ).prefetch_related(models.Prefetch("grades", grades))

    def shared(self):
        """Attempts at exercises of a club, and not at those made for one person."""
        return self.filter(revision__exercise__practice_for=None)

    def practice(self):
        """Attempts at exercises made for one person."""
        return self.filter(revision__exercise__practice_for__isnull=False)

    def begun(self):
        """Attempts that are open, the latest first, as plain rows."""
        return (
            self.filter(state=Attempt.State.OPEN)
            .order_by("-started_at", "-pk")
            .values(
                "pk",
                "started_at",
                title=F("revision__title"),
                kind=F("revision__exercise__kind"),
                breed=F("revision__exercise__module__breed__name"),
                difficulty=F("revision__difficulty"),
                practice_for=F("revision__exercise__practice_for"),
            )
        )

    def finished(self):
        """Attempts that were handed in, newest first."""
        handed_in = self.filter(state=Attempt.State.HANDED_IN)
        return handed_in.order_by("-handed_in_at", "-pk")

    def rows(self):
        """Attempts that were handed in, newest first, as plain rows for `attempts.with_grades`."""
        return self.finished().values(
            "pk",
            "handed_in_at",
            "revision_id",
            kind=F("revision__exercise__kind"),
            title=F("revision__title"),
        )

    def for_list(self):
        """Attempts that were handed in, newest first, with their grades."""
        # In no order, which would join two tables.
        grades = Grade.objects.defer("result").order_by()
        return (
            self.filter(state=Attempt.State.HANDED_IN)
            .select_related("revision__exercise")
            .defer("shown", "answer", "revision__content", "revision__key")
            .prefetch_related(models.Prefetch("grades", grades))
            .order_by("-handed_in_at", "-pk")
        )


class Attempt(models.Model):
    """One person's answer to one exercise, saved as they go and handed in once."""

    class State(models.TextChoices):
        OPEN = "open", _("open")
        HANDED_IN = "handed_in", _("handed in")

    revision = models.ForeignKey(
        Revision, on_delete=protect_unless_practice, related_name="attempts"
    )
    trainee = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        related_name="attempts",
    )
    state = models.CharField(max_length=9, choices=State, default=State.OPEN)
    preview = models.BooleanField(default=False, editable=False)
    number = models.PositiveIntegerField(default=1, editable=False)
    shown = models.JSONField(default=dict)
    answer = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=0)
    submission = models.UUIDField(unique=True, default=uuid.uuid4)
    started_at = models.DateTimeField()
    saved_at = models.DateTimeField(null=True, blank=True)
    handed_in_at = models.DateTimeField(null=True, blank=True)
    extra_seconds = models.PositiveIntegerField(default=0)

    objects = AttemptQuerySet.as_manager()

    class Meta:
        ordering = ["-started_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "trainee", "preview"],
                condition=Q(state="open"),
                name="quizzes_attempt_one_open",
                violation_error_message=_("You have this class open already."),
            ),
            models.CheckConstraint(
                condition=Q(state="open", handed_in_at__isnull=True)
                | Q(state="handed_in", handed_in_at__isnull=False),
                name="quizzes_attempt_handed_in_dated",
            ),
        ]
        indexes = [
            models.Index(
                fields=["trainee", "-handed_in_at"], name="quizzes_attempt_history"
            )
        ]

    def __str__(self):
        return f"{self.trainee}: {self.revision}"

    def get_absolute_url(self):
        name = (
            "quizzes:attempt-result" if self.is_handed_in else "quizzes:attempt-answer"
        )
        return reverse(name, args=[self.pk])

    @property
    def is_handed_in(self) -> bool:
        return self.state == self.State.HANDED_IN

    @property
    def own_grade(self):
        """The grade under the revision that was answered; None while it is not handed in."""
        return next(
            (
                grade
                for grade in self.grades.all()
                if grade.revision_id == self.revision_id
            ),
            None,
        )

    @property
    def later_grade(self):
        """The grade under the latest key that came after the one answered; None without one."""
        later = [g for g in self.grades.all() if g.revision_id > self.revision_id]
        return max(later, key=lambda grade: grade.revision_id, default=None)

    @property
    def seconds_allowed(self) -> int | None:
        """The pace times the dogs, with what was asked for on top; None without a clock."""
        pace = self.revision.pace_seconds
        return pace * self.revision.size + self.extra_seconds if pace else None

    def seconds_left(self, now) -> int | None:
        """Whole seconds until the time is up; negative once it is; None without a clock."""
        allowed = self.seconds_allowed
        return (
            None
            if allowed is None
            else allowed - int((now - self.started_at).total_seconds())
        )


class Grade(models.Model):
    """What one attempt earned under one revision's key, kept as it was computed.

    The first is under the revision that was answered; a changed key may add another, and the old one stays.
    """

    attempt = models.ForeignKey(
        Attempt, on_delete=models.CASCADE, related_name="grades"
    )
    revision = models.ForeignKey(
        Revision, on_delete=protect_unless_practice, related_name="grades"
    )
    graded_at = models.DateTimeField()
    share = models.FloatField(null=True)
    pairs_agreed = models.FloatField(default=0)
    pairs_counted = models.PositiveSmallIntegerField(default=0)
    chance = models.FloatField(null=True)
    result = models.JSONField()

    class Meta:
        ordering = ["attempt", "revision__number"]
        constraints = [
            models.UniqueConstraint(
                fields=["attempt", "revision"], name="quizzes_grade_once_per_key"
            ),
            models.CheckConstraint(
                condition=Q(share__isnull=True) | Q(share__gte=0, share__lte=1),
                name="quizzes_grade_share_unit",
            ),
            models.CheckConstraint(
                condition=Q(chance__isnull=True) | Q(chance__gt=0, chance__lte=1),
                name="quizzes_grade_chance_unit",
            ),
        ]

    def __str__(self):
        return f"{self.attempt}: {self.pairs_agreed} of {self.pairs_counted}"


class TallyQuerySet(models.QuerySet):
    def add(self, revision, marks):
        """Count each (item, value) once more; rows are made where they are missing."""
        marks = list(marks)
        self.bulk_create(
            [
                Tally(revision=revision, item=item, value=value, count=0)
                for item, value in marks
            ],
            ignore_conflicts=True,
        )
        for item, value in marks:
            self.filter(revision=revision, item=item, value=value).update(
                count=F("count") + 1
            )


class Tally(models.Model):
    """How often an item got a value over all attempts at a revision, so that no page counts attempts."""

    revision = models.ForeignKey(
        Revision, on_delete=models.CASCADE, related_name="tallies"
    )
    item = models.CharField(max_length=20)
    value = models.CharField(max_length=20)
    count = models.PositiveIntegerField(default=0)

    objects = TallyQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "tallies"
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "item", "value"], name="quizzes_tally_once"
            )
        ]

    def __str__(self):
        return f"{self.item} {self.value}: {self.count}"


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
