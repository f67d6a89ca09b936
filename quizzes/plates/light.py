"""Light on the form: where a surface faces, how dark it is, and how wide a line prints that darkness."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .engraving import clipped, smoothstep
from .splines import Array

Column = NDArray[np.float32]
LIGHT = np.array([-0.42, 0.66, 0.62]) / np.linalg.norm([-0.42, 0.66, 0.62])


@dataclass(frozen=True)
class Bump:
    """A hill or hollow in the surface: centre, height, half length, half width and direction in degrees."""

    x: float
    y: float
    height: float
    length: float
    width: float
    angle: float = 0.0


@dataclass(frozen=True)
class Relief:
    """Many bumps as columns: centres, heights, and their two directions, each divided by the half size that way."""

    x: Column
    y: Column
    height: Column
    along: tuple[Column, Column]
    across: tuple[Column, Column]


def relief(bumps: list[Bump]) -> Relief:
    """The bumps in single precision, which is plenty for the tone of a line."""
    x, y, height, length, width, angle = np.array(
        [(k.x, k.y, k.height, k.length, k.width, k.angle) for k in bumps],
        dtype=np.float32,
    ).T[:, :, None]
    turn = np.radians(angle)
    cos, sin = np.cos(turn), np.sin(turn)
    return Relief(
        x, y, height, (cos / length, sin / length), (cos / width, sin / width)
    )


def gradient(bumps: Relief, points: Array) -> tuple[Array, Array]:
    """Slope of the summed bumps at points (m, 2)."""
    (ax, ay), (cx, cy) = bumps.along, bumps.across
    x = points[:, 0].astype(np.float32) - bumps.x
    y = points[:, 1].astype(np.float32) - bumps.y
    u = x * ax
    u += y * ay
    w = y * cx
    w -= x * cy
    fall = u * u
    fall += w * w
    np.exp(np.negative(fall, out=fall), out=fall)
    fall *= -2 * bumps.height
    u *= fall
    w *= fall
    gx = _summed(u, ax) - _summed(w, cy)
    gy = _summed(u, ay) + _summed(w, cx)
    return gx.astype(np.float64), gy.astype(np.float64)


def _summed(rows: NDArray[np.float32], weights: Column) -> NDArray[np.float32]:
    return np.asarray(np.einsum("kn,k->n", rows, weights[:, 0]))


def tone(
    across: Array,
    flatness: Array,
    direction: Array,
    slope: tuple[Array | float, Array | float],
) -> Array:
    """Darkness 0 to 1 from the place across a patch (-1 to 1), its flatness, its cross direction and the bumps."""
    s = np.sign(across) * np.abs(0.97 * across) ** flatness
    up = np.sqrt(1 - s * s)
    nx = s * direction[:, 0] - slope[0] * up
    ny = s * direction[:, 1] - slope[1] * up
    lit = (nx * LIGHT[0] + ny * LIGHT[1] + up * LIGHT[2]) / np.sqrt(
        nx * nx + ny * ny + up * up
    )
    return 1 - clipped(0.18 + 0.82 * lit, 0, 1)


def width(dark: Array, gap: Array, white_line: bool, heaviest: float = 0.62) -> Array:
    """Width of a line that prints this darkness where lines lie `gap` apart; a white line prints the light instead."""
    if white_line:
        dark = 0.98 - 0.95 * dark
    x = clipped((dark - 0.13) / 0.87, 0, 1)
    return np.asarray((0.06 + heaviest * gap * x**1.15) * smoothstep(0, 0.07, x))
