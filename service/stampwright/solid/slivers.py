"""Triangles thinner than the grid, mended in plan: two places become one, or an edge is laid across the other way.

Rounding leaves them where lines nearly meet: ends of arcs, the last chord before a corner, nodes beside nodes. What is
mended moves by few grid steps. Outlines of lands and head keep all their corners, so what stays thin lies along them.
"""

from __future__ import annotations

import math
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.base.counting import counted, picked
from stampwright.base.tolerances import GRID_MM

from .arrangement import Triangles
from .mesh import plan_keys
from .noding import PASSING_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.signedinteger]
    Bools = NDArray[np.bool_]

_AT_ONCE = 100_000  # triangles
_THIN_MM = 1.5 * GRID_MM  # a little more than a step, for walls below edges of one step
_BESIDE_MM = tuple(steps * GRID_MM for steps in (2, 4, 8, 16))  # places this near may become one: the nearest first
_DEEPER_MM = 8 * GRID_MM  # but not where one is so much deeper: half the chord error
_ALONG_MM = 128 * GRID_MM  # and these, where one lies on the way to the other
_LINES = 4  # of a place on a straight line, at most: two along it, one to a hinge on either side

_TIMES = 4  # that each of these is tried, as neighbours move
_ASIDE_MM = GRID_MM * np.array(sorted(product(range(-2, 3), repeat=2), key=lambda steps: math.hypot(*steps)))


class _Repairs(NamedTuple):
    """Ways to mend (n): what they make of which triangles.

    `owner`, `row`, `corners`, `face` (k), (k), (k, 3), (k): each changed triangle with the number of its way; corners
    all alike where it goes. `told` (n, 3): a place that becomes at least as deep as the line between the other two is
    beside it. `gain` (n,): least width [mm] of what is there afterwards, 0 where that is no wider than what was.
    """

    owner: Ints
    row: Ints
    corners: Ints
    face: Ints
    told: Ints
    gain: Floats


def without_slivers(triangles: Triangles, fixed: Floats, known: Floats | None) -> tuple[Triangles, Floats]:
    """Mend what is thin, and tell the depth (n,) of all places anew: more where valleys move, so that none is shut.

    `known` (n,): what it was; where it is measured only afterwards, places may move by themselves as well.
    `fixed` (n, 2, 2) are edges that stay, with their ends and the depth of these.
    """
    xy, corners, face = triangles.places, triangles.corners.astype(np.int64), triangles.face.copy()
    width, depth = _widths_of(xy, corners), np.zeros(len(xy)) if known is None else known.copy()
    if width.min(initial=np.inf) <= 0:
        return triangles, depth  # lines cross: this is no plan
    ends = np.searchsorted(plan_keys(xy), plan_keys(fixed))
    is_fixed = np.zeros(len(xy), dtype=bool)
    is_fixed[ends] = True
    codes = np.unique(np.min(ends, axis=1) * len(xy) + np.max(ends, axis=1))
    steps = list(_BESIDE_MM)
    while steps:
        thin = np.flatnonzero(width < _THIN_MM)
        thin = thin[~is_fixed[corners[thin]].all(axis=1)]
        if not len(thin):
            break
        near = np.zeros(len(xy), dtype=bool)
        near[corners[thin]] = True
        around = np.flatnonzero(near[corners[:, 0]] | near[corners[:, 1]] | near[corners[:, 2]])
        stars = _Stars(xy, corners, face, width, around[np.isfinite(width[around])])
        merged = _merged(stars, thin, is_fixed, depth, beside_mm=steps[0])
        repairs = [merged, _turned(stars, thin, is_fixed, codes)]
        if known is not None:
            repairs.append(_straightened(stars, thin, is_fixed, depth))
        done = _apart(*repairs, count=len(corners))
        if not len(done.row):
            del steps[0]
        corners[done.row], face[done.row] = done.corners, done.face
        goes = done.corners[:, 0] == done.corners[:, 1]
        width[done.row] = np.where(goes, np.inf, _widths(picked(xy, done.corners)))
        told = done.told[~is_fixed[done.told[:, 0]]]
        np.maximum.at(depth, told[:, 0], _depth_beside(xy, depth, told))
    kept = np.isfinite(width)
    mended = Triangles(xy, picked(corners, kept).astype(np.int32), face[kept], triangles.are_between)
    if known is None and np.any(width < GRID_MM):
        mended = _moved(mended, np.unique(corners[width < _THIN_MM]), is_fixed)  # with those that can spare some width
    return mended, depth


