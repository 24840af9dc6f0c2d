"""The solid as a shaded picture: parallel projection, a depth buffer, light from the left. No screen needed."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from .png import png_bytes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.solid import Solid

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int32]

WIDE_PX, HIGH_PX = 640, 480
_FINER = 2  # samples a pixel each way: edges without steps
_EDGE = 0.06  # of the picture stays empty on each side
_TILT_DEG, _TURN_DEG = 56.0, -24.0  # how far the face leans back, and is turned
_LIGHT = np.array([-0.55, -0.4, 0.75])
_PAPER = np.array([226.0, 230.0, 234.0])  # a bench in daylight; brass stands out on cool grey
_METAL = np.array([196.0, 160.0, 118.0])  # brass as the eye takes it; judged by looking
_FULL = 1.25 / 255  # brightness of one of 255 steps
_STEP, _EDGE_STEP = 1.25, 8.0  # of brightness, between colours
_BRIGHT = (36.0, 240.0)  # the least and the most that there is
_METAL_STEP = 1024  # above the brightness of all samples of a pixel
_AT_ONCE = 60_000  # samples in hand: they stay in the processor's cache


def picture_png(solid: Solid, *, digest: str) -> bytes:
    """Draw a solid, lands towards the eye, as PNG of 640 by 480 pixels."""
    says = f"The head as one solid, seen from above its face. Digest {digest[:16]}."
    palette, counted = _mixed()
    return png_bytes(counted.take(_sampled(solid)), palette, dpi=150.0, says=says)


def shaded(solid: Solid) -> NDArray[np.uint8]:
    """Colours (high, wide, 3) of the solid."""
    palette, counted = _mixed()
    return np.asarray(palette[counted.take(_sampled(solid))])


def _sampled(solid: Solid) -> NDArray[np.uint16]:
    """Sum of the samples of each pixel (high, wide): a step for each that is metal, and its brightness."""
    places = _fitted(solid.vertices @ _view().T)
    x0, y0 = np.floor(places.min(axis=0)[:2] / _FINER).astype(int)  # of the pixels that the solid may touch
    x1, y1 = np.ceil(places.max(axis=0)[:2] / _FINER).astype(int)
    wide, high = x1 - x0, y1 - y0
    corners = (places - np.array([x0, y0, 0]) * _FINER)[solid.triangles]
    plane = _planes(corners)
    seen = np.flatnonzero(plane[:, 3] > 0)
    shades = np.append(_METAL_STEP + _shades(solid, solid.triangles[seen]), 0).astype(np.uint16)  # last: the paper
    nearest = _nearest(corners[seen], plane[seen], wide=wide * _FINER, high=high * _FINER)
    shown = shades.take(nearest).reshape(high, _FINER, wide, _FINER)
    samples = [shown[:, row, :, column] for row in range(_FINER) for column in range(_FINER)]
    sums = np.zeros((HIGH_PX, WIDE_PX), np.uint16)
    sums[HIGH_PX - y1 : HIGH_PX - y0, x0:x1] = sum(samples[1:], samples[0])
    return sums


@cache
def _mixed() -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """A palette, and which of its colours stands for each sum of samples.

    All metal comes in steps finer than the eye's; its edges to the paper, a pixel wide, in coarser ones.
    """
    every = _FINER**2
    metal, bright = np.divmod(np.arange(_METAL_STEP * (every + 1)), _METAL_STEP)
    step = np.where(metal == every, _STEP, _EDGE_STEP)
    level = np.rint(np.clip(bright / np.maximum(metal, 1), *_BRIGHT) / step) * step
    mixtures, counted = np.unique(metal + 1j * np.where(metal > 0, level, 0.0), return_inverse=True)
    share = mixtures.real[:, None] / every
    colours = share * mixtures.imag[:, None] * _FULL * _METAL + (1 - share) * _PAPER
    return np.rint(colours).clip(0, 255).astype(np.uint8), counted.astype(np.uint8)


def _view() -> Floats:
    turn, tilt = np.radians(_TURN_DEG), np.radians(_TILT_DEG - 90.0)
    about_z = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    about_x = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    return np.asarray(about_x @ about_z)


def _fitted(turned: Floats) -> Floats:
    """Scale to samples of the picture, y still upwards; the third coordinate grows towards the eye."""
    room = np.array([WIDE_PX, HIGH_PX]) * _FINER
    low, high = turned.min(axis=0), turned.max(axis=0)
    scale = float(((1 - 2 * _EDGE) * room / (high - low)[:2]).min())
    middle = (low + high) / 2
    return np.asarray((turned - middle) * scale + [room[0] / 2, room[1] / 2, 0.0])


def _shades(solid: Solid, triangles: NDArray[np.int32]) -> Floats:
    """Brightness of each triangle in steps to 255: by its slope to the light; what prints, the tops, is brightest."""
    a, b, c = (solid.vertices[triangles[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    lit = 0.5 + 0.5 * (normal @ (_LIGHT / np.linalg.norm(_LIGHT)))
    is_top = (normal[:, 2] > 0.99) & (np.maximum(np.maximum(a, b), c)[:, 2] >= solid.bounds_mm[1][2] - 1e-6)
    bright = np.where(is_top, 1.17, 0.18 + 0.72 * lit)
    return np.asarray(np.clip(np.rint(bright / _FULL), 0, 255))


def _nearest(corners: Floats, plane: Floats, *, wide: int, high: int) -> Ints:
    """Which triangle each sample shows, (rows x columns,), counted from 0; the number of triangles where none is."""
    depth = np.full(wide * high, -np.inf)
    shown = np.full(wide * high, len(corners), np.int32)
    owner, row = _rows(corners, high=high)
    left, right = _span(corners, owner, row.astype(np.float64) + 0.5)
    first = np.maximum(np.ceil(left - 0.5), 0).astype(np.int32)
    count = np.maximum(np.minimum(np.ceil(right - 0.5), wide).astype(np.int32) - first, 0)
    found = np.flatnonzero(count)
    owner, row, first, count = owner[found], row[found], first[found], count[found]
    slope, rise, base = plane[owner, :3].T
    z = slope * (first + 0.5) + rise * (row + 0.5) + base
    begins = (high - 1 - row) * np.int32(wide) + first
    cuts = np.unique(np.searchsorted(np.cumsum(count), np.arange(0, count.sum(), _AT_ONCE), side="right"))
    for low, top in pairwise([*cuts.tolist(), len(count)]):
        some = slice(low, top)
        _paint(depth, shown, count[some], owner[some], begins[some], z[some], slope[some])
    return shown


def _paint(  # noqa: PLR0913, PLR0917  one span has that many parts
    depth: Floats, shown: Ints, count: Ints, owner: Ints, begins: Ints, z: Floats, slope: Floats
) -> None:
    """Lay spans of samples: what is nearer to the eye than all before stays."""
    before = np.cumsum(count) - count
    at = np.repeat(begins - before, count) + np.arange(count.sum())
    near = np.repeat(z - slope * begins, count) + np.repeat(slope, count) * at
    np.maximum.at(depth, at, near)
    wins = near >= depth[at]
    shown[at[wins]] = np.repeat(owner, count)[wins]


def _rows(corners: Floats, *, high: int) -> tuple[Ints, Ints]:
    """Every row of samples that each triangle crosses: its number and the row."""
    y = corners[:, :, 1]
    low = np.clip(np.ceil(y.min(axis=1) - 0.5), 0, high).astype(np.int32)
    top = np.clip(np.ceil(y.max(axis=1) - 0.5), 0, high).astype(np.int32)
    count = top - low
    owner = np.repeat(np.arange(len(corners), dtype=np.int32), count)
    return owner, np.repeat(low - (np.cumsum(count) - count).astype(np.int32), count) + np.arange(
        len(owner), dtype=np.int32
    )


def _span(corners: Floats, owner: Ints, y: Floats) -> tuple[Floats, Floats]:
    """Where the line at height y enters and leaves each triangle."""
    left, right = np.full(len(y), np.inf), np.full(len(y), -np.inf)
    for k in range(3):
        (x0, y0), (x1, y1) = corners[:, k, :2].T, corners[:, (k + 1) % 3, :2].T
        with np.errstate(divide="ignore", invalid="ignore"):
            lean = (x1 - x0) / (y1 - y0)
        hit = np.flatnonzero((y0[owner] <= y) != (y1[owner] <= y))
        own = owner[hit]
        x = x0[own] + (y[hit] - y0[own]) * lean[own]
        left[hit], right[hit] = np.minimum(left[hit], x), np.maximum(right[hit], x)
    return left, right


def _planes(corners: Floats) -> Floats:
    """Depth as a x + b y + c over each triangle, and twice its area as seen, negative from behind: (n, 4)."""
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        a = (u[:, 2] * v[:, 1] - u[:, 1] * v[:, 2]) / area
        b = (u[:, 0] * v[:, 2] - u[:, 2] * v[:, 0]) / area
    x, y, z = corners[:, 0].T
    return np.column_stack([a, b, z - a * x - b * y, area])
