"""Offsets by a disc with a stated sagitta."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from .grid import polygons_in, polygons_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Geometries = NDArray[np.object_]

SAGITTA_MM = 0.001
"""Arcs of offsets keep this to the true circle; in a narrow notch the edge error grows by 1/sin of half its angle."""


_TURNED_SHARE = 0.2
"""Area of a ring turned inside out over the square of the distance: 0.10 at most in a search for the largest [-]."""

_TURNED_MM = 1e-4  # nearer to the walls than arcs explain: by less, a rounding

_MANY = 500  # parts: fewer are grown as one in as short a time
_CROWDED, _ASKED = 32, 100  # boxes that one meets, and parts that are asked: where it is more, all may hang together


def quarter_segments(radius_mm: float, *, sagitta_mm: float = SAGITTA_MM) -> int:
    """Least number of chords per quarter circle that keeps `sagitta_mm`: π / (4 acos(1 − s/r)), at least 2."""
    if sagitta_mm >= radius_mm:
        return 2
    return max(2, math.ceil(math.pi / (4 * math.acos(1 - sagitta_mm / radius_mm))))


def grown(area: shapely.Geometry, by_mm: float, *, sagitta_mm: float = SAGITTA_MM) -> shapely.MultiPolygon:
    """Grow (or, with a negative `by_mm`, shrink) an area by a disc."""
    return _offset(area, by_mm, quad_segs=quarter_segments(abs(by_mm), sagitta_mm=sagitta_mm))


def grown_mitred(area: shapely.Geometry, by_mm: float) -> shapely.MultiPolygon:
    """The same with corners drawn out, up to five times as far: for what is round already."""
    return _offset(area, by_mm, join_style="mitre")


def _offset(
    area: shapely.Geometry, by_mm: float, *, quad_segs: int = 8, join_style: str = "round"
) -> shapely.MultiPolygon:
    """Offset an area and leave out what the library turns inside out in doing so.

    A hole of eight corners or more that closes, or a land that goes, comes out mirrored in its middle while the disc is
    narrower than its box: GEOS looks for that in rings of fewer corners alone. Parts shrink each by itself, and many
    grow in groups that do not meet: of one whole, GEOS looks through all edges for each part that comes out.
    """
    arc = math.cos(math.pi / (4 * quad_segs)) if join_style == "round" else 1.0
    true_mm = abs(by_mm) * arc - _TURNED_MM
    if by_mm >= 0:
        groups = _apart(area, by_mm) if join_style == "round" else area  # what is mitred has been grown already
        made = polygons_in(shapely.buffer(groups, by_mm, quad_segs=quad_segs, join_style=join_style))
        if groups is not area:  # in the library's own order, which leaves open what comes first of equal ones
            _, low, right, _ = shapely.bounds(made).T
            made = made[np.lexsort((low, -right))]
        return shapely.multipolygons(_without_turned(made, area, true_mm, below_mm2=_TURNED_SHARE * by_mm**2))
    parts = polygons_in(area)
    shrunk = shapely.buffer(parts, by_mm, quad_segs=quad_segs, join_style=join_style)
    made, of = shapely.get_parts(shrunk, return_index=True)
    small = np.flatnonzero(shapely.area(made) < _TURNED_SHARE * by_mm**2)
    if not len(small):
        return polygons_of(made)
    turned = _near(shapely.boundary(parts[of[small]]), made[small], true_mm)
    return polygons_of(np.delete(made, small[turned]))


def _without_turned(made: Geometries, area: shapely.Geometry, true_mm: float, *, below_mm2: float) -> Geometries:
    """Fill holes whose middle lies nearer to what was grown than it may."""
    rings, owner = shapely.get_rings(made, return_index=True)
    hole = np.flatnonzero(owner[1:] == owner[:-1]) + 1  # a polygon names its outer ring first
    if not len(hole):
        return made
    holes = shapely.polygons(rings[hole])
    small = np.flatnonzero(shapely.area(holes) < below_mm2)
    if not len(small):
        return made
    shapely.prepare(area)  # asked about many, each of which would look through all its edges
    turned = hole[small[_near(area, holes[small], true_mm)]]
    shapely.destroy_prepared(area)
    for own in np.unique(owner[turned]).tolist():
        kept = np.setdiff1d(np.flatnonzero(owner == own), turned)
        made[own] = shapely.polygons(rings[kept[0]], holes=rings[kept[1:]])
    return made


def _apart(area: shapely.Geometry, by_mm: float) -> shapely.Geometry | Geometries:
    """The parts of an area in groups that do not meet when they grow by so much; few parts as they are.

    The larger of two is asked about the other: a frame round all others is indexed once. Where boxes of most parts meet
    those of many, as of hairlines side by side across the axes, parts stay as they are: all pairs would be asked.
    """
    parts = polygons_in(area)
    if len(parts) < _MANY:
        return area
    within_mm, bounds = 2 * by_mm + _TURNED_MM, shapely.bounds(parts)
    low, high = bounds[:, :2] - within_mm, bounds[:, 2:] + within_mm
    tree, boxes = shapely.STRtree(parts), shapely.box(*low.T, *high.T)
    some = boxes[:: len(boxes) // _ASKED]
    if tree.query(some).shape[1] > _CROWDED * len(some):
        return area
    one, other = tree.query(boxes)
    size = shapely.get_num_coordinates(parts) * len(parts) + np.arange(len(parts))
    once = size[one] > size[other]
    one, other = one[once], other[once]
    shapely.prepare(parts)
    near = shapely.dwithin(parts[one], parts[other], within_mm)
    shapely.destroy_prepared(parts)
    links = coo_array((near[near], (one[near], other[near])), shape=(len(parts), len(parts)))
    _, group = connected_components(links, directed=False)
    order = np.argsort(group, kind="stable")
    return np.asarray(shapely.multipolygons(parts[order], indices=group[order]))


def _near(walls: shapely.Geometry | Geometries, polygons: Geometries, within_mm: float) -> NDArray[np.bool_]:
    """Polygons whose middle lies so near to their walls."""
    return np.asarray(shapely.dwithin(walls, shapely.point_on_surface(polygons), within_mm), dtype=bool)
