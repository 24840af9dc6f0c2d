"""The grown face measured again: what got lost, ran together, or became narrow that was not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree

from stampwright.plane import spaced

from .climb import running_out
from .want import RIB_DEG

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Along, Axis

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_WAS_DEG = 120.0  # what faced each other so much before was narrow before
_CLOSE = 0.02  # of the limit, between places that are told
_AT_ONCE = 8  # nearest places asked first; the others only where those are all wider
_FAULT = 0.005  # of the limit, in a radius: what samples and discs along a gap leave open


def same_pieces(before: shapely.MultiPolygon, after: shapely.MultiPolygon) -> bool:
    """Whether lands and counters are as many as they were."""
    lands = shapely.get_num_geometries(before) == shapely.get_num_geometries(after)
    return bool(lands) and counters_in(before) == counters_in(after)


def counters_in(ink: shapely.MultiPolygon) -> int:
    """How many holes an area has."""
    return int(shapely.get_num_interior_rings(shapely.get_parts(ink)).sum())


def new_narrow_places(before: Axis, after: Axis, *, land_mm: float, gap_mm: float) -> Floats:
    """Places (p, 2) of lands or gaps below their limit with no place as narrow near by before."""
    lands = _newly_narrow(before, after, limit_mm=land_mm, in_ink=True)
    gaps = _newly_narrow(before, after, limit_mm=gap_mm, in_ink=False)
    return np.concatenate([lands, gaps])


def _newly_narrow(before: Axis, after: Axis, *, limit_mm: float, in_ink: bool) -> Floats:
    facing = (after.in_ink == in_ink) & (after.separation_low_deg >= RIB_DEG)
    narrow = facing & (after.low_mm < limit_mm / 2 - _FAULT * limit_mm)
    if not narrow.any():
        return np.zeros((0, 2))
    row = np.flatnonzero(narrow & ~running_out(after, facing))
    vertex = np.unique(after.low[row])
    if not len(vertex):
        return np.zeros((0, 2))
    was = (before.in_ink == in_ink) & (before.separation_low_deg >= _WAS_DEG) & (before.low_mm < limit_mm / 2)
    _, old = spaced(before, np.flatnonzero(was), limit_mm / 2)
    if not _has_become(old, after.vertices[vertex], after.radius_mm[vertex], limit_mm).any():
        return np.zeros((0, 2))
    # all along, not at vertices alone: where these lie on a row is a matter of how an outline is cut into walls
    _, now = spaced(after, row, _CLOSE * limit_mm)
    narrow = now.radius_mm < limit_mm / 2 - _FAULT * limit_mm
    at, radius = now.at[narrow], now.radius_mm[narrow]
    return np.asarray(at[_has_become(old, at, radius, limit_mm)])


def _has_become(old: Along, at: Floats, radius_mm: Floats, limit_mm: float) -> Bools:
    """Which places (p, 2) of such radii have no `old` one as narrow near by."""
    if not len(old.radius_mm):
        return np.ones(len(at), dtype=bool)
    tree, enough_mm = cKDTree(old.at), radius_mm + _FAULT * limit_mm
    away, which = tree.query(at, k=min(_AT_ONCE, len(old.at)), distance_upper_bound=limit_mm)
    away, which = away.reshape(len(at), -1), which.reshape(len(at), -1)
    least = np.where(np.isfinite(away), np.append(old.radius_mm, np.inf)[which], np.inf).min(axis=1)
    new = np.flatnonzero(least > enough_mm)
    for i, near in zip(new, tree.query_ball_point(at[new], limit_mm), strict=True):
        least[i] = old.radius_mm[near].min(initial=np.inf)
    return np.asarray(least > enough_mm)
