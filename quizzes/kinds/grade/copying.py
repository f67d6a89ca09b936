"""Dogs of the club's library, and of classes of the module, copied as dogs to grade."""

from __future__ import annotations

from dataclasses import asdict, replace

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import Truncator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from quizzes.kinds.grade.look import class_of
from quizzes.kinds.grade.rows import GradedDog
from quizzes.kinds.placing.content import ClassContent, Dog
from quizzes.kinds.sheets.rows import Sheet
from quizzes.models import LibraryDog, Revision

CLASSES_OFFERED = 30
LIBRARY = "library"


class CopyForm(forms.Form):
    """Which dog to copy. No grade or key comes along."""

    dog = forms.ChoiceField(
        label=gettext_lazy("Copy a dog"),
        required=False,
        help_text=gettext_lazy(
            "From the club's library or a class of the module, with its drawing or photograph. You grade it here."
        ),
    )

    def __init__(self, *args, user, draft, **kwargs):
        super().__init__(*args, prefix="copy", **kwargs)
        self.kept = _library(user, draft)
        self.classes = _classes(user, draft)
        self.fields["dog"].choices = [("", _("none")), *self._groups()]

    def _groups(self):
        if self.kept:
            rows = [(f"{LIBRARY}:{dog.pk}", dog.name) for dog in self.kept]
            yield _("The club's library"), rows
        for revision in self.classes:
            dogs = ClassContent.read(revision.content)
            yield (
                revision.title,
                [(f"{revision.pk}:{dog.id}", _named(dog)) for dog in dogs],
            )

    def added_to(self, sheet: Sheet) -> Sheet:
        """The sheet with a copy of the dog at its end. Raises ValidationError where none is chosen."""
        chosen = self.cleaned_data.get("dog", "") if self.is_valid() else ""
        if not chosen:
            raise ValidationError(_("Choose the dog to copy."), code="copy")
        source, _colon, pk = chosen.partition(":")
        content = class_of(sheet)
        new = GradedDog()
        if source == LIBRARY:
            grown = _from_library(content, new, self._kept(pk))
        else:
            grown = _from_class(content, new, self._class(source), pk)
        rows = (*sheet.rows, GradedDog(**asdict(grown.by_id[new.id])))
        return Sheet(rows, sheet.mixed, {**sheet.more, "breed": grown.breed})

    def _kept(self, pk: str) -> LibraryDog:
        return next(dog for dog in self.kept if str(dog.pk) == pk)

    def _class(self, pk: str) -> ClassContent:
        found = next(one for one in self.classes if str(one.pk) == pk)
        return ClassContent.read(found.content)


def _library(user, draft) -> list[LibraryDog]:
    mine = LibraryDog.objects.editable_by(user).in_use()
    return list(mine.filter(module=draft.exercise.module_id).order_by("name"))


def _classes(user, draft) -> list[Revision]:
    mine = Revision.objects.editable_by(user).in_force()
    of_module = mine.filter(
        exercise__kind="placing", exercise__module=draft.exercise.module_id
    )
    return list(of_module.defer("key").order_by("-pk")[:CLASSES_OFFERED])


def _named(dog: Dog) -> str:
    return f"{dog.armband}: {Truncator(dog.ringside).chars(50)}"


def _from_library(content, new, kept) -> ClassContent:
    # The library knows of exercises, so it is asked for only here.
    from quizzes.dogs.services import taken_over

    return taken_over(content.with_dogs([new]), new.id, kept)


def _from_class(
    content: ClassContent, new, klass: ClassContent, pk: str
) -> ClassContent:
    """A dog of another class; one drawn as another breed than the others here comes as words."""
    source = klass.by_id[pk]
    breed = content.breed or klass.breed
    if not content.breed:
        words = (replace(dog, drawn=False) for dog in content)
        content = replace(content, breed=breed, dogs=tuple(words))
    drawn = source.drawn and klass.breed == breed
    copy = replace(source, id=new.id, armband=None, drawn=drawn)
    return content.with_dogs([copy])
