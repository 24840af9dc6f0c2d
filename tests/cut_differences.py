"""Where two solids of one face differ, and what a review tells of that place: for tests and the long comparison.

The solids are held against each other by their triangles, each connected difference against the places that the review
tells of a cutter. A difference counts from where a disc of 0.005 mm fits into it: so exactly widths and residuals are
told.
"""

import math
from typing import Any, NamedTuple

import numpy as np
import shapely

from stampwright.base.tolerances import WIDTH_MM
from stampwright.catalogue import CUTTERS
from stampwright.plane import SAGITTA_MM, grown, polygons_of

FITS_MM = WIDTH_MM / 2
TOLD_MM = 0.002  # places are told to the micrometre
SAME_MM = 1e-6
FINE_MM = SAGITTA_MM / 100


def front_of(solid):
    """Triangles that look up."""
    corners = solid.vertices[solid.triangles]
    (ax, ay), (bx, by) = (corners[:, 1, :2] - corners[:, 0, :2]).T, (corners[:, 2, :2] - corners[:, 0, :2]).T
    return corners[ax * by > ay * bx]


def standing(solid, above_mm):
    """Ground on which the front stands higher than `above_mm` somewhere in a triangle."""
    front = front_of(solid)
    chosen = front[np.max(front[:, :, 2], axis=1) > above_mm, :, :2]
    return shapely.coverage_union_all(shapely.polygons(chosen))


def at_face(solid):
    """Ground on which it comes up to the face."""
    front = front_of(solid)
    return shapely.coverage_union_all(shapely.polygons(front[np.all(front[:, :, 2] > -SAME_MM, axis=1), :, :2]))


def that_count(area):
    """Connected differences that count."""
    parts = shapely.get_parts(polygons_of(area))
    return parts[~shapely.is_empty(shapely.buffer(parts, -FITS_MM))]


def differences(drawn, cut):
    """Where one solid stands on what is floor of the other."""
    floor_mm = SAME_MM + float(front_of(drawn)[:, :, 2].min())
    return that_count(shapely.difference(standing(cut, floor_mm), standing(drawn, floor_mm)))


def reach_of(review, key):
    """What a review tells of one cutter."""
    return next(reach for reach in review.cutters if reach.cutter == key)


class Told(NamedTuple):
    """Places of that: discs (n) that touch what is left, and the ground left at each [mm²]."""

    at: Any
    radius_mm: Any
    area_mm2: Any

    def met(self, pieces):
        """Pairs of a disc and a piece that touch: two arrays of their numbers."""
        near = TOLD_MM + self.radius_mm
        return shapely.STRtree(pieces).query(self.at, predicate="dwithin", distance=near)

    def none_at(self, pieces):
        """Pieces at which nothing is told."""
        return np.delete(pieces, np.unique(self.met(pieces)[1]))

    def beyond(self, pieces, ground):
        """What counts of pieces beyond the connected parts of some ground at which something is told."""
        parts = shapely.get_parts(ground)
        said = parts[np.unique(self.met(parts)[1])]
        around = shapely.buffer(shapely.union_all(said), TOLD_MM)
        return that_count(shapely.difference(shapely.union_all(pieces), around))


def told_by(reach):
    """Corners by their tips; what stays shut by the disc that touches both walls at its place."""
    told = [(each.at_mm, 0.0, each.uncut_area_mm2) for each in reach.corners]
    told += [(each.at_mm, each.width_mm / 2, each.uncut_area_mm2) for each in reach.shut]
    at, radius_mm, area_mm2 = zip(*told, strict=True) if told else ([], [], [])
    return Told(shapely.points(np.reshape(at, (-1, 2))), np.array(radius_mm), np.array(area_mm2))


def untold(face, plan, review, *, drawn, cut):
    """Differences at which nothing is told.

    Behind flat cutters, by the last of them. Behind a pointed one whatever stands on the floor lies on ground that the
    last flat one leaves, and tells; what comes up to the face, on ground that the pointed one alone leaves at full
    depth, and tells.
    """
    found = differences(drawn, cut)
    last = reach_of(review, plan.cutters[-1])
    if CUTTERS[last.cutter].shape != "pointed":
        return told_by(last).none_at(found)
    risen = that_count(shapely.difference(at_face(cut), face.ink))
    on_floor = told_by(reach_of(review, plan.cutters[-2])).beyond(found, plan.left_by_flats)
    return np.concatenate([on_floor, told_by(last).beyond(risen, left_by(face, last.face_radius_mm))])


def left_by(face, radius_mm, *, sagitta_mm=SAGITTA_MM):
    """Ground of the head that discs alone do not reach."""
    closed = grown(grown(face.ink, radius_mm, sagitta_mm=sagitta_mm), -radius_mm, sagitta_mm=sagitta_mm)
    return polygons_of(shapely.intersection(shapely.difference(closed, face.ink), face.head))


def with_finer_arcs(pieces, face, radius_mm):
    """Those of the differences that still count where the disc's arcs are a hundred times finer."""
    if not len(pieces):
        return pieces
    left = that_count(left_by(face, radius_mm, sagitta_mm=FINE_MM))
    return pieces[np.unique(shapely.STRtree(pieces).query(left, predicate="intersects")[1])]


def too_shallow(reach, cut):
    """Gaps told as shut, (n,), that a pointed cutter grooves less deep than told, or that are no ground at all.

    At a neck the tip comes deeper from beside it.
    """
    told = np.reshape([(*each.at_mm, each.depth_mm) for each in reach.shut], (-1, 3))
    front = front_of(cut)
    place, triangle = shapely.STRtree(shapely.polygons(front[:, :, :2])).query(
        shapely.points(told[:, :2]), "intersects"
    )
    spread_mm = TOLD_MM / math.tan(math.radians(CUTTERS[reach.cutter].half_angle_deg))
    high = _heights(front[triangle], told[place, :2]) >= spread_mm - told[place, 2]
    none = np.bincount(place, minlength=len(told)) == 0
    return none | (np.bincount(place, high, minlength=len(told)) > 0)


def _heights(triangles, places):
    """Height of each triangle (n, 3, 3) at a place in it."""
    (ax, ay, az), (bx, by, bz) = (triangles[:, 1] - triangles[:, 0]).T, (triangles[:, 2] - triangles[:, 0]).T
    x, y = (places - triangles[:, 0, :2]).T
    return triangles[:, 0, 2] + ((x * by - y * bx) * az + (y * ax - x * ay) * bz) / (ax * by - ay * bx)
