"""The solid as a shaded picture: parallel projection, a depth buffer, light from the left. No screen needed."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from PIL import Image

from .raster import with_resolution

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.solid import Solid

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

WIDE_PX, HIGH_PX = 640, 480
_FINER = 2  # samples a pixel each way: edges without steps
_EDGE = 0.06  # of the picture stays empty on each side
_TILT_DEG, _TURN_DEG = 56.0, -24.0  # how far the face leans back, and is turned
_LIGHT = np.array([-0.55, -0.4, 0.75])
_PAPER = np.array([226.0, 230.0, 234.0])  # a bench in daylight; brass stands out on cool grey
_METAL = np.array([196.0, 160.0, 118.0])  # brass as the eye takes it; judged by looking
_AT_ONCE = 400_000  # samples in hand: bounds the memory


def picture_png(solid: Solid, *, digest: str) -> bytes:
    """Draw a solid, lands towards the eye, as PNG of 640 by 480 pixels."""
    says = f"The head as one solid, seen from above its face. Digest {digest[:16]}."
    return with_resolution(Image.fromarray(shaded(solid)), dpi=150.0, says=says)


def shaded(solid: Solid) -> NDArray[np.uint8]:
    """Colours (high, wide, 3) of the solid."""
    turned = solid.vertices @ _view().T
    corners = _fitted(turned)[solid.triangles]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    seen = across[:, 2] > 0
    nearest = _nearest(corners[seen])
    colour = np.vstack([_colours(solid, solid.triangles[seen]), _PAPER])
    picture = colour[nearest].reshape(HIGH_PX, _FINER, WIDE_PX, _FINER, 3).mean(axis=(1, 3))
    return np.asarray(np.rint(picture), np.uint8)


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


def _colours(solid: Solid, triangles: NDArray[np.int32]) -> Floats:
    """One colour a triangle: by its slope to the light; the tops of the lands, which print, are the brightest."""
    a, b, c = (solid.vertices[triangles[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    lit = 0.5 + 0.5 * (normal @ (_LIGHT / np.linalg.norm(_LIGHT)))
    is_top = (normal[:, 2] > 0.99) & (np.maximum(np.maximum(a, b), c)[:, 2] >= solid.bounds_mm[1][2] - 1e-6)
    bright = np.where(is_top, 1.17, 0.18 + 0.72 * lit)
    return np.asarray(np.clip(bright[:, None] * _METAL, 0, 255))


def _nearest(corners: Floats) -> Ints:
    """Which triangle each sample shows, (rows x columns,), counted from 0; the number of triangles where none is."""
    wide, high = WIDE_PX * _FINER, HIGH_PX * _FINER
    depth = np.full(wide * high, -np.inf)
    shown = np.full(wide * high, len(corners))
    owner, row = _rows(corners, high=high)
    left, right = _span(corners[owner], row.astype(np.float64) + 0.5)
    first = np.maximum(np.ceil(left - 0.5).astype(np.int64), 0)
    count = np.maximum(np.minimum(np.ceil(right - 0.5).astype(np.int64), wide) - first, 0)
    plane, ends = _planes(corners), np.cumsum(count)
    cuts = np.unique(np.searchsorted(ends, np.arange(0, count.sum(), _AT_ONCE), side="right"))
    for low, top in pairwise([*cuts.tolist(), len(count)]):
        some = slice(low, top)
        _paint(owner[some], row[some], first[some], count[some], plane, depth, shown, wide=wide, high=high)
    return shown


def _paint(  # noqa: PLR0913, PLR0917  one span has that many parts
    owner: Ints,
    row: Ints,
    first: Ints,
    count: Ints,
    plane: Floats,
    depth: Floats,
    shown: Ints,
    *,
    wide: int,
    high: int,
) -> None:
    total = int(count.sum())
    span = np.repeat(np.arange(len(count)), count)
    column = first[span] + np.arange(total) - np.repeat(np.cumsum(count) - count, count)
    own = owner[span]
    a, b, c = plane[own].T
    z = a * (column + 0.5) + b * (row[span] + 0.5) + c
    at = (high - 1 - row[span]) * wide + column
    np.maximum.at(depth, at, z)
    winner = z >= depth[at]
    shown[at[winner]] = own[winner]


def _rows(corners: Floats, *, high: int) -> tuple[Ints, Ints]:
    """Every row of samples that each triangle crosses: its number and the row."""
    y = corners[:, :, 1]
    low = np.clip(np.ceil(y.min(axis=1) - 0.5), 0, high).astype(np.int64)
    top = np.clip(np.ceil(y.max(axis=1) - 0.5), 0, high).astype(np.int64)
    count = np.maximum(top - low, 0)
    owner = np.repeat(np.arange(len(corners)), count)
    return owner, low[owner] + np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)


def _span(corners: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Where the line at height y enters and leaves each triangle."""
    left, right = np.full(len(y), np.inf), np.full(len(y), -np.inf)
    for k in range(3):
        (x0, y0), (x1, y1) = corners[:, k, :2].T, corners[:, (k + 1) % 3, :2].T
        crosses = (y0 <= y) != (y1 <= y)
        with np.errstate(divide="ignore", invalid="ignore"):
            x = x0 + (y - y0) * (x1 - x0) / (y1 - y0)
        left = np.where(crosses, np.minimum(left, x), left)
        right = np.where(crosses, np.maximum(right, x), right)
    return left, right


def _planes(corners: Floats) -> Floats:
    """Depth as a x + b y + c over each triangle, (n, 3)."""
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    slope = -across[:, :2] / across[:, 2:]
    return np.column_stack([slope, corners[:, 0, 2] - (slope * corners[:, 0, :2]).sum(axis=1)])
