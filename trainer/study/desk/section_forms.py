"""A form for each kind of section. Lists in them (points, answers) are sent as rows of equal names."""

from __future__ import annotations

import math
from collections.abc import Sequence

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trainer.accounts.forms import OneLineField
from trainer.pictures.models import Picture
from trainer.study.drawn import KeptDrawing
from trainer.study.sections import (
    COMPARE,
    LONGEST_LINE,
    LONGEST_TEXT,
    MOST_OPTIONS,
    MOST_POINTS,
    PICTURE,
    QUESTION,
    TEXT,
)

PHOTOGRAPHS_SHOWN = 48
PLATE = "plate"
"""The choice that leaves a plate where it is."""
VIEWS = {
    "side": gettext_lazy("From the side"),
    "front": gettext_lazy("From the front"),
    "rear": gettext_lazy("From behind"),
    "top": gettext_lazy("From above"),
    "head": gettext_lazy("Head study"),
}


def photographs(club_id: int) -> list[Picture]:
    """Photographs of the club that may be shown, the latest first."""
    return list(Picture.objects.cleared().filter(club=club_id)[:PHOTOGRAPHS_SHOWN])


class SectionForm(forms.Form):
    """What all sections share: the version that the page was made from.

    section : the section as it is stored
    shown, drawings : photographs and kept drawings that can be chosen
    """

    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(
        self,
        data=None,
        *,
        section: dict,
        shown: list[Picture],
        drawings: Sequence[KeptDrawing] = (),
    ):
        super().__init__(data, initial=self.start(section))
        self.section, self.shown, self.drawings = section, shown, drawings

    def start(self, section: dict) -> dict:
        """Initial values by field."""
        return {name: section.get(name) for name in (*self.base_fields, "version")}

    def changes(self) -> dict:
        """What is to be stored, by key of the section."""
        return {k: v for k, v in self.cleaned_data.items() if k != "version"}

    def told(self, section: dict) -> list[tuple[str, str]]:
        """What another's save of the section says, by label."""
        theirs = self.start(section)
        return [
            (field.label, str(theirs.get(name) or ""))
            for name, field in self.fields.items()
            if name != "version" and str(theirs.get(name) or "") != self.text(name)
        ]

    def text(self, name: str) -> str:
        return str(self[name].value() or "").replace("\r\n", "\n")

    def rows(self, *names: str) -> list[dict[str, str]]:
        """Rows that were sent under these names, in their order; empty ones too."""
        columns = [self.data.getlist(name) for name in names]
        return [dict(zip(names, row, strict=True)) for row in zip(*columns)]  # noqa: B905


def text_field(label, rows: int, help_text="") -> forms.CharField:
    field = forms.CharField(
        label=label,
        required=False,
        max_length=LONGEST_TEXT,
        help_text=help_text,
        widget=forms.Textarea(attrs={"rows": rows}),
    )
    # It may be empty in a draft; publishing asks for it.
    field.needed = True
    return field


def line_field(label, help_text="") -> OneLineField:
    return OneLineField(
        label=label, required=False, max_length=LONGEST_LINE, help_text=help_text
    )


ALT_HELP = gettext_lazy("For those who can't see it, and for when it does not load.")


class TextForm(SectionForm):
    text = text_field(gettext_lazy("Text"), 12)


class Pictured:
    """The fields of one picture, under a prefix, and the image they make."""

    def __init__(self, form: SectionForm, prefix: str, holder: dict):
        self.prefix, self.holder = prefix, holder
        choices = [("", _("none yet"))]
        if PLATE in holder["image"]:
            choices.append((PLATE, _("the drawn dog")))
        choices += [(one.value, one.name) for one in form.drawings]
        choices += [(str(one.public_id), one.name) for one in form.shown]
        self.drawings = {one.value: one for one in form.drawings}
        form.fields[f"{prefix}photo"] = forms.ChoiceField(
            label=_("Picture"),
            required=False,
            choices=choices,
            widget=forms.RadioSelect,
        )
        form.fields[f"{prefix}view"] = forms.ChoiceField(
            label=_("View of the drawn dog"), required=False, choices=VIEWS.items()
        )
        alt = line_field(_("What it shows, in words"), ALT_HELP)
        # Publishing asks for it.
        alt.needed = True
        form.fields[f"{prefix}alt"] = alt
        form.fields[f"{prefix}caption"] = line_field(_("Caption"))
        if PLATE not in holder["image"]:
            del form.fields[f"{prefix}view"]
        form.initial |= self.start(holder)

    def start(self, holder: dict) -> dict:
        image = holder["image"]
        return {
            f"{self.prefix}photo": PLATE if PLATE in image else image.get("photo", ""),
            f"{self.prefix}view": image.get("view", "side"),
            f"{self.prefix}alt": holder["alt"],
            f"{self.prefix}caption": holder["caption"],
        }

    def stored(self, given: dict) -> dict:
        chosen = given[f"{self.prefix}photo"]
        image = {"photo": chosen} if chosen else {}
        if chosen in self.drawings:
            image = dict(self.drawings[chosen].image)
        if chosen == PLATE:
            view = given.get(f"{self.prefix}view") or "side"
            image = {**self.holder["image"], "view": view}
        return {
            "image": image,
            "alt": given[f"{self.prefix}alt"],
            "caption": given[f"{self.prefix}caption"],
        }


