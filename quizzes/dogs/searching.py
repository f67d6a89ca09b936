"""Finding dogs of the library: by name or note, sex, level on a priority, and what is shown of them."""

from __future__ import annotations

from django import forms
from django.db.models import Q
from django.db.models.fields.json import KeyTransform
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.placing.description import SEXES
from trainer.study.models import Module, ModuleRevision, Priority
from trainer.study.reading import LEVEL_WORDS

SHOWN = [
    ("", _("with or without picture")),
    ("photograph", _("with a photograph")),
    ("plate", _("with a plate")),
    ("words", _("in words alone")),
]
BOUNDS = [("gte", _("at least")), ("lte", _("at most"))]


def modules_taught(user):
    """Modules of the person's clubs of which something was published."""
    published = ModuleRevision.objects.exclude(state=ModuleRevision.State.DRAFT)
    mine = Module.objects.editable_by(user).filter(pk__in=published.values("module"))
    return mine.select_related("breed", "club")


class SearchForm(forms.Form):
    """What is looked for; everything may stay open."""

    q = forms.CharField(label=_("Name or note"), required=False, max_length=80)
    sex = forms.ChoiceField(
        label=_("Sex"), required=False, choices=[("", _("dogs and bitches")), *SEXES]
    )
    shown = forms.ChoiceField(label=_("Shown"), required=False, choices=SHOWN)
    priority = forms.ChoiceField(label=_("Priority"), required=False)
    bound = forms.ChoiceField(label=_("Level"), required=False, choices=BOUNDS)
    level = forms.TypedChoiceField(
        label=_("of"),
        required=False,
        coerce=int,
        empty_value=None,
        choices=list(enumerate(LEVEL_WORDS)),
    )
    away = forms.BooleanField(label=_("Those put away"), required=False)

    CLOSER = ("sex", "shown", "priority", "away")

    def __init__(self, asked, *, modules):
        """What an address asks for; a level is asked for as "fair" until another is chosen."""
        super().__init__({"level": "2", **dict(asked.items())})
        self.fields["priority"].choices = [("", _("any")), *_priorities(modules)]
        for field in self.fields.values():
            # Nothing has to be filled in, so nothing is marked as optional.
            field.needed = True

    @property
    def is_closer(self) -> bool:
        """Whether more is asked for than words."""
        return any(self.data.get(name) for name in self.CLOSER)

    @property
    def is_used(self) -> bool:
        return self.is_closer or bool(self.data.get("q"))

    def found(self, dogs):
        """Those of the dogs (a queryset) that are looked for; all where the address says nonsense."""
        self.is_valid()
        asked = self.cleaned_data
        dogs = dogs.filter(archived_at__isnull=not asked.get("away"))
        for word in asked.get("q", "").split():
            dogs = dogs.filter(Q(name__icontains=word) | Q(note__icontains=word))
        if asked.get("sex"):
            dogs = dogs.filter(sex=asked["sex"])
        dogs = _shown(dogs, asked.get("shown"))
        return self._of_level(dogs, asked)

    def _of_level(self, dogs, asked):
        module, _colon, slug = asked.get("priority", "").partition(":")
        if not slug:
            return dogs
        level, bound = asked.get("level"), asked.get("bound") or "gte"
        dogs = dogs.filter(module=module)
        if level is None:
            return dogs
        dogs = dogs.alias(level_found=KeyTransform(slug, "levels"))
        return dogs.filter(**{f"level_found__{bound}": level})


def _priorities(modules) -> list[tuple[str, list]]:
    """The priorities of each module as published last, under the module's name."""
    modules = {module.pk: module for module in modules}
    rows = Priority.objects.filter(revision__module__in=list(modules)).exclude(
        revision__state=ModuleRevision.State.DRAFT
    )
    latest: dict[int, tuple[int, list]] = {}
    for module, number, slug, name in rows.order_by(
        "revision__module", "-revision__number", "number"
    ).values_list("revision__module", "revision__number", "slug", "name"):
        of_number, found = latest.setdefault(module, (number, []))
        if number == of_number:
            found.append((f"{module}:{slug}", name))
    return [(str(modules[pk]), found) for pk, (_number, found) in latest.items()]


def _shown(dogs, shown):
    if shown == "photograph":
        return dogs.exclude(pictures={})
    if shown == "plate":
        return dogs.exclude(breed="")
    return dogs.filter(breed="", pictures={}) if shown == "words" else dogs
