"""The mentor's form of one row: the dog or photograph, the view, and what is estimated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from quizzes import plates
from quizzes.drawing import builds
from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.drawing.sketch import HIGHEST_SEED, Sketch
from quizzes.kinds.eye.asked import ASKABLE, MARKS, Estimate, Placed, plain
from quizzes.kinds.eye.truth import truth_of
from quizzes.kinds.sheets.forms import RowForm
from quizzes.models import Build, Drawing
from quizzes.plates.parts import faults_by_part
from trainer.pictures.models import Picture

FAULTS = 3
OFFERED = 48


@dataclass
class Offered:
    """What a club has for its rows, asked for once a page."""

    module: object

    @classmethod
    def of(cls, revision) -> Offered:
        """Kept with the revision that the forms of a page share."""
        kept = revision.__dict__.setdefault("_offered_to_estimate", None)
        if kept is None:
            kept = revision._offered_to_estimate = cls(revision.module)
        return kept

    @cached_property
    def drawings(self) -> list[Drawing]:
        return list(Drawing.objects.filter(club=self.module.club_id)[:OFFERED])

    @cached_property
    def photographs(self) -> list[Picture]:
        found = Picture.objects.cleared().filter(club=self.module.club_id)
        return list(found.exclude(landmarks={})[:OFFERED])

    @cached_property
    def own(self) -> tuple[str, Mapping]:
        return builds.of_module(self.module)

    @cached_property
    def breeds(self) -> list[tuple]:
        """The module's breed first, then the club's own, then those of the plates, by their word."""
        base, own = self.own
        first = [(builds.spelled(base, own), str(self.module.breed))] if base else []
        kept = Build.objects.filter(club=self.module.club_id)[:OFFERED]
        mine = [(builds.spelled(one.base, one.values), one.name) for one in kept]
        drawn = [(one.slug, one.name) for one in plates.BREEDS.values()]
        return list(dict(reversed([*first, *mine, *drawn])).items())[::-1]


def _measures() -> list[tuple]:
    groups = groupby(ASKABLE.values(), key=lambda one: one.view)
    return [
        ("", _("none: landmarks are put")),
        *(
            (VIEW_LABELS[view], [(one.name, one.label) for one in found])
            for view, found in groups
        ),
    ]


def _faults() -> list[tuple]:
    return [
        ("", _("none")),
        *(
            (_(part), [(one.code, capfirst(one.name)) for one in found])
            for part, found in faults_by_part()
        ),
    ]


class EstimateForm(RowForm):
    """The dog is drawn from its breed and its faults, or taken over from a kept drawing or photograph."""

    template = "quizzes/eye/_row.html"

    measure = forms.ChoiceField(label=_("What is estimated"))
    view = forms.ChoiceField(label=_("Seen"), choices=VIEW_LABELS.items())
    marks = forms.MultipleChoiceField(
        label=_("Landmarks to put on the picture"),
        choices=MARKS.items(),
        widget=forms.CheckboxSelectMultiple,
    )
    breed = forms.ChoiceField(label=_("Drawn as"))
    sex = forms.ChoiceField(
        label=_("Sex"), choices=[("dog", _("Dog")), ("bitch", _("Bitch"))]
    )
    seed = forms.IntegerField(
        label=_("Its own markings (any number)"), min_value=0, max_value=HIGHEST_SEED
    )
    mirror = forms.BooleanField(label=_("Facing right"))
    kept = forms.ChoiceField(label=_("Take over a kept drawing"))
    photo = forms.ChoiceField(
        label=_("Photograph with landmarks"),
        help_text=_(
            "It goes before the drawing. Landmarks are placed on its own page."
        ),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        offered = self.offered = Offered.of(self.module)
        self.sketch = self._sketch_shown()
        self.fields["measure"].choices = _measures()
        self.fields["breed"].choices = self._breeds()
        self.fields["kept"].choices = [
            ("", _("no, as it is drawn here")),
            *((str(one.pk), one.name) for one in offered.drawings),
        ]
        self.fields["photo"].choices = self._photographs()
        self._add_faults()
        for name, value in self._drawn_values().items():
            self.initial[name] = value
        for field in self.fields.values():
            field.required = False

    def _sketch_shown(self) -> Sketch:
        """The row's dog; the module's breed for a row that has none yet."""
        if self.row.drawing:
            return self.row.sketch
        base, own = self.offered.own
        return Sketch(breed=base, build=own, own=own) if base else Sketch()

    def _breeds(self) -> list[tuple]:
        found, mine = self.offered.breeds, self.sketch.named
        known = {word for word, _name in found}
        return found if mine in known else [(mine, _("as it is drawn")), *found]

    def _photographs(self) -> list[tuple]:
        rows = [(str(one.public_id), one.name) for one in self.offered.photographs]
        mine = self.row.photo
        if mine and mine not in dict(rows):
            rows.append((mine, _("the one it has, shown no more")))
        return [("", _("none")), *rows]

    def _add_faults(self) -> None:
        """A fault and its strength, as often as is needed; two more are always free."""
        self.pairs = max(FAULTS, len(self.sketch.faults) + 1)
        for n in range(1, self.pairs + 1):
            self.fields[f"fault{n}"] = forms.ChoiceField(
                label=_("Fault"), choices=_faults()
            )
            self.fields[f"strength{n}"] = forms.IntegerField(
                label=_("Strength, 0 to 100"), min_value=0, max_value=100
            )

    def _drawn_values(self) -> dict:
        sketch = self.sketch
        values = {
            "breed": sketch.named,
            "sex": sketch.sex,
            "seed": sketch.coat_seed,
            "mirror": sketch.mirror,
        }
        for n, (code, strength) in enumerate(sketch.faults.items(), start=1):
            values |= {f"fault{n}": code, f"strength{n}": round(100 * strength)}
        return values

    @property
    def fault_fields(self) -> list[tuple]:
        return [
            (self[f"fault{n}"], self[f"strength{n}"]) for n in range(1, self.pairs + 1)
        ]

    @property
    def told(self) -> str:
        """What is true of the row as it is stored."""
        from quizzes.kinds.eye.kind import KIND

        truth = truth_of(self.row, self.known)
        if self.row.measure in truth.measured:
            return KIND.key_said(self.row, self.known)
        return ""

    def clean(self):
        """A fault stands once; its strength without a number is that of a mild one."""
        given = super().clean()
        codes = [given.get(f"fault{n}") for n in range(1, self.pairs + 1)]
        for n, code in enumerate(codes, start=1):
            if code and code in codes[: n - 1]:
                text = _("This fault stands above already.")
                self.add_error(f"fault{n}", forms.ValidationError(text, code="twice"))
        return given

    def sent_row(self) -> Estimate:
        given = self.cleaned_data
        return replace(
            self.row,
            drawing=self._drawing(),
            view=given["view"] or "side",
            photo=given["photo"],
            measure=given["measure"],
            marks=tuple(given["marks"]),
        )

    def _drawing(self) -> dict:
        """The kept drawing that was chosen, else the dog as the fields have it."""
        given = self.cleaned_data
        chosen = next(
            (one for one in self.offered.drawings if str(one.pk) == given["kept"]), None
        )
        if chosen:
            return plain(chosen.document)
        named = given["breed"] or self.sketch.named
        look = {"breed": self.sketch.breed, "build": self.sketch.build}
        look["own"] = self.sketch.own
        if named != self.sketch.named:
            breed, own = builds.read(named)
            look = {"breed": breed, "build": own, "own": own}
        seed = given["seed"]
        return plain(
            {
                **look,
                "sex": given["sex"] or "dog",
                "coat_seed": self.sketch.coat_seed if seed is None else seed,
                "mirror": given["mirror"],
                "faults": self._faults(),
            }
        )

    def _faults(self) -> dict[str, float]:
        given, found = self.cleaned_data, {}
        for n in range(1, self.pairs + 1):
            code, strength = given.get(f"fault{n}"), given.get(f"strength{n}")
            part = 50 if strength is None else strength
            if code and part:
                found[code] = round(part / 100, 2)
        return found

    def sent_known(self) -> Placed:
        """The photograph's landmarks are kept as they are now: what is published never changes."""
        given = self.cleaned_data
        return replace(
            self.known, why=given["why"], photo=self._landmarks(given["photo"])
        )

    def _landmarks(self, photo: str) -> Mapping:
        if not photo:
            return {}
        found = (one for one in self.offered.photographs if str(one.public_id) == photo)
        picture = next(found, None)
        if picture is None:
            return self.known.photo if photo == self.row.photo else {}
        return {
            "landmarks": picture.landmarks,
            "width": picture.width,
            "height": picture.height,
        }
