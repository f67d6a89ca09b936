"""A form for each tool, and the form that places landmarks."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trainer.pictures.intake import LEAST_SIDE
from trainer.pictures.landmarks import (
    FACINGS,
    FRONT_FOOT,
    GROUPS,
    LEFT,
    NAMES,
    REAR_FOOT,
    WITHERS,
)
from trainer.pictures.tools import Box, Cover, Crop, Mirror, Straighten

EDGES = {
    "left": gettext_lazy("Left edge"),
    "top": gettext_lazy("Upper edge"),
    "right": gettext_lazy("Right edge"),
    "bottom": gettext_lazy("Lower edge"),
}
AXES = {
    "x": gettext_lazy("%(name)s, per cent from the left"),
    "y": gettext_lazy("%(name)s, per cent from the top"),
}
MOST_BOXES = 10
MOST_DEGREES = 15


class PerCentField(forms.FloatField):
    """A place in a picture; a comma is taken for a point."""

    def __init__(self, **kwargs):
        widget = forms.NumberInput(attrs={"step": "0.1"})
        super().__init__(min_value=0, max_value=100, widget=widget, **kwargs)

    def to_python(self, value):
        if isinstance(value, str):
            value = value.replace(",", ".")
        return super().to_python(value)


class ToolForm(forms.Form):
    """What all tools share: the edition of the picture that the page showed. Each gives its `tool()`.

    size : of the largest file, in pixels
    """

    edition = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, data=None, *, edition: int, size: tuple[int, int]):
        super().__init__(data, initial={"edition": edition})
        self.size = size


def _box(values: dict) -> Box:
    return Box(**{name: values[name] for name in EDGES})


class CropForm(ToolForm):
    left = PerCentField(label=EDGES["left"], initial=0)
    top = PerCentField(label=EDGES["top"], initial=0)
    right = PerCentField(label=EDGES["right"], initial=100)
    bottom = PerCentField(label=EDGES["bottom"], initial=100)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial |= {"left": 0, "top": 0, "right": 100, "bottom": 100}

    def clean(self):
        given = super().clean()
        if self.errors:
            return
        if given["left"] >= given["right"] or given["top"] >= given["bottom"]:
            raise forms.ValidationError(
                _(
                    "The left edge has to be left of the right one, and the upper above "
                    "the lower."
                ),
                code="edges",
            )
        left, top, right, bottom = _box(given).pixels(self.size)
        if min(right - left, bottom - top) < LEAST_SIDE:
            raise forms.ValidationError(
                _(
                    "That leaves %(wide)s by %(high)s pixels. Leave at least %(least)s "
                    "either way."
                ),
                code="small",
                params={
                    "wide": right - left,
                    "high": bottom - top,
                    "least": LEAST_SIDE,
                },
            )

    def tool(self):
        return Crop(_box(self.cleaned_data))


class StraightenForm(ToolForm):
    degrees = forms.FloatField(
        label=gettext_lazy("Degrees, clockwise"),
        help_text=gettext_lazy(
            "From -15 to 15; less than 0 turns the other way. The corners are cut off."
        ),
        min_value=-MOST_DEGREES,
        max_value=MOST_DEGREES,
        widget=forms.NumberInput(attrs={"step": "0.1"}),
    )

    def clean_degrees(self):
        tool = Straighten(self.cleaned_data["degrees"])
        left, top, right, bottom = tool.kept(self.size)
        if min(right - left, bottom - top) < LEAST_SIDE:
            message = _("Too little of the photograph would be left. Turn it less.")
            raise forms.ValidationError(message, code="small")
        return tool.degrees

    def tool(self):
        return Straighten(self.cleaned_data["degrees"])


class MirrorForm(ToolForm):
    def tool(self):
        return Mirror()


class CoverForm(ToolForm):
    """Rectangles are sent as rows of equal names; an empty row says nothing."""

    def rows(self) -> list[dict[str, str]]:
        """The rectangles as sent, and rows to fill."""
        columns = [self.data.getlist(name) for name in EDGES] if self.is_bound else []
        rows = [dict(zip(EDGES, row, strict=True)) for row in zip(*columns)]  # noqa: B905
        rows = [row for row in rows if any(row.values())]
        free = max(1, 3 - len(rows)) if len(rows) < MOST_BOXES else 0
        return rows + [dict.fromkeys(EDGES, "")] * free

    def clean(self):
        rows = [row for row in self.rows() if any(row.values())]
        if not rows:
            message = _("Say what to cover: four numbers for each rectangle.")
            raise forms.ValidationError(message, code="none")
        if len(rows) > MOST_BOXES:
            message = _("At most %(n)s rectangles at once.")
            raise forms.ValidationError(message, "boxes", {"n": MOST_BOXES})
        self.boxes = [self._read(n, row) for n, row in enumerate(rows, start=1)]

    def _read(self, number: int, row: dict[str, str]) -> Box:
        try:
            box = _box({name: PerCentField().clean(row[name]) for name in EDGES})
        except forms.ValidationError:
            box = None
        if box is None or box.left >= box.right or box.top >= box.bottom:
            message = _(
                "Rectangle %(n)s needs four numbers from 0 to 100: its left edge left of "
                "its right one, its upper edge above its lower one."
            )
            raise forms.ValidationError(message, "box", {"n": number})
        return box

    def tool(self):
        return Cover(self.boxes)


def _is_place(value) -> bool:
    """Whether a number, as stored or as typed, lies in the picture."""
    try:
        return 0 <= float(str(value).replace(",", ".")) <= 100
    except ValueError:
        return False


class LandmarksForm(forms.Form):
    """Two numbers for each landmark; a landmark without them is not placed.

    landmarks : as they are stored (models.Picture)
    """

    edition = forms.IntegerField(widget=forms.HiddenInput)
    facing = forms.ChoiceField(
        label=gettext_lazy("The dog looks"),
        choices=FACINGS.items(),
        widget=forms.RadioSelect,
    )

    def __init__(self, data=None, *, edition: int, landmarks: dict):
        start = {"edition": edition, "facing": landmarks.get("facing", LEFT)}
        for name, (x, y) in landmarks.get("points", {}).items():
            start |= {f"{name}-x": x, f"{name}-y": y}
        super().__init__(data, initial=start)
        for name, label in NAMES.items():
            for axis, says in AXES.items():
                self.fields[f"{name}-{axis}"] = PerCentField(
                    label=says % {"name": label}, required=False
                )

    def groups(self):
        """The landmarks in their groups: name, label and the two fields of each."""
        return [
            (
                group,
                [
                    (name, label, self[f"{name}-x"], self[f"{name}-y"])
                    for name, label in names.items()
                ],
            )
            for group, names in GROUPS
        ]

    def placed(self) -> list[dict]:
        """The landmarks that have a place, as the page shows them: name, label, x, y."""
        found = [
            {"name": name, "label": label, "x": x.value(), "y": y.value()}
            for _group, rows in self.groups()
            for name, label, x, y in rows
        ]
        return [one for one in found if _is_place(one["x"]) and _is_place(one["y"])]

    def clean(self):
        given = super().clean()
        self.points = {}
        for name, label in NAMES.items():
            x, y = given.get(f"{name}-x"), given.get(f"{name}-y")
            if x is not None and y is not None:
                self.points[name] = [round(x, 2), round(y, 2)]
            elif not (x is None and y is None) and not self.errors:
                message = _("%(name)s needs two numbers.") % {"name": label}
                self.add_error(f"{name}-x", message)
        if not self.errors:
            self._check_ground(given["facing"])

    def _check_ground(self, facing):
        """The feet have to fit the way the dog looks, and the withers to be above them."""
        if not {FRONT_FOOT, REAR_FOOT, WITHERS} <= self.points.keys():
            return
        front, rear = self.points[FRONT_FOOT], self.points[REAR_FOOT]
        if (front[0] < rear[0]) != (facing == LEFT) or front[0] == rear[0]:
            message = _(
                "The front foot lies behind the hind foot. Is it the other way that the "
                "dog looks?"
            )
            self.add_error("facing", message)
        if self.points[WITHERS][1] >= min(front[1], rear[1]):
            message = _("The withers have to be above the feet.")
            self.add_error(f"{WITHERS}-y", message)

    def landmarks(self) -> dict:
        """As they are stored."""
        if not self.points:
            return {}
        return {"facing": self.cleaned_data["facing"], "points": self.points}
