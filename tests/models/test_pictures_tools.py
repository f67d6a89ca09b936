"""Tools on photographs: what becomes of the pixels and of points placed on them."""

from math import cos, radians, sin

import numpy as np
import pytest
from PIL import Image

from tests.photographs import picture
from trainer.pictures.tools import (
    Box,
    Cover,
    Crop,
    Mirror,
    Straighten,
    landmarks_after,
)


def noise(width=400, height=300, seed=1):
    tones = np.random.default_rng(seed).integers(0, 256, (height, width, 3))
    return Image.fromarray(tones.astype("uint8"))


def spotted(point, size=(600, 400)):
    """A black picture with a white spot of nine pixels at a place in per cent."""
    tones = np.zeros((size[1], size[0], 3), dtype="uint8")
    x, y = round(point[0] * size[0] / 100), round(point[1] * size[1] / 100)
    tones[y - 1 : y + 2, x - 1 : x + 2] = 255
    return Image.fromarray(tones)


def spot(seen):
    """Where the middle of what is light lies, in per cent."""
    tones = np.asarray(seen.convert("L"), dtype=float)
    down, across = np.indices(tones.shape)
    x, y = ((across + 0.5) * tones).sum(), ((down + 0.5) * tones).sum()
    return 100 * x / tones.sum() / seen.width, 100 * y / tones.sum() / seen.height


TOOLS = {
    "crop": Crop(Box(10, 20, 70, 90)),
    "crop to odd edges": Crop(Box(33.3, 11.1, 77.7, 88.8)),
    "straighten clockwise": Straighten(7.5),
    "straighten the other way": Straighten(-12),
    "not turned at all": Straighten(0),
    "mirror": Mirror(),
    "cover elsewhere": Cover([Box(0, 0, 20, 20)]),
}


@pytest.mark.parametrize("point", [(40, 50), (55, 65), (62, 40)], ids=str)
@pytest.mark.parametrize("tool", TOOLS.values(), ids=TOOLS)
def test_points_stay_on_what_they_mark(tool, point):
    before = spotted(point)
    expected = tool.moved(point, before.size)
    assert spot(tool.apply(before)) == pytest.approx(expected, abs=0.5)


def test_crop_keeps_the_pixels_it_keeps():
    before = noise()
    after = Crop(Box(25, 10, 75, 60)).apply(before)
    assert after.size == (200, 150)
    assert np.array_equal(np.asarray(after), np.asarray(before)[30:180, 100:300])


@pytest.mark.parametrize("edges", [(0, 0, 100, 100), (99.99, 99.99, 100, 100)])
def test_crop_at_the_edges(edges):
    after = Crop(Box(*edges)).apply(noise())
    assert after.width >= 1
    assert after.height >= 1


def test_mirror_twice_is_nothing():
    before = noise()
    assert Mirror().apply(Mirror().apply(before)).tobytes() == before.tobytes()


@pytest.mark.parametrize("degrees", [-15, -3.3, 0.1, 8, 15])
@pytest.mark.parametrize("size", [(600, 400), (400, 600), (500, 500)])
def test_straightened_picture_has_no_empty_corner_and_the_same_shape(degrees, size):
    white = Image.new("RGB", size, "white")
    after = Straighten(degrees).apply(white)
    assert np.asarray(after).min() == 255
    assert after.width / after.height == pytest.approx(size[0] / size[1], rel=0.02)


def test_straightening_levels_a_line():
    """A line that falls by 6 degrees to the right is level after 6 degrees the other way."""
    tones = np.zeros((400, 600, 3), dtype="uint8")
    across = np.arange(600)
    down = 200 + (across - 300) * sin(radians(6)) / cos(radians(6))
    for thick in (-1, 0, 1):
        tones[np.rint(down).astype(int) + thick, across] = 255
    seen = np.asarray(Straighten(-6).apply(Image.fromarray(tones)).convert("L"))
    height = seen.argmax(axis=0)
    assert height.max() - height.min() <= 3


def test_covered_rectangle_is_of_one_colour_and_the_rest_untouched():
    before = noise()
    after = np.asarray(Cover([Box(10, 10, 30, 40), Box(60, 60, 80, 80)]).apply(before))
    for rows, columns in ((slice(30, 120), slice(40, 120)),):
        assert len(np.unique(after[rows, columns].reshape(-1, 3), axis=0)) == 1
    mean = np.asarray(before)[30:120, 40:120].reshape(-1, 3).mean(axis=0)
    assert after[50, 60] == pytest.approx(mean, abs=1)
    changed = (after != np.asarray(before)).any(axis=2)
    changed[30:120, 40:120] = changed[180:240, 240:320] = False
    assert not changed.any()


def test_nothing_but_its_mean_survives_under_a_cover():
    """Two faces with the same mean colour can't be told apart afterwards."""
    one, other = noise(), noise()
    other.paste(one.crop((40, 30, 120, 120)).rotate(180), (40, 30))
    assert one.tobytes() != other.tobytes()
    cover = Cover([Box(10, 10, 30, 40)])
    assert cover.apply(one).tobytes() == cover.apply(other).tobytes()


def test_tools_leave_the_picture_they_were_given_alone():
    before = noise()
    kept = before.tobytes()
    for tool in TOOLS.values():
        tool.apply(before)
    assert before.tobytes() == kept


LANDMARKS = {"facing": "left", "points": {"withers": [20, 30], "nose": [80, 10]}}


def test_landmarks_that_are_cut_off_are_gone():
    after = landmarks_after(Crop(Box(0, 0, 50, 50)), LANDMARKS, (400, 300))
    assert after == {"facing": "left", "points": {"withers": [40.0, 60.0]}}


def test_mirrored_dog_looks_the_other_way():
    after = landmarks_after(Mirror(), LANDMARKS, (400, 300))
    assert after == {
        "facing": "right",
        "points": {"withers": [80, 30], "nose": [20, 10]},
    }
    assert landmarks_after(Mirror(), after, (400, 300)) == LANDMARKS


def test_picture_without_landmarks_gets_none():
    assert landmarks_after(Mirror(), {}, picture().size) == {}
