"""Sharp corners of ink, and how fine chords must be there for the corner to lie where curves meet.

Where two boundaries cross at an angle φ, the corner between them is off by their chord errors over sin(φ/2): at 10° a
chord error of 2 µm moves it by 23 µm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from .affine import moved

if TYPE_CHECKING:
    from manifold3d import CrossSection
    from numpy.typing import NDArray

    from .affine import Affine
    from .paths import Path


class Tips:
    """n corners [px], and the chord error [px] that each asks of the curves around it."""

    def __init__(self, points: NDArray[np.float64], asked_px: NDArray[np.float64], *, around_px: float) -> None:
        """`points` (n, 2), `asked_px` (n,); a curve within `around_px` of a corner is around it."""
        self._tree = shapely.STRtree(shapely.points(points))
        self._asked_px, self._around_px = asked_px, around_px

    def __len__(self) -> int:
        """How many there are."""
        return len(self._asked_px)

    def asked_px(self, low: NDArray[np.float64], high: NDArray[np.float64], *, beside_px: float) -> NDArray[np.float64]:
        """The least chord error that is asked for within `beside_px` of each box, corners (m, 2); else infinite."""
        around_px = self._around_px + beside_px
        boxes = shapely.box(*(low - around_px).T, *(high + around_px).T)
        box, tip = self._tree.query(boxes)
        asked = np.full(len(low), np.inf)
        np.minimum.at(asked, box, self._asked_px[tip])
        return asked

    def asked_by_node(self, path: Path, to_page: Affine, *, beside_px: float = 0.0) -> NDArray[np.float64]:
        """What is asked for of each curve of a path, under the node it ends in; `beside_px`: half a pen's width."""
        asked = np.full(len(path.nodes), np.inf)
        for rows, corners in ((path.cubics, _hulls), (path.arcs, _frames)):
            if rows:
                table = np.array(rows)
                points = corners(table)
                points = moved(points.reshape(-1, 2), to_page).reshape(points.shape)
                asked[table[:, 0].astype(np.intp)] = self.asked_px(
                    points.min(axis=1), points.max(axis=1), beside_px=beside_px
                )
        return asked


def _hulls(cubics: NDArray[np.float64]) -> NDArray[np.float64]:
    return cubics[:, 1:].reshape(-1, 4, 2)


def _frames(arcs: NDArray[np.float64]) -> NDArray[np.float64]:
    centre, u, v = (arcs[:, None, i : i + 2] for i in (1, 3, 5))
    return np.concatenate([centre + i * u + j * v for i in (-1, 1) for j in (-1, 1)], axis=1)


def tips_of(ink: CrossSection, *, painted_px: float, off_px: float, finest_px: float) -> Tips:
    """The corners of ink, painted within `painted_px`, that may be off by more than `off_px`.

    None is asked to be finer than `finest_px`: where boundaries coincide but for a rounding, no chord is fine enough.
    """
    contours = ink.to_polygons()
    counts = np.array([len(contour) for contour in contours], dtype=np.intp)
    points = np.concatenate([np.zeros((0, 2)), *contours])
    first = np.cumsum(counts) - counts
    after, before = (np.roll(points, by, axis=0) for by in (-1, 1))
    after[first + counts - 1], before[first] = points[first], points[first + counts - 1]
    with np.errstate(invalid="ignore", divide="ignore"):
        u, v = ((end - points) / np.hypot(*(end - points).T)[:, None] for end in (after, before))
    half = np.hypot(*(u - v).T) / 2  # the sine of half the angle between unit vectors is half the way between them
    sharp = half * off_px < painted_px
    return Tips(points[sharp], np.maximum(off_px * half[sharp], finest_px), around_px=off_px)
