"""Where a sketch is saved: in a class, in the club beside a priority, or as a breed of the club."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.drawing.services import ONE_MORE
from quizzes.kinds.placing.content import ClassContent
from quizzes.kinds.placing.kind import KIND
from quizzes.models import Build, Revision
from trainer.clubs.models import Club
from trainer.study.models import Lesson, Module, ModuleRevision, Priority

DRAFTS_SHOWN = 12
NEW = "new"


class SaveDogForm(forms.Form):
    """A dog of one of the mentor's drafts, one dog more there, or the first of a new class."""

    place = forms.ChoiceField(label=_("Class and dog"))

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        drafts = Revision.objects.editable_by(user).filter(
            state=Revision.State.DRAFT, edited_by=user, exercise__kind=KIND.slug
        )
        latest = drafts.select_related("exercise").defer("key").order_by("-edited_at")
        self.drafts = {draft.exercise_id: draft for draft in latest[:DRAFTS_SHOWN]}
        mine = Module.objects.editable_by(user).in_force().select_related("breed")
        self.modules = {module.pk: module for module in mine}
        self.fields["place"].choices = [*self._of_drafts(), *self._of_modules()]

    def _of_drafts(self):
        for pk, draft in self.drafts.items():
            dogs = [
                (f"{pk}:{dog.id}", gettext("in place of %(n)s") % {"n": dog.armband})
                for dog in ClassContent.read(draft.content)
            ]
            yield draft.title, [(f"{pk}:{ONE_MORE}", gettext("as one dog more")), *dogs]

    def _of_modules(self):
        new = [
            (f"{NEW}:{pk}", gettext("a new class, %(breed)s") % {"breed": module.breed})
            for pk, module in self.modules.items()
        ]
        return [(gettext("New"), new)] if new else []

    def target(self, place: str) -> dict | None:
        """The dog of a draft that a place names, and its class; None if it names none."""
        first, _colon, second = place.partition(":")
        draft = self.drafts.get(int(first)) if first.isdecimal() else None
        dog = ClassContent.read(draft.content).by_id.get(second) if draft else None
        return {"place": place, "dog": dog, "draft": draft} if dog else None

    @property
    def chosen(self) -> tuple[Revision | Module, str]:
        """The draft and the dog in it; the module and "new" for a new class."""
        first, _colon, second = self.cleaned_data["place"].partition(":")
        if first == NEW:
            return self.modules[int(second)], NEW
        return self.drafts[int(first)], second


def tidy_name(form: forms.Form, missing) -> str:
    """The name that was typed without stray spaces. Raises ValidationError if nothing is left."""
    name = " ".join(form.cleaned_data["name"].split())
    if not name:
        raise ValidationError(missing, code="required")
    return name


class KeepDrawingForm(forms.Form):
    """What the drawing shows, and the priority it stands beside."""

    name = forms.CharField(
        label=_("What it shows"),
        max_length=120,
        help_text=_("For example: an upright blade, plainly."),
    )
    view = forms.ChoiceField(label=_("View"), choices=VIEW_LABELS.items())
    beside = forms.ChoiceField(
        label=_("Where it is shown"),
        help_text=_("Beside a priority everybody in the club sees it."),
    )

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        self.clubs = {club.pk: club for club in Club.objects.taught_by(user)}
        rows = Priority.objects.filter(
            revision__state="published", revision__module__club__in=list(self.clubs)
        ).select_related("revision__module__breed")
        self.priorities = {
            f"{row.revision.module_id}:{row.slug}": row
            for row in rows.order_by("revision__module", "number")
        }
        self.fields["beside"].choices = [*self._of_clubs(), *self._of_modules()]

    def _of_clubs(self):
        return [
            (f"club:{pk}", gettext("only on the workbench, %(club)s") % {"club": club})
            for pk, club in self.clubs.items()
        ]

    def _of_modules(self):
        groups: dict[str, list] = {}
        for value, row in self.priorities.items():
            breed = str(row.revision.module.breed)
            groups.setdefault(breed, []).append((value, row.name))
        return list(groups.items())

    def clean_name(self):
        return tidy_name(self, _("Say what it shows."))

    @property
    def chosen(self) -> dict:
        """Club, module and priority of the place that was chosen."""
        value = self.cleaned_data["beside"]
        if value in self.priorities:
            module = self.priorities[value].revision.module
            priority = self.priorities[value].slug
            club = self.clubs[module.club_id]
            return {"club": club, "module": module, "priority": priority}
        club = self.clubs[int(value.removeprefix("club:"))]
        return {"club": club, "module": None, "priority": ""}


class KeepBreedForm(forms.Form):
    """The name of a breed of the club's own, and the module whose classes are drawn so."""

    name = forms.CharField(
        label=_("Name of the breed"),
        max_length=80,
        help_text=_("A name that the club has kept already is drawn anew."),
    )
    module = forms.ChoiceField(
        label=_("Classes drawn so"),
        help_text=_("Those made from now on; what is published stays as it is."),
    )

    def __init__(self, *args, user, **kwargs):
        # Another form of the page has a name as well.
        super().__init__(*args, auto_id="breed_%s", **kwargs)
        self.clubs = {club.pk: club for club in Club.objects.taught_by(user)}
        mine = Module.objects.editable_by(user).select_related("breed", "club")
        self.modules = {module.pk: module for module in mine}
        self.fields["module"].choices = [
            *((f"club:{pk}", self._none_of(club)) for pk, club in self.clubs.items()),
            *((f"module:{pk}", str(module)) for pk, module in self.modules.items()),
        ]

    @staticmethod
    def _none_of(club):
        return gettext("none yet, %(club)s") % {"club": club}

    @staticmethod
    def of_build(build: Build | None) -> dict:
        """The form's values for a breed that is kept."""
        if build is None:
            return {}
        module = f"module:{build.module_id}" if build.module_id else ""
        return {"name": build.name, "module": module or f"club:{build.club_id}"}

    def clean_name(self):
        return tidy_name(self, _("Give the breed a name."))

    @property
    def chosen(self) -> dict:
        """The club and the module, if any, that were chosen."""
        kind, _colon, pk = self.cleaned_data["module"].partition(":")
        if kind == "club":
            return {"club": self.clubs[int(pk)], "module": None}
        module = self.modules[int(pk)]
        return {"club": module.club, "module": module}


ALONE, BESIDE_IDEAL = "alone", "ideal"


class LessonForm(forms.Form):
    """A lesson of one of the mentor's drafts, and how the dog stands in it."""

    lesson = forms.ChoiceField(label=_("Lesson"))
    how = forms.ChoiceField(
        label=_("As"),
        choices=[
            (ALONE, _("a picture of its own")),
            (BESIDE_IDEAL, _("beside the breed's own, to compare")),
        ],
    )
    view = forms.ChoiceField(label=_("View"), choices=VIEW_LABELS.items())

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, auto_id="lesson_%s", **kwargs)
        drafts = ModuleRevision.objects.editable_by(user)
        mine = Lesson.objects.filter(revision__in=drafts).select_related("revision")
        self.lessons = {str(lesson.pk): lesson for lesson in mine}
        self.fields["lesson"].choices = [
            (pk, f"{lesson.revision.title}: {lesson.name}")
            for pk, lesson in self.lessons.items()
        ]

    @property
    def chosen(self) -> Lesson:
        return self.lessons[self.cleaned_data["lesson"]]
