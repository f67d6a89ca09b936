"""Drawing a plate: the one entry for every view, theme and size."""

from collections.abc import Callable, Iterable

from .above import top_layers
from .conformation import Conformation
from .figures import landmark_layer, measuring_layer
from .front import front_layers
from .layers import Scene, scene
from .profile import head_layers, head_study
from .rear import rear_layers
from .side import side_layers
from .svg import Box, Drawing, document, small_print
from .themes import GRAINS, THEMES
from .views import view_box


def _side(made: Scene, drawing: Drawing) -> None:
    side_layers(made, drawing)
    head_layers(made, drawing)


LAYERS: dict[str, Callable[[Scene, Drawing], None]] = {
    "side": _side,
    "front": front_layers,
    "rear": rear_layers,
    "top": top_layers,
    "head": head_study,
}


def draw(
    dog: Conformation,
    view: str = "side",
    theme: str = "light",
    size: str = "card",
    id_prefix: str = "plate-",
    title: str | None = None,
    box: Box | None = None,
    measures: Iterable[str] = (),
    landmarks: Iterable[str] = (),
    caption: str | None = None,
) -> str:
    """A plate as SVG text; the same arguments give the same bytes.

    Parameters
    ----------
    view : "side", "front", "rear", "top" or "head"
    theme : "light", "dark", "print" or "contrast"
    size : "thumb" below 110 px, "card", or "large"
    id_prefix : before every id, so that several plates may stand in one page
    title : accessible name; without one the drawing is decorative
    box : a class's common view_box; else the dog's own
    caption : small print at the foot, for plates that leave the site
    measures, landmarks : names of measurements and landmarks to lay over the plate

    Raises
    ------
    KeyError for an unknown view, theme, size or measurement.
    """
    grain = GRAINS[size].finer(0.55, 0.68) if view == "head" else GRAINS[size]
    drawing = Drawing(THEMES[theme], id_prefix, thinnest=0.075 * grain.contour)
    LAYERS[view](scene(dog, THEMES[theme], grain), drawing)
    frame = box or view_box([dog], view)
    about = frame[0] + frame[2] / 2 if dog.mirror else None
    over = measuring_layer(dog, measures, theme, about) + landmark_layer(
        dog, landmarks, theme, about
    )
    if caption:
        over += small_print(caption, frame, THEMES[theme])
    return document(drawing, frame, dog.mirror, title, over)