class PictureForm(SectionForm):
    """A picture with numbered points; x and y in per cent from the left and from the top."""

    def __init__(self, data=None, *, section: dict, **offered):
        super().__init__(data, section=section, **offered)
        self.pictured = Pictured(self, "", section)

    def point_rows(self) -> list[dict]:
        """The points as the page shows them, as sent or else as stored, and an empty one."""
        if self.is_bound:
            rows = self.rows("x", "y", "point")
            rows = [row for row in rows if any(row.values())]
        else:
            rows = [
                {"x": one["x"], "y": one["y"], "point": one["text"]}
                for one in self.section["points"]
            ]
        return [*rows, {"x": "", "y": "", "point": ""}]

    def clean(self):
        self.points = []
        for number, row in enumerate(self.rows("x", "y", "point"), start=1):
            if not any(value.strip() for value in row.values()):
                continue
            x, y = _per_cent(row["x"]), _per_cent(row["y"])
            if x is None or y is None:
                text = _("Point %(n)s needs two numbers from 0 to 100 for its place.")
                raise ValidationError(text, code="point", params={"n": number})
            text = " ".join(row["point"].split())[:LONGEST_LINE]
            self.points.append({"x": x, "y": y, "text": text})
        if len(self.points) > MOST_POINTS:
            text = _("A picture has at most %(n)s points.")
            raise ValidationError(text, code="points", params={"n": MOST_POINTS})

    def changes(self) -> dict:
        return {**self.pictured.stored(self.cleaned_data), "points": self.points}

    def told(self, section):
        theirs = self.pictured.start(section)
        points = "; ".join(one["text"] for one in section["points"])
        found = [
            (self.fields[name].label, str(theirs[name]))
            for name in ("alt", "caption")
            if theirs[name] != self.text(name)
        ]
        return [*found, (_("Points"), points)]


def _per_cent(text: str) -> float | None:
    """A number from 0 to 100, with a comma or a point; None for anything else."""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        return None
    return round(value, 1) if math.isfinite(value) and 0 <= value <= 100 else None


class CompareForm(SectionForm):
    """Two pictures side by side; two drawn dogs may be laid over each other as well."""

    text = text_field(gettext_lazy("What to compare"), 3)
    overlay = forms.BooleanField(
        label=gettext_lazy("Show the two outlines over each other as well"),
        required=False,
    )

    def __init__(self, data=None, *, section: dict, **offered):
        super().__init__(data, section=section, **offered)
        self.sides = [
            Pictured(self, prefix, side)
            for prefix, side in zip(("left_", "right_"), section["sides"], strict=True)
        ]
        if not all(PLATE in side["image"] for side in section["sides"]):
            del self.fields["overlay"]

    def changes(self) -> dict:
        given = self.cleaned_data
        return {
            "text": given["text"],
            "overlay": given.get("overlay", False),
            "sides": [side.stored(given) for side in self.sides],
        }

    def told(self, section):
        theirs = {"text": section["text"]}
        for pictured, side in zip(self.sides, section["sides"], strict=True):
            theirs |= pictured.start(side)
        return [
            (self.fields[name].label, str(value))
            for name, value in theirs.items()
            if name in self.fields and str(value) != self.text(name)
        ]


class QuestionForm(SectionForm):
    """A question with answers, each with what is said to it; not graded."""

    text = text_field(gettext_lazy("Question"), 3)

    def option_rows(self) -> list[dict]:
        """The answers as the page shows them, with empty rows to fill."""
        if self.is_bound:
            rows = self.rows("option", "said", "right")
        else:
            rows = [
                {
                    "option": one["text"],
                    "said": one["said"],
                    "right": "1" if one["right"] else "",
                }
                for one in self.section["options"]
            ]
        missing = max(2, min(len(rows) + 1, MOST_OPTIONS)) - len(rows)
        return rows + [{"option": "", "said": "", "right": ""}] * missing

    def clean(self):
        rows = self.rows("option", "said", "right")
        self.options = [
            {
                "text": " ".join(row["option"].split())[:LONGEST_LINE],
                "said": " ".join(row["said"].split())[:LONGEST_LINE],
                "right": row["right"] == "1",
            }
            for row in rows
            if row["option"].strip() or row["said"].strip()
        ][:MOST_OPTIONS]

    def changes(self) -> dict:
        return {"text": self.cleaned_data["text"], "options": self.options}

    def told(self, section):
        answers = "; ".join(one["text"] for one in section["options"])
        return [*super().told(section), (_("Answers"), answers)]


SECTION_FORMS = {
    TEXT: TextForm,
    PICTURE: PictureForm,
    COMPARE: CompareForm,
    QUESTION: QuestionForm,
}
