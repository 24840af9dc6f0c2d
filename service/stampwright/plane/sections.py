"""Fill rules and booleans: manifold3d's CrossSection (Clipper2 in double precision), converted once, made valid.

Measured against GEOS on the same rings it is 40 times faster for fill rules and knows the nonzero rule.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from manifold3d import CrossSection, FillRule

from .grid import polygons_in, polygons_of, repaired

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Geometries = NDArray[np.object_]

Rule = Literal["nonzero", "evenodd"]
SPECK_MM2 = 1e-6
"""What two outlines that nearly coincide leave between them: where they are meant to, 1,600 such come to 3e-5 mm²."""

_RULES = {"nonzero": FillRule.NonZero, "evenodd": FillRule.EvenOdd}


def section_of_rings(rings: Sequence[NDArray[np.float64]], rule: Rule) -> CrossSection:
    """Fill closed rings, each (n, 2) without its closing point, by an SVG fill rule."""
    return CrossSection([ring for ring in rings if len(ring) >= 3], _RULES[rule])


def section_of(area: shapely.Geometry) -> CrossSection:
    """Make a CrossSection of polygons."""
    return CrossSection(_contours(area), FillRule.NonZero)


def section_less(area: shapely.Geometry, *others: shapely.Geometry) -> CrossSection:
    """What of an area lies outside all others, in one pass: around a point the area's rings wind once, theirs back."""
    contours = _contours(area)
    for other in others:
        contours += _contours(other, clockwise=True)
    return CrossSection(contours, FillRule.Positive)


def _contours(area: shapely.Geometry, *, clockwise: bool = False) -> list[NDArray[np.float64]]:
    """Outlines of polygons without their closing points, holes the other way round."""
    rings = shapely.get_rings(shapely.orient_polygons(polygons_in(area), exterior_cw=clockwise))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    first = np.searchsorted(ring, np.arange(len(rings) + 1)).tolist()
    return [points[a : b - 1] for a, b in pairwise(first)]


def area_of(section: CrossSection, *, specks_mm2: float = 0.0, crumbs_mm2: float = 0.0) -> shapely.MultiPolygon:
    """Convert a CrossSection once, and make it valid: touching rings are legal there and not in a MultiPolygon.

    Rings below `specks_mm2` are left out, and islands below `crumbs_mm2`.
    """
    contours = section.to_polygons()
    if not contours:
        return shapely.MultiPolygon()
    counts = np.array([len(contour) for contour in contours])
    parts = nested(np.concatenate(contours), counts, specks_mm2=specks_mm2, crumbs_mm2=crumbs_mm2)
    area = shapely.multipolygons(parts)
    if shapely.is_valid(area):
        return area
    broken = ~shapely.is_valid(parts)  # few are; the question costs a tenth of the repair
    area = shapely.multipolygons(np.concatenate([parts[~broken], shapely.get_parts(repaired(parts[broken]))]))
    return area if shapely.is_valid(area) else polygons_of(repaired(area))


def nested(
    points: NDArray[np.float64], counts: NDArray[np.int64], *, specks_mm2: float = 0.0, crumbs_mm2: float = 0.0
) -> Geometries:
    """The polygons of rings in a row, points (n, 2) without closing ones, holes clockwise; left out as in `area_of`."""
    rings = shapely.linearrings(points, indices=np.repeat(np.arange(len(counts)), counts))
    signed_mm2 = _signed_areas(points, counts)
    told = (np.abs(signed_mm2) >= specks_mm2) & ((signed_mm2 < 0) | (signed_mm2 >= crumbs_mm2))
    rings, shell = rings[told], signed_mm2[told] > 0
    return _nested(rings[shell], rings[~shell])


def _signed_areas(points: NDArray[np.float64], counts: NDArray[np.int64]) -> NDArray[np.float64]:
    """Areas of rings in a row, positive where counterclockwise: true of rings that touch themselves as well."""
    first = np.cumsum(counts) - counts
    local = points - np.repeat(points[first], counts, axis=0)
    after = np.zeros_like(local)
    after[:-1] = local[1:]
    after[first + counts - 1] = 0.0
    return np.add.reduceat(local[:, 0] * after[:, 1] - local[:, 1] * after[:, 0], first) / 2


def less(area: shapely.Geometry, *others: shapely.Geometry) -> shapely.MultiPolygon:
    """What of an area lies outside others. Where outlines nearly coincide, 10 to 100 times faster than in GEOS."""
    return area_of(section_less(area, *others), specks_mm2=SPECK_MM2)


def common(area: shapely.Geometry, other: shapely.Geometry) -> shapely.MultiPolygon:
    """What two areas have in common: a frame around both winds back once, what is left is where both wind."""
    around = shapely.box(*shapely.total_bounds([area, other]))
    section = CrossSection([*_contours(area), *_contours(other), *_contours(around, clockwise=True)], FillRule.Positive)
    return area_of(section, specks_mm2=SPECK_MM2)


def outside(area: shapely.MultiPolygon, field: shapely.Polygon) -> shapely.MultiPolygon:
    """A field without holes, less an area. Mostly the area's rings turned over are all there is to do.

    That is so where it lies within, but for a part that holds the whole field but for its own holes.
    """
    shapely.prepare(field)
    rings, part = shapely.get_rings(shapely.get_parts(area), return_index=True)
    outer = np.append([True], part[1:] != part[:-1])[: len(part)]  # a part names its outer ring first
    shells, holes = rings[outer], rings[~outer]
    within_it = shapely.contains_properly(field, shells)
    if within_it.all():
        turned = _turned(np.append(holes, shapely.get_exterior_ring(field)), shells)
    elif (
        shapely.contains_properly(field, holes).all()
        and shapely.contains(shapely.polygons(shells[~within_it]), field).all()
    ):
        turned = _turned(holes, shells[within_it])
    else:
        turned = None
    return less(field, area) if turned is None else turned


def _turned(shells: Geometries, holes: Geometries) -> shapely.MultiPolygon | None:
    """Rings of other areas turned over; None where that makes no valid one."""
    turned = shapely.multipolygons(_nested(shells, holes))
    return turned if shapely.is_valid(turned) else None


def _nested(shells: Geometries, holes: Geometries) -> Geometries:
    """Give each hole to the smallest shell that contains it and is larger than it."""
    if len(shells) == 1 and len(holes):
        return np.asarray(shapely.polygons(shells, holes=[holes]))
    plates: Geometries = shapely.polygons(shells)
    if not len(holes):
        return plates
    openings = shapely.polygons(holes)
    inside = shapely.point_on_surface(openings)
    hole_at, shell_at = shapely.STRtree(plates).query(inside, predicate="intersects")
    areas = shapely.area(plates)
    larger = areas[shell_at] > shapely.area(openings)[hole_at]
    hole_at, shell_at = hole_at[larger], shell_at[larger]
    order = np.lexsort((areas[shell_at], hole_at))
    first = np.unique(hole_at[order], return_index=True)[1]  # of each hole, its smallest shell
    owner = np.full(len(holes), -1)
    owner[hole_at[order][first]] = shell_at[order][first]
    by_owner = np.argsort(owner, kind="stable")
    owners, starts = np.unique(owner[by_owner], return_index=True)
    for k, inner in zip(owners, np.split(holes[by_owner], starts[1:]), strict=True):
        if k >= 0:
            plates[k] = shapely.polygons(shells[k], holes=inner)
    return plates
