"""Putting a plate together: presentation attributes only, no style sheet, no script, nothing fetched from outside."""

from dataclasses import dataclass, field
from html import escape

from .engraving import SCALE
from .themes import Theme

Box = tuple[float, float, float, float]


@dataclass
class Drawing:
    """Elements of one plate, back to front, in tenths of a unit with y down."""

    theme: Theme
    prefix: str
    parts: list[str] = field(default_factory=list)
    defs: list[str] = field(default_factory=list)

    def fill(self, data: str, colour: str) -> None:
        """A filled shape."""
        if data:
            self.parts.append(f'<path fill="{colour}" d="{data}"/>')

    def ink(self, data: str) -> None:
        """A layer of engraved lines."""
        self.fill(data, self.theme.ink)

    def clip(self, name: str, data: str) -> str:
        """Define a clipping shape; returns the attribute that uses it."""
        key = f"{self.prefix}{name}"
        self.defs.append(f'<clipPath id="{key}"><path d="{data}"/></clipPath>')
        return f' clip-path="url(#{key})"'

    def clipped(self, attribute: str, data: str) -> None:
        """A layer of engraved lines inside a clipping shape."""
        if data:
            self.parts.append(f'<path fill="{self.theme.ink}"{attribute} d="{data}"/>')


def number(value: float) -> str:
    """A short decimal."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def plain(content: str, box: Box, title: str | None, theme: Theme) -> str:
    """An SVG of content in plate units, y down."""
    x, y, wide, high = (number(value) for value in box)
    label = f' role="img" aria-label="{escape(title)}"' if title else ' aria-hidden="true"'
    ground = theme.background
    paper = f'<rect x="{x}" y="{y}" width="{wide}" height="{high}" fill="{ground}"/>' if ground else ""
    size = f'width="{number(4 * box[2])}" height="{number(4 * box[3])}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{x} {y} {wide} {high}" {size}{label}>{paper}{content}</svg>'


def document(
    drawing: Drawing, box: Box, mirror: bool, title: str | None, over: str = ""
) -> str:
    """The whole SVG; `over` is laid on top in plate units, y down, and is never mirrored."""
    x, _, wide, _ = box
    scale = 1 / SCALE
    turn = f"matrix({-scale} 0 0 {scale} {number(2 * x + wide)} 0)" if mirror else f"scale({scale})"
    defs = f"<defs>{''.join(drawing.defs)}</defs>" if drawing.defs else ""
    return plain(f'<g transform="{turn}">{defs}{"".join(drawing.parts)}</g>{over}', box, title, drawing.theme)
