"""What can be done to a photograph: crop, straighten, mirror, cover. Pure: pictures in, pictures out.

Places are in per cent of the picture, from the left and from the top. Each tool also says
where a point of the picture comes to lie, so that landmarks stay on what they mark.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Protocol

from PIL import Image, ImageOps, ImageStat

Point = tuple[float, float]
Size = tuple[int, int]


class Tool(Protocol):
    def apply(self, picture: Image.Image) -> Image.Image: ...

    def moved(self, point: Point, size: Size) -> Point: ...


@dataclass(frozen=True)
class Box:
    """A rectangle by its edges, in per cent; left < right, top < bottom."""

    left: float
    top: float
    right: float
    bottom: float

    def pixels(self, size: Size) -> tuple[int, int, int, int]:
        """Edges in pixels, rounded outwards, at least one pixel apart."""
        width, height = size
        left, top = int(self.left * width / 100), int(self.top * height / 100)
        right, bottom = (
            -int(-self.right * width // 100),
            -int(-self.bottom * height // 100),
        )
        return left, top, max(right, left + 1), max(bottom, top + 1)


@dataclass(frozen=True)
class Crop:
    box: Box

    def apply(self, picture: Image.Image) -> Image.Image:
        return picture.crop(self.box.pixels(picture.size))

    def moved(self, point: Point, size: Size) -> Point:
        left, top, right, bottom = self.box.pixels(size)
        x, y = point[0] * size[0] / 100, point[1] * size[1] / 100
        return 100 * (x - left) / (right - left), 100 * (y - top) / (bottom - top)


@dataclass(frozen=True)
class Straighten:
    """Turns clockwise about the middle and cuts the empty corners off; the shape stays."""

    degrees: float

    def apply(self, picture: Image.Image) -> Image.Image:
        turned = picture.rotate(-self.degrees, Image.Resampling.BICUBIC)
        return turned.crop(self.kept(picture.size))

    def moved(self, point: Point, size: Size) -> Point:
        width, height = size
        x, y = point[0] * width / 100 - width / 2, point[1] * height / 100 - height / 2
        turn = radians(self.degrees)
        x, y = x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn)
        left, top, right, bottom = self.kept(size)
        return (
            100 * (x + width / 2 - left) / (right - left),
            100 * (y + height / 2 - top) / (bottom - top),
        )

    def kept(self, size: Size) -> tuple[int, int, int, int]:
        """The largest rectangle of the picture's shape that the turned picture fills."""
        width, height = size
        turn = radians(abs(self.degrees))
        share = min(
            height / (width * sin(turn) + height * cos(turn)),
            width / (width * cos(turn) + height * sin(turn)),
        )
        across, down = int(width * (1 - share) / 2), int(height * (1 - share) / 2)
        # A pixel at each edge is mixed with what lies beyond it.
        across, down = (across + 1, down + 1) if turn else (0, 0)
        return across, down, width - across, height - down


@dataclass(frozen=True)
class Mirror:
    def apply(self, picture: Image.Image) -> Image.Image:
        return ImageOps.mirror(picture)

    def moved(self, point: Point, size: Size) -> Point:
        return 100 - point[0], point[1]


@dataclass(frozen=True)
class Cover:
    """Fills rectangles with their mean colour: three numbers are all that is left of each.

    A blurred or coarsened face, number or plate can be guessed back by trying what it may
    have been; a single colour can't.
    """

    boxes: Sequence[Box]

    def apply(self, picture: Image.Image) -> Image.Image:
        covered = picture.copy()
        for box in self.boxes:
            edges = box.pixels(picture.size)
            mean = ImageStat.Stat(picture.crop(edges)).mean
            covered.paste(tuple(round(tone) for tone in mean), edges)
        return covered

    def moved(self, point: Point, size: Size) -> Point:
        return point


def landmarks_after(tool: Tool, landmarks: dict, size: Size) -> dict:
    """The landmarks as they lie afterwards; those that were cut off are gone."""
    if not landmarks:
        return {}
    moved = {
        name: tool.moved((x, y), size) for name, (x, y) in landmarks["points"].items()
    }
    points = {
        name: [round(x, 2), round(y, 2)]
        for name, (x, y) in moved.items()
        if 0 <= x <= 100 and 0 <= y <= 100
    }
    other = {"left": "right", "right": "left"}
    facing = landmarks["facing"]
    return {
        "facing": other[facing] if isinstance(tool, Mirror) else facing,
        "points": points,
    }
