"""Putting a plate together: presentation attributes only, no style sheet, no script, nothing fetched from outside."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape

from .engraving import Hairs, Lines
from .paths import (
    SCALE,
    THINNEST,
    curl_texts,
    hair_texts,
    line_texts,
    shape_texts,
)
from .splines import Array
from .themes import Theme

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Layer:
    """What is filled in one go: closed shapes, or engraved lines and hairs with how coarse the lines may be."""

    colour: str
    shapes: Sequence[Array] = ()
    lines: Sequence[Lines] = ()
    hairs: Sequence[Hairs] = ()
    tolerance: float = 0.0


@dataclass
class Drawing:
    """Layers and strokes of one plate, back to front, in tenths of a unit with y down.

    Layers stay numbers to the end, as all of them together become text in little more time than one.
    """

    theme: Theme
    prefix: str
    parts: list[Layer | str] = field(default_factory=list)
    thinnest: float = THINNEST
    shapes: list[Array] = field(default_factory=list)

    def shape(self, points: Array) -> None:
        """A part of the dog, filled with paper so that it hides what lies behind."""
        self.shapes.append(points)
        self.fill(self.theme.leaf, points)

    def fill(self, colour: str, *shapes: Array) -> None:
        """Filled shapes."""
        self.parts.append(Layer(colour, shapes))

    def ink(self, parts: Sequence[Lines | Hairs], tolerance: float = 0.06) -> None:
        """A layer of engraved lines, hairs and curls."""
        lines = [part for part in parts if isinstance(part, Lines)]
        hairs = [part for part in parts if isinstance(part, Hairs)]
        coarse = tolerance * max(self.thinnest / 0.075, 1.0)
        self.parts.append(Layer(self.theme.ink, (), lines, hairs, coarse))
        for part in hairs:
            if part.form == "curl":
                for wide, data in curl_texts(part):
                    self.stroke(data, wide * self.theme.heavier)

    def shine(self, lines: Sequence[Lines]) -> None:
        """Lights on something dark."""
        self.parts.append(Layer(self.theme.light, (), lines, (), 0.02))

    def stroke(self, data: str, wide: float) -> None:
        """Lines of one width."""
        width = number(wide * SCALE)
        self.parts.append(
            f'<path fill="none" stroke="{self.theme.ink}" stroke-width="{width}" '
            f'stroke-linecap="round" d="{data}"/>'
        )

    def content(self) -> str:
        """All elements as text."""
        paths = iter(self._paths())
        return "".join(
            part if isinstance(part, str) else next(paths) for part in self.parts
        )

    def _paths(self) -> list[str]:
        layers = [part for part in self.parts if isinstance(part, Layer)]
        hairs = [layer.hairs for layer in layers]
        texts = zip(
            shape_texts([layer.shapes for layer in layers]),
            line_texts(
                [layer.lines for layer in layers],
                [layer.tolerance for layer in layers],
            ),
            hair_texts(hairs, "sliver", self.thinnest),
            hair_texts(hairs, "leaf", self.thinnest),
            strict=True,
        )
        return [
            _path(layer.colour, "M0 0".join(filter(None, data)))
            for layer, data in zip(layers, texts, strict=True)
        ]


def _path(colour: str, data: str) -> str:
    return f'<path fill="{colour}" d="{data}"/>' if data else ""


def number(value: float) -> str:
    """A short decimal."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def plain(content: str, box: Box, title: str | None, theme: Theme) -> str:
    """An SVG of content in plate units, y down."""
    x, y, wide, high = (number(value) for value in box)
    label = (
        f' role="img" aria-label="{escape(title)}"' if title else ' aria-hidden="true"'
    )
    ground = theme.background
    paper = (
        f'<rect x="{x}" y="{y}" width="{wide}" height="{high}" fill="{ground}"/>'
        if ground
        else ""
    )
    size = f'width="{number(4 * box[2])}" height="{number(4 * box[3])}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{x} {y} {wide} {high}" {size}{label}>{paper}{content}</svg>'


def document(
    drawing: Drawing, box: Box, mirror: bool, title: str | None, over: str = ""
) -> str:
    """The whole SVG; `over` is laid on top in plate units, y down, and is never mirrored."""
    x, _, wide, _ = box
    scale = 1 / SCALE
    turn = (
        f"matrix({-scale} 0 0 {scale} {number(2 * x + wide)} 0)"
        if mirror
        else f"scale({scale})"
    )
    return plain(
        f'<g transform="{turn}">{drawing.content()}</g>{over}',
        box,
        title,
        drawing.theme,
    )


def small_print(words: str, box: Box, theme: Theme) -> str:
    """A line of text at the foot of a plate."""
    x, y = number(box[0] + 3), number(box[1] + box[3] - 1.2)
    return f'<text x="{x}" y="{y}" font-family="sans-serif" font-size="3" fill="{theme.ink}">{escape(words)}</text>'
