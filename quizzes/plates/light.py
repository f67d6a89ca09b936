"""Light on the form: where a surface faces, how dark it is, and how wide a line prints that darkness."""

from dataclasses import dataclass

import numpy as np

from .engraving import clipped, smoothstep
from .splines import Array

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


def gradient(bumps: list[Bump], points: Array) -> tuple[Array, Array]:
    """Slope of the summed bumps at points (m, 2)."""
    if not bumps:
        return np.zeros(len(points)), np.zeros(len(points))
    b = np.array(
        [(k.x, k.y, k.height, k.length, k.width, k.angle) for k in bumps],
        dtype=np.float32,
    ).T[:, :, None]
    cos, sin = np.cos(np.radians(b[5])), np.sin(np.radians(b[5]))
    x = points[:, 0].astype(np.float32) - b[0]
    y = points[:, 1].astype(np.float32) - b[1]
    u = x * (cos / b[3])
    u += y * (sin / b[3])
    w = y * (cos / b[4])
    w -= x * (sin / b[4])
    fall = u * u
    fall += w * w
    np.exp(np.negative(fall, out=fall), out=fall)
    fall *= -2 * b[2]
    u *= fall
    w *= fall
    gx = np.einsum("kn,k->n", u, (cos / b[3])[:, 0]) - np.einsum(
        "kn,k->n", w, (sin / b[4])[:, 0]
    )
    gy = np.einsum("kn,k->n", u, (sin / b[3])[:, 0]) + np.einsum(
        "kn,k->n", w, (cos / b[4])[:, 0]
    )
    return gx.astype(np.float64), gy.astype(np.float64)


def tone(
    across: Array, flatness: Array, direction: Array, slope: tuple[Array, Array]
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
