"""Ink whose boundaries cross: painted finer than asked for, then thinned to the chord error that was asked for.

Where boundaries cross, the corner between them is off by more than their chord errors (`tips`). Finer chords bring it
home, still finer ones of the curves that meet there where it is sharp; the vertices that they add on the way go again.
"""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import TooComplex

from .corners import without_spikes
from .ink import Painter
from .reach import may_cross
from .tips import Precision, tips_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from manifold3d import CrossSection
    from numpy.typing import NDArray

    from .display import Shape
    from .tips import Tips

FINER = 9  # three times the chords: most corners then lie within the chord error asked for
_THINNED = 1 - 1 / FINER  # of the chord error: what thinning may add
_OFF = 0.7  # of the chord error: what a corner may be off by, as its angle tells, which is known but roughly
_OFF_ALONE = 1.45  # where shapes do not cross each other: right angles between lines of one pen ask for nothing
_BLUNT = 6.0  # of the chord error painted within: the ends of hairs, however slanted
_ROUNDS = 4  # of painting once more: what comes out at a corner may be sharper than what was there
_BUDGET = 0.5  # of what a drawing may cost: one that would cost more is painted at the plain chord error


def painted(shapes: Sequence[Shape], *, sagitta_px: float) -> tuple[Painter, CrossSection, float]:
    """The ink of shapes, the painter who made it, and by how much [px] its outlines may be thinned.

    Raises `TooComplex` when even plain painting would cost too much.
    """
    if not may_cross(shapes):
        return *_with_tips(shapes, sagitta_px, off_px=_OFF_ALONE * sagitta_px, blunt_px=0.0), 0.0
    try:
        off_px, blunt_px = _OFF * sagitta_px, _BLUNT * sagitta_px / FINER
        painter, ink = _with_tips(shapes, sagitta_px / FINER, off_px=off_px, blunt_px=blunt_px, budget=_BUDGET)
    except TooComplex:
        plain = Painter(sagitta_px=sagitta_px)
        return plain, plain.ink(shapes), 0.0
    return painter, without_spikes(ink, painter.unit), sagitta_px * _THINNED


def _with_tips(
    shapes: Sequence[Shape], painted_px: float, *, off_px: float, blunt_px: float, budget: float = 1.0
) -> tuple[Painter, CrossSection]:
    """Ink within a chord error, and once more, finer around its sharp corners, until they are where they belong."""
    painter = Painter(sagitta_px=painted_px, budget=budget)
    precision = Precision(painted_px, off_px, painter.unit.rounded_px, blunt_px)
    ink = painter.ink(shapes)
    tips: Tips | None = None
    with suppress(TooComplex):  # then they stay where they are
        for _ in range(_ROUNDS):
            more = tips_of(ink, painter.drawn, precision, known=tips)
            more = more.that_meet(painter.shapes) if more else None
            if not more:
                break
            tips = tips.and_more(more) if tips else more
            finer = Painter(sagitta_px=painted_px, tips=tips)
            painter, ink = finer, finer.ink(shapes)
    return painter, ink


def thinned(area: shapely.MultiPolygon, *, within_mm: float, sliver_mm2: float) -> shapely.MultiPolygon:
    """An area with no more vertices than it needs to stray from what it was by at most `within_mm`.

    By Douglas and Peucker's rule; where boundaries would then cross, by its slower form that looks at neighbours; the
    area as it was, where they still do. Rings that would become slivers stay as they were.
    """
    if within_mm <= 0:
        return area
    lines = shapely.boundary(area)  # of a ring the library would drop the first vertex too, and stray twice as far
    drawn = shapely.get_parts(lines)  # of each land its outline, then its holes
    lands = shapely.get_num_interior_rings(shapely.get_parts(area)) + 1
    of_land = np.repeat(np.arange(len(lands)), lands)
    for careful in (False, True):
        thin = shapely.get_parts(shapely.simplify(lines, within_mm, preserve_topology=careful))
        thin = np.where(shapely.get_num_coordinates(thin) < 4, drawn, thin)
        thin = np.where(shapely.area(shapely.polygons(_rings(thin))) < sliver_mm2, drawn, thin)
        whole = shapely.multipolygons(shapely.polygons(_rings(thin), indices=of_land))
        if shapely.is_valid(whole):
            return whole
    return area


def _rings(lines: NDArray[np.object_]) -> NDArray[np.object_]:
    xy, which = shapely.get_coordinates(lines, return_index=True)
    return np.asarray(shapely.linearrings(xy, indices=which))
