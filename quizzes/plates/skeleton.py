"""Bones as frames, and contour points bound to them.

A contour is drawn once, on the neutral dog. Every point keeps its place in the coordinates of one frame or a weighted
mean of several; another dog moves the frames and the points go with them.
"""

from collections.abc import Mapping
from math import hypot

import numpy as np

from .breeds import BASE
from .conformation import Landmarks, side_landmarks
from .splines import Array

BONES = {
    "arm": ("shoulder_joint", "elbow_joint", ""),
    "fore": ("elbow_joint", "carpus", "bone"),
    "past": ("carpus", "front_fetlock", "bone"),
    "thigh": ("hip_joint", "stifle", "thigh_w"),
    "shank": ("stifle", "hock_joint", "bone"),
    "meta": ("hock_joint", "rear_fetlock", "bone"),
}
# Landmarks that carry points along, with the factor that widens them.
JOINTS = {
    "E": ("point_of_elbow", ""),
    "K": ("carpus", "bone"),
    "B": ("point_of_buttock", ""),
    "S": ("stifle", "thigh_w"),
    "H": ("hock_joint", "bone"),
    "P": ("point_of_hock", ""),
    "flank": ("flank", ""),
}
FEET = {"ffoot": "front_fetlock", "rfoot": "rear_fetlock"}
NAMES = [*BONES, *JOINTS, *FEET]


def frames(m: Landmarks, p: Mapping[str, float]) -> tuple[Array, Array]:
    """Origins (k, 2) and axes (k, 2, 2) of all frames, in the order of NAMES."""
    origins, axes = [], []
    for start, end, factor in BONES.values():
        dx, dy = m[end][0] - m[start][0], m[end][1] - m[start][1]
        wide = p.get(factor, 1.0) / hypot(dx, dy)
        origins.append(m[start])
        axes.append([[dx, dy * wide], [dy, -dx * wide]])
    for mark, factor in JOINTS.values():
        origins.append(m[mark])
        axes.append([[p.get(factor, 1.0), 0.0], [0.0, 1.0]])
    for mark in FEET.values():
        origins.append((m[mark][0], 0.0))
        axes.append([[p["foot"], 0.0], [0.0, p["foot"] ** 0.6]])
    return np.array(origins), np.array(axes)


_BASE_MARKS = side_landmarks(BASE)
_BASE_FRAMES = frames(_BASE_MARKS, BASE)


class Bound:
    """Contour points bound to frames, from lines of 'x,y frame:weight frame:weight'."""

    def __init__(self, text: str, foot: str = ""):
        rows = [row.split() for row in text.strip().split(";") if row.strip()]
        self.base = np.array([[float(c) for c in row[0].split(",")] for row in rows])
        self.weights = np.zeros((len(rows), len(NAMES)))
        for i, row in enumerate(rows):
            for part in row[1:]:
                name, _, share = part.partition(":")
                self.weights[i, NAMES.index(foot if name == "foot" else name)] = float(
                    share or 1
                )
        origins, axes = _BASE_FRAMES
        offset = self.base[:, None, :] - origins[None]
        self.local = np.einsum("kij,nkj->nki", np.linalg.inv(axes), offset)

    def pose(self, posed: tuple[Array, Array]) -> Array:
        """The points (n, 2) on another dog's frames."""
        origins, axes = posed
        moved = origins[None] + np.einsum("kij,nkj->nki", axes, self.local)
        return np.einsum("nk,nki->ni", self.weights, moved)
