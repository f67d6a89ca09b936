"""Putting a plate together: presentation attributes only, no style sheet, no script, nothing fetched from outside."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape

from .engraving import SCALE, THINNEST, Hairs, Lines, curl_texts, ink, polygon
from .splines import Array
from .themes import Theme

Box = tuple[float, float, float, float]


@dataclass
class Drawing:
    """Elements of one plate, back to front, in tenths of a unit with y down."""

    theme: Theme
    prefix: str
    parts: list[str] = field(default_factory=list)
    thinnest: float = THINNEST
    shapes: list[Array] = field(default_factory=list)

    def shape(self, points: Array) -> None:
        """A part of the dog, filled with paper so that it hides what lies behind."""
        self.shapes.append(points)
        self.fill(polygon(points), self.theme.leaf)

    def fill(self, data: str, colour: str) -> None:
        """A filled shape."""
        if data:
            self.parts.append(f'<path fill="{colour}" d="{data}"/>')

    def ink(self, parts: Sequence[Lines | Hairs], tolerance: float = 0.06) -> None:
        """A layer of engraved lines, hairs and curls."""
        coarse = tolerance * max(self.thinnest / 0.075, 1.0)
        self.fill(ink(parts, coarse, self.thinnest), self.theme.ink)
        for part in parts:
            if isinstance(part, Hairs) and part.form == "curl":
                for wide, data in curl_texts(part):
                    self.stroke(data, wide * self.theme.heavier)

    def stroke(self, data: str, wide: float) -> None:
        """Lines of one width."""
        width = number(wide * SCALE)
        self.parts.append(
            f'<path fill="none" stroke="{self.theme.ink}" stroke-width="{width}" '
            f'stroke-linecap="round" d="{data}"/>'
        )


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
        f'<g transform="{turn}">{"".join(drawing.parts)}</g>{over}',
        box,
        title,
        drawing.theme,
    )


def small_print(words: str, box: Box, theme: Theme) -> str:
    """A line of text at the foot of a plate."""
    x, y = number(box[0] + 3), number(box[1] + box[3] - 1.2)
    return f'<text x="{x}" y="{y}" font-family="sans-serif" font-size="3" fill="{theme.ink}">{escape(words)}</text>'