def _moved(triangles: Triangles, places: Ints, is_fixed: Bools) -> Triangles:
    """Places that thin triangles have go a step or two aside, where that makes what is around them wider."""
    xy, corners = triangles.places.copy(), triangles.corners
    places = places[~is_fixed[places]]
    around = corners[np.isin(corners, places).any(axis=1)]
    for place in np.tile(places, _TIMES):
        star = around[(around == place).any(axis=1)]
        tried = xy[star] + np.where((star == place)[..., None], _ASIDE_MM[:, None, None], 0.0)
        least = _widths(tried.reshape(-1, 3, 2)).reshape(len(_ASIDE_MM), -1).min(axis=1)
        if least[0] < _THIN_MM:  # the first one stays
            xy[place] += _ASIDE_MM[np.argmax(least)]
    order = np.argsort(plan_keys(xy))
    number = np.zeros(len(order), dtype=np.int32)
    number[order] = np.arange(len(order))
    return Triangles(xy[order], number[corners], triangles.face, triangles.are_between)


def _depth_beside(xy: Floats, depth: Floats, told: Ints) -> Floats:
    """Depth of lines beside places, (n, 3): the place and the ends of its line, which may be one."""
    share = _share_along(*picked(xy, told).swapaxes(0, 1))
    beside: Floats = depth[told[:, 1]] + share * (depth[told[:, 2]] - depth[told[:, 1]])
    return beside


