"""Outlines, and two dogs laid over each other: one in ink, one in dashed pencil."""

import numpy as np

from .conformation import Conformation
from .contours import side_shape
from .draw import LAYERS
from .ears import ear
from .layers import scene
from .paths import shape_texts
from .side import FAR_FORE, FAR_HIND, SPAN
from .splines import Array
from .surface import tail_patch
from .svg import Box, Drawing, number, plain
from .themes import GRAINS, THEMES
from .views import view_box

FAR_LEGS = 2
ALIGN = ("withers", "point_of_shoulder", "point_of_buttock")


def outline(dog: Conformation, view: str = "side") -> list[Array]:
    """Closed shapes (n, 2) whose union is the dog's silhouette, y up; the dog faces left."""
    if view == "side":
        return _side(dog)
    drawing = Drawing(THEMES["light"], "")
    LAYERS[view](scene(dog, THEMES["light"], GRAINS["thumb"]), drawing)
    return drawing.shapes


def _side(dog: Conformation) -> list[Array]:
    s = side_shape(dog.side, dog.params)
    tail = tail_patch(s)
    hind = np.vstack([s.thigh_front, s.top[14 * SPAN :][::-1]])
    fore = np.vstack([s.fore_front, s.fore_back[::-1]])
    ears = ear(s.head, dog.breed.ear, dog.params["ear_size"]).outlines
    body = np.vstack([s.top, s.under[::-1]])
    far = [hind + FAR_HIND, fore + FAR_FORE]
    # head and neck meet on one straight edge; this piece lies across it, so that no seam shows
    throat = np.vstack([s.head.outline[6], s.top[6], s.under[4], s.head.outline[-5]])
    limbs = [np.vstack([tail.upper, tail.lower[::-1]]), body, hind, fore]
    return [*far, *limbs, s.head.outline, throat, *ears]


def _compared(dog: Conformation, view: str) -> list[Array]:
    """The shapes that are laid over another dog's: without the far legs, which would hide how the near ones stand."""
    shapes = outline(dog, view)
    return shapes[FAR_LEGS:] if view == "side" else shapes


def overlay(
    first: Conformation,
    second: Conformation,
    align: str = "withers",
    theme: str = "light",
    view: str = "side",
    id_prefix: str = "overlay-",
    title: str | None = None,
    box: Box | None = None,
) -> str:
    """Two outlines on one ground line, the first in ink, the second in dashed pencil.

    Both are drawn facing left. `align` names the landmark whose distance along the ground is shared.
    """
    if align not in ALIGN:
        raise ValueError(f"cannot line up on {align}")
    t = THEMES[theme]
    x, y, wide, high = box or view_box([first, second], view)
    shift = first.side[align][0] - second.side[align][0] if view == "side" else 0.0
    right = max(0.0, shift)
    box = (x + min(0.0, shift), y, wide + right - min(0.0, shift) + 4.0, high)
    ground = f'<path d="M{number(box[0] + 4)} 0H{number(box[0] + box[2] - 4)}" stroke="{t.ink}" stroke-width="0.6" fill="none"/>'
    parts = [
        _dog(
            second,
            view,
            shift,
            box,
            f"{id_prefix}b",
            f'stroke="{t.pencil}" stroke-width="22" stroke-dasharray="36 24"',
        ),
        _dog(
            first,
            view,
            0.0,
            box,
            f"{id_prefix}a",
            f'stroke="{t.ink}" stroke-width="20" stroke-linejoin="round"',
        ),
    ]
    return plain(ground + "".join(parts), box, title, t)


def _dog(
    dog: Conformation, view: str, shift: float, box: Box, key: str, line: str
) -> str:
    """The outer outline only: the stroke is masked by the dog's own filled shapes."""
    x, y, wide, high = (number(10 * value) for value in (box[0] - shift, *box[1:]))
    move = f"matrix(.1 0 0 .1 {number(shift)} 0)"
    outlines = [[shape] for shape in _compared(dog, view)]
    shapes = "".join(f'<path d="{data}"/>' for data in shape_texts(outlines))
    return (
        f'<g transform="{move}"><defs><g id="{key}s">{shapes}</g>'
        f'<mask id="{key}m" maskUnits="userSpaceOnUse" x="{x}" y="{y}" width="{wide}" height="{high}">'
        f'<rect x="{x}" y="{y}" width="{wide}" height="{high}" fill="#fff"/><use href="#{key}s" fill="#000"/></mask></defs>'
        f'<g mask="url(#{key}m)"><use href="#{key}s" fill="none" {line}/></g></g>'
    )
