"""The grown face measured again: what got lost, ran together, or became narrow that was not."""

from __future__ import annotations

from dataclasses import dataclass
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

_ABOUT = 0.3  # limits about a fault within which what hardly fails counts as well: it ends less abruptly
_WAS_DEG = 120.0  # what faced each other so much before was narrow before
_CLOSE = 0.02  # of the limit, between places that are told
_AT_ONCE = 8  # nearest places asked first; the others only where those are all wider
_SEEN, _FAULT = 0.002, 0.005  # of the limit, in a radius: what samples and discs along a gap leave open, and too much


def same_pieces(before: shapely.MultiPolygon, after: shapely.MultiPolygon) -> bool:
    """Whether lands and counters are as many as they were."""
    lands = shapely.get_num_geometries(before) == shapely.get_num_geometries(after)
    return bool(lands) and counters_in(before) == counters_in(after)


def counters_in(ink: shapely.MultiPolygon) -> int:
    """How many holes an area has."""
    return int(shapely.get_num_interior_rings(shapely.get_parts(ink)).sum())


@dataclass(frozen=True, slots=True)
class Narrowed:
    """Places (p, 2) of lands or gaps that became narrower than their limit; `weight` (p,): how surely, up to 1.

    Where some are by more than samples and discs leave open, and about these others that are by less.
    """

    at: Floats
    weight: Floats

    def __len__(self) -> int:
        return len(self.weight)


def new_narrow_places(before: Axis, after: Axis, *, land_mm: float, gap_mm: float) -> Narrowed:
    """What of lands and gaps is below its limit with no place as narrow near by before."""
    lands = _narrowed(before, after, limit_mm=land_mm, in_ink=True)
    gaps = _narrowed(before, after, limit_mm=gap_mm, in_ink=False)
    at, weight = (np.concatenate(both) for both in ((lands.at, gaps.at), (lands.weight, gaps.weight)))
    return Narrowed(at, weight)


_NONE = Narrowed(np.zeros((0, 2)), np.zeros(0))


def _narrowed(before: Axis, after: Axis, *, limit_mm: float, in_ink: bool) -> Narrowed:
    facing = (after.in_ink == in_ink) & (after.separation_low_deg >= RIB_DEG)
    narrow = facing & (after.low_mm < limit_mm / 2 - _SEEN * limit_mm)
    if not narrow.any():
        return _NONE
    row = np.flatnonzero(narrow & ~running_out(after, facing))
    vertex = np.unique(after.low[row])
    if not len(vertex):
        return _NONE
    was = (before.in_ink == in_ink) & (before.separation_low_deg >= _WAS_DEG) & (before.low_mm < limit_mm / 2)
    _, old = spaced(before, np.flatnonzero(was), limit_mm / 2)
    if not (_lost(old, after.vertices[vertex], after.radius_mm[vertex], limit_mm) > _FAULT - _SEEN).any():
        return _NONE
    # all along, not at vertices alone: where these lie on a row is a matter of how an outline is cut into walls
    _, now = spaced(after, row, _CLOSE * limit_mm)
    lost = _lost(old, now.at, now.radius_mm, limit_mm)
    weight = np.clip(lost / (_FAULT - _SEEN), 0.0, 1.0)
    faults = lost > _FAULT - _SEEN
    if not faults.any():
        return _NONE
    some = np.flatnonzero(weight)
    some = some[cKDTree(now.at[faults]).query(now.at[some])[0] <= _ABOUT * limit_mm]
    return Narrowed(now.at[some], weight[some])


def _lost(old: Along, at: Floats, radius_mm: Floats, limit_mm: float) -> Floats:
    """How much narrower places (p, 2) of such radii are than any `old` one near by, in limits; 0 for hardly."""
    least, seen_mm = np.full(len(at), limit_mm / 2), radius_mm + _SEEN * limit_mm
    if len(old.radius_mm):
        tree = cKDTree(old.at)
        away, which = tree.query(at, k=min(_AT_ONCE, len(old.at)), distance_upper_bound=limit_mm)
        away, which = away.reshape(len(at), -1), which.reshape(len(at), -1)
        near = np.where(np.isfinite(away), np.append(old.radius_mm, np.inf)[which], np.inf).min(axis=1)
        least = np.minimum(least, near)
        new = np.flatnonzero(least > seen_mm)
        for i, found in zip(new, tree.query_ball_point(at[new], limit_mm), strict=True):
            least[i] = min(least[i], old.radius_mm[found].min(initial=np.inf))
    return np.asarray(np.maximum(least - seen_mm, 0.0) / limit_mm)