def _widths(triangles: Floats) -> Floats:
    """Least altitude [mm] of plan triangles (n, 3, 2), negative where they run clockwise; 0 for a point."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    (ux, uy), (vx, vy) = (b - a).T, (c - a).T
    longest = np.maximum(np.maximum(ux * ux + uy * uy, vx * vx + vy * vy), (vx - ux) ** 2 + (vy - uy) ** 2)
    width: Floats = (ux * vy - uy * vx) / np.sqrt(np.maximum(longest, GRID_MM**2))
    return width


def _widths_of(xy: Floats, corners: Ints) -> Floats:
    """The same of triangles by their corners (n, 3), so many at once that what is laid out is small."""
    parts = np.array_split(corners, len(corners) // _AT_ONCE + 1)
    return np.concatenate([_widths(picked(xy, part)) for part in parts])


class _Stars:
    """Triangles around some places: `rows` of all of them that have a corner there, sorted by directed edge."""

    def __init__(self, xy: Floats, corners: Ints, face: Ints, width: Floats, rows: Ints) -> None:
        self.xy, self.corners, self.face, self.width = xy, corners, face, width
        around = picked(corners, rows)
        codes = (around * len(xy) + np.roll(around, -1, axis=1)).ravel()
        order = np.argsort(codes)
        self._codes = codes[order]
        self._row, self._side = rows[order // 3], order % 3

    def around(self, place: Ints) -> tuple[Ints, Ints, Ints, Ints]:
        """Triangles around places (n): number of the place, row, and the corners after it and before it."""
        first = np.searchsorted(self._codes, place * len(self.xy))
        many = np.searchsorted(self._codes, (place + 1) * len(self.xy)) - first
        at = np.repeat(first, many) + counted(many)
        row, side = self._row[at], self._side[at]
        return np.repeat(np.arange(len(place)), many), row, *self._others(row, side)

    def across(self, origin: Ints, target: Ints) -> tuple[Ints, Ints, Bools]:
        """The triangle on the other side of edges, its corner off the edge, and whether there is one."""
        codes = target * len(self.xy) + origin
        at = np.minimum(np.searchsorted(self._codes, codes), len(self._codes) - 1)
        row, side = self._row[at], self._side[at]
        return row, self._others(row, side)[1], self._codes[at] == codes

    def _others(self, row: Ints, side: Ints) -> tuple[Ints, Ints]:
        return self.corners.take(3 * row + (side + 1) % 3), self.corners.take(3 * row + (side + 2) % 3)


def _merged(stars: _Stars, thin: Ints, is_fixed: Bools, depth: Floats, *, beside_mm: float) -> _Repairs:
    """Take places into others beside them: what was around one is a fan around the other."""
    places = np.unique(stars.corners[thin])
    places = places[~is_fixed[places]]
    owner, _, after, _ = stars.around(places)
    merges = np.stack([places[owner], after], axis=1)
    apart_mm = np.hypot(*(picked(stars.xy, after) - picked(stars.xy, places[owner])).T)
    beside = apart_mm < _ALONG_MM
    merges, apart_mm = picked(merges, beside), apart_mm[beside]
    fans, spokes = _fans(stars, merges)
    may = np.abs(np.diff(picked(depth, merges), axis=1)[:, 0]) < _DEEPER_MM
    may &= ~is_fixed[merges[:, 1]] | (
        depth[merges[:, 0]] - depth[merges[:, 1]] < _THIN_MM / 2
    )  # a gap that narrow stays
    far = may & (fans.gain > 0) & (apart_mm >= beside_mm)
    may[apart_mm >= beside_mm] = False
    some = far[fans.owner]
    may[far] = _on_the_way(stars, merges, [of[some] for of in spokes], bend_mm=max(_THIN_MM, beside_mm / 4))[far]
    return fans._replace(told=merges[:, [1, 0, 0]], gain=np.where(may, fans.gain, 0.0))


def _straightened(stars: _Stars, thin: Ints, is_fixed: Bools, depth: Floats) -> _Repairs:
    """Take places that lie on a straight line between two others, in depth too, into either: however far that is.

    Where more lines meet, each further one ends at a hinge: beside both others, so that nothing but it goes.
    """
    places = np.unique(stars.corners[thin])
    places = places[~is_fixed[places]]
    owner, end = _lines_at(stars, *stars.around(places))
    few = np.bincount(owner, minlength=len(places))[owner] <= _LINES
    owner, end = owner[few], end[few]
    many = np.bincount(owner, minlength=len(places))
    one, other = _pairs(many)
    place, into, start = places[owner[one]], end[one], end[other]
    off_mm = np.abs(_depth_beside(stars.xy, depth, np.stack([place, start, into], axis=1)) - depth[place])
    away_mm = _away_mm(*(picked(stars.xy, at) for at in (place, start, into)))
    straight = (away_mm < _THIN_MM) & (off_mm < GRID_MM)
    merges, start = np.stack([place, into], axis=1)[straight], start[straight]
    fans, spokes = _fans(stars, merges)
    hinges = _hinges(stars, merges, start, *spokes)
    return fans._replace(gain=np.where(hinges == many[owner[one]][straight] - 2, fans.gain, 0.0))


def _hinges(stars: _Stars, merges: Ints, start: Ints, *spokes: Ints) -> Ints:
    """Number of lines at places whose other end lies beside both what the place goes to and the start, all of them far.

    Within some steps any place is straight between any two.
    """
    owner, _, after, before = spokes
    line, end = _lines_at(stars, *spokes)
    is_hinge = np.ones(len(line), dtype=bool)
    for other in (merges[:, 1], start):
        is_after, is_before = after == other[owner], before == other[owner]
        beside = owner * len(stars.xy) + np.where(is_after, before, after)
        is_hinge &= np.isin(line * len(stars.xy) + end, beside[is_after | is_before])
    for other in (end, merges[line, 1], start[line]):
        is_hinge &= np.hypot(*(picked(stars.xy, other) - picked(stars.xy, merges[line, 0])).T) >= _BESIDE_MM[-1]
    return np.bincount(line, is_hinge, minlength=len(merges))


def _pairs(many: Ints) -> tuple[Ints, Ints]:
    """Pairs of different numbers within groups of so `many`, both ways round."""
    group = np.repeat(np.arange(len(many)), many)
    one = np.repeat(np.arange(len(group)), many[group])
    other = (np.cumsum(many) - many)[group[one]] + counted(many[group])
    apart = one != other
    return one[apart], other[apart]


def _fans(stars: _Stars, merges: Ints) -> tuple[_Repairs, tuple[Ints, Ints, Ints, Ints]]:
    """What is around the first of each pair as a fan around the second, and what was there, as `_Stars.around` has it.

    No gain where the star is not closed, or the second lies beyond it. All depths stay.
    """
    owner, row, after, before = stars.around(merges[:, 0])
    into, count = merges[owner, 1], len(merges)
    goes = (after == into) | (before == into)
    new = np.where(goes[:, None], into[:, None], np.stack([into, after, before], axis=1))
    may = np.bincount(owner, goes, minlength=count) == 2
    may &= np.bincount(owner, after, minlength=count) == np.bincount(owner, before, minlength=count)
    gain = _gain(owner, np.where(goes, np.inf, _widths(picked(stars.xy, new))), stars.width[row], count=count)
    fans = _Repairs(owner, row, new, stars.face[row], merges[:, [1, 1, 1]], np.where(may, gain, 0.0))
    return fans, (owner, row, after, before)


def _lines_at(stars: _Stars, owner: Ints, row: Ints, after: Ints, before: Ints) -> tuple[Ints, Ints]:
    """Lines between faces at places whose surroundings these are: number of the place, and the line's other end."""
    ahead, behind = np.lexsort((after, owner)), np.lexsort((before, owner))  # both sides of each edge from the place
    parts = stars.face[row[ahead]] != stars.face[row[behind]]
    return owner[ahead][parts], after[ahead][parts]


