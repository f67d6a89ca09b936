"""Layers become text together, and must come out as if each had been alone."""

import numpy as np
import pytest

from quizzes.plates.engraving import Hairs, Lines
from quizzes.plates.svg import Drawing
from quizzes.plates.themes import THEMES

SQUARE = np.array([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)])
STROKE = Lines.single(
    np.array([(1.0, 1.0), (3.0, 2.5), (6.0, 3.0)]), np.array([0.2, 0.6, 0.2])
)
FAINT = Lines.single(STROKE.points, np.full(3, 0.01))


def hair(form):
    ends = (np.array([point]) for point in ((2.0, 2.0), (3.0, 2.6), (4.0, 2.4)))
    return Hairs(*ends, np.array([0.3]), form)


def painted(*layers):
    drawing = Drawing(THEMES["light"], "")
    for work in layers:
        work(drawing)
    return drawing.content()


LAYERS = {
    "shape": lambda drawing: drawing.shape(SQUARE + 7),
    "shapes": lambda drawing: drawing.fill("#000", SQUARE, SQUARE + 2),
    "lines": lambda drawing: drawing.ink([STROKE, STROKE, FAINT]),
    "faint": lambda drawing: drawing.ink([FAINT]),
    "hairs": lambda drawing: drawing.ink([hair("leaf"), STROKE, hair("sliver")]),
    "curls": lambda drawing: drawing.ink([hair("curl"), STROKE]),
    "shine": lambda drawing: drawing.shine([STROKE]),
    "nothing": lambda drawing: drawing.ink([]),
}


@pytest.mark.parametrize("first", LAYERS)
@pytest.mark.parametrize("second", LAYERS)
def test_a_layer_is_the_same_alone_and_after_another(first, second):
    a, b = LAYERS[first], LAYERS[second]
    assert painted(a, b) == painted(a) + painted(b)


@pytest.mark.parametrize("name", ["faint", "nothing"])
def test_what_is_too_thin_to_print_leaves_no_element(name):
    assert painted(LAYERS[name]) == ""


def test_path_data_is_placed_on_the_grid_with_y_down():
    assert painted(LAYERS["shapes"]) == (
        '<path fill="#000" d="m0 0 40 0 0-40-40 0zm20-20 40 0 0-40-40 0z"/>'
    )