def _on_the_way(stars: _Stars, merges: Ints, spokes: Sequence[Ints], *, bend_mm: float) -> Bools:
    """Which places would bend no line by more than that: each runs on by the other place, or out beside it."""
    owner, end = _lines_at(stars, *spokes)
    other = end != merges[owner, 1]
    owner, out = owner[other], picked(stars.xy, end[other])
    place, into = picked(stars.xy, picked(merges, owner)).swapaxes(0, 1)
    runs_on = _away_mm(place, into, out) < bend_mm
    bends = ~runs_on & (_away_mm(into, place, out) >= bend_mm)
    lines, on, bent = (np.bincount(owner, of, minlength=len(merges)) for of in (np.ones(len(owner)), runs_on, bends))
    straight: Bools = (bent == 0) & ((on > 0) | (lines == 0))
    return straight


def _away_mm(place: Floats, start: Floats, end: Floats) -> Floats:
    """Distance of places (n, 2) to lines from start to end."""
    along, off = end - start, place - start
    away: Floats = np.hypot(*(off - _share_along(place, start, end)[:, None] * along).T)
    return away


def _share_along(place: Floats, start: Floats, end: Floats) -> Floats:
    """Where on lines (n) the place nearest to each of these (n, 2) lies: 0 at the start, 1 at the end."""
    along = end - start
    share = np.sum((place - start) * along, axis=1) / np.maximum(np.sum(along * along, axis=1), GRID_MM**2)
    return np.asarray(np.clip(share, 0.0, 1.0))


def _turned(stars: _Stars, thin: Ints, is_fixed: Bools, fixed_codes: Ints) -> _Repairs:
    """Lay edges the other way across the two triangles beside them, where they part no face or are as good as met."""
    origin, target, off = (np.roll(picked(stars.corners, thin), -k, axis=1).ravel() for k in range(3))
    row = np.repeat(thin, 3)
    other, opposite, found = stars.across(origin, target)
    codes = np.minimum(origin, target) * len(stars.xy) + np.maximum(origin, target)
    stays = fixed_codes[np.minimum(np.searchsorted(fixed_codes, codes), len(fixed_codes) - 1)] == codes
    at = picked(stars.xy, origin)
    along, to_off = picked(stars.xy, target) - at, picked(stars.xy, off) - at
    off_mm = (along[:, 0] * to_off[:, 1] - along[:, 1] * to_off[:, 0]) / np.hypot(*along.T)
    met = off_mm < np.where(stays, PASSING_MM, _THIN_MM) / (1 + is_fixed[off])
    may = np.flatnonzero(found & (met | ~stays & (stars.face[row] == stars.face[other])) & ~(stays & is_fixed[off]))
    row, other, origin, target, off, opposite = (of[may] for of in (row, other, origin, target, off, opposite))
    new = np.concatenate([np.stack([origin, opposite, off], axis=1), np.stack([opposite, target, off], axis=1)])
    owner, rows = np.tile(np.arange(len(row)), 2), np.concatenate([row, other])
    gain = _gain(owner, _widths(picked(stars.xy, new)), stars.width[rows], count=len(row))
    wider = np.where(stars.width[row] > stars.width[other], row, other)
    return _Repairs(owner, rows, new, np.tile(stars.face[wider], 2), np.stack([off, origin, target], axis=1), gain)


def _gain(owner: Ints, widths: Floats, before: Floats, *, count: int) -> Floats:
    least, was = np.full(count, np.inf), np.full(count, np.inf)
    np.minimum.at(least, owner, widths)
    np.minimum.at(was, owner, before)
    return np.where(least > was, least, 0.0)


def _apart(*kinds: _Repairs, count: int) -> _Repairs:
    """Of all ways the best that share no triangle; `count` triangles there are."""
    starts = np.cumsum([0, *(len(kind.gain) for kind in kinds)])
    owner = np.concatenate([kind.owner + start for kind, start in zip(kinds, starts[:-1], strict=True)])
    row, corners, face, told, gain = (np.concatenate(of) for of in list(zip(*kinds, strict=True))[1:])
    rank = np.zeros(len(gain), dtype=np.int64)
    rank[np.argsort(-gain, kind="stable")] = np.arange(len(gain))
    first = np.full(count, len(gain))
    np.minimum.at(first, row, np.where(gain > 0, rank, len(gain))[owner])
    free = gain > 0
    free[owner[first[row] < rank[owner]]] = False
    done = free[owner]
    return _Repairs(owner[done], row[done], corners[done], face[done], told[free], gain[free])
