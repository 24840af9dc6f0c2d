r"""Necks: where a pointed cutter comes from both sides to the narrowest place of a gap, and leaves a ridge across it.

    land \___  ___/        P, Q: places beside the neck where the tip stands equally deep
            p\/            p: as near to both as the tip is wide, t: the last place of that depth from either side
         P   ||   Q
           p/\             The crease runs through all p: at its ends as high as the tip comes through the neck itself,
          __||__           deepest in the middle, where P and Q are 2t apart.
    land /      \

Lengths in mm; depths are told by the width of the flank from the face down.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.base.counting import counted

from .slopes import Lines, step_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

_LEAST_MM = 1e-12  # keeps divisions finite


class Necks(NamedTuple):
    """Where necks are (k, 2), and the creases across them."""

    xy: Floats
    creases: Lines


class _Ways(NamedTuple):
    """Places of the axis (n), their depth, and the next one up from each: itself where it is the deepest near by."""

    xy: Floats
    depth: Floats
    up: Ints
    neck: Ints  # (k,): places from which the axis rises to two sides
    beside: Ints  # (k, 2): the next place on both sides


class _Pairs(NamedTuple):
    """Places of one level on both sides of necks, (n, side, 2), from each neck up."""

    xy: Floats
    level: Floats
    neck: Ints


def necks_of(axis: Lines, *, tip_mm: float, least_gain_mm: float, chord_mm: float) -> Necks:
    """Find all necks of the axis (n, ends); `depth` as distance to the ink less the tip's half width.

    Necks beside which the axis rises by less than `least_gain_mm` within the tip's width show no crease.
    """
    ways = _ways(axis)
    pairs = _pairs(ways, tip_mm=tip_mm)
    gain = np.zeros(len(ways.neck))
    np.maximum.at(gain, pairs.neck, pairs.level - ways.depth[ways.neck[pairs.neck]])
    shown = gain >= least_gain_mm
    of_shown = shown[pairs.neck]
    pairs = _Pairs(pairs.xy[of_shown], pairs.level[of_shown], pairs.neck[of_shown])
    return Necks(ways.xy[ways.neck[shown]], _creases(pairs, tip_mm=tip_mm, chord_mm=chord_mm))


def _ways(axis: Lines) -> _Ways:
    """Ends of lines that are the same place become one. Level runs rise in the order of their places."""
    ends = axis.xy.reshape(-1, 2)
    _, first, index = np.unique(ends[:, 0] + 1j * ends[:, 1], return_index=True, return_inverse=True)
    xy, depth = ends[first], axis.depth.ravel()[first]
    places = np.arange(len(depth))
    rank = np.zeros(len(depth), dtype=np.int64)
    rank[np.lexsort((places, depth))] = places
    pair = index.reshape(-1, 2)
    low, high = np.take_along_axis(pair, np.argsort(rank[pair], axis=1), axis=1)[pair[:, 0] != pair[:, 1]].T
    order = np.lexsort((-rank[high], low))
    low, high = low[order], high[order]
    nth = counted(np.bincount(low, minlength=len(depth)))  # of the lines that rise from one place, the steepest first
    up = places.copy()
    up[low[nth == 0]] = high[nth == 0]
    second = np.flatnonzero(nth == 1)
    return _Ways(xy, depth, up, low[second], np.column_stack([high[second - 1], high[second]]))


def _pairs(ways: _Ways, *, tip_mm: float) -> _Pairs:
    """Up both sides of every neck at once, from place to place, as long as one tip reaches both."""
    neck = np.arange(len(ways.neck))
    at, ahead = np.stack([ways.neck] * 2, axis=1), ways.beside
    found = [_Pairs(ways.xy[at], ways.depth[ways.neck], neck)]
    while len(neck):
        level = ways.depth[ahead].min(axis=1)
        xy = _at(ways, at, ahead, level)
        found.append(_Pairs(xy, level, neck))
        reached = ways.depth[ahead] <= level[:, None]
        at, ahead = np.where(reached, ahead, at), np.where(reached, ways.up[ahead], ahead)
        goes_on = (np.hypot(*(xy[:, 1] - xy[:, 0]).T) < 2 * tip_mm) & np.all(at != ahead, axis=1)
        neck, at, ahead = neck[goes_on], at[goes_on], ahead[goes_on]
    xy, level, neck = (np.concatenate(of) for of in zip(*found, strict=True))
    order = np.argsort(neck, kind="stable")
    return _Pairs(xy[order], level[order], neck[order])


def _at(ways: _Ways, low: Ints, high: Ints, level: Floats) -> Floats:
    """Where the ways from places up to the next, (n, side), come to a level; at the end of a level run."""
    rise = ways.depth[high] - ways.depth[low]
    share = np.where(rise > _LEAST_MM, (level[:, None] - ways.depth[low]) / np.maximum(rise, _LEAST_MM), 1.0)
    at: Floats = ways.xy[low] + np.clip(share, 0.0, 1.0)[..., None] * (ways.xy[high] - ways.xy[low])
    return at


def _creases(pairs: _Pairs, *, tip_mm: float, chord_mm: float) -> Lines:
    """Lines through all p between one pair and the next, from where the tip comes through to 2t apart.

    Even in the angle under which p sees half the pair.
    """
    row = np.flatnonzero(pairs.neck[1:] == pairs.neck[:-1])
    middle, half = pairs.xy.mean(axis=1), (pairs.xy[:, 1] - pairs.xy[:, 0]) / 2
    start, along = half[row], (half[1:] - half[:-1])[row]
    rise = pairs.level[row + 1] - pairs.level[row]
    closed = np.clip(-pairs.level[row] / np.maximum(rise, _LEAST_MM), 0.0, 1.0)  # share that is above the face
    ends = np.stack([start + closed[:, None] * along, start + along], axis=1)
    low, high = np.arcsin(np.minimum(np.hypot(ends[..., 0], ends[..., 1]) / tip_mm, 1.0)).T
    kept = (pairs.level[row + 1] > 0) & (high > low)
    row, start, along, rise, low, high = (of[kept] for of in (row, start, along, rise, low, high))
    count = np.maximum(np.ceil((high - low) / step_of(tip_mm, chord_mm=chord_mm) - 1e-9), 1).astype(np.int64)
    run = np.repeat(np.arange(len(row)), count + 1)
    angle = low[run] + counted(count + 1) / count[run] * (high - low)[run]
    share = _share_at(start[run], along[run], tip_mm * np.sin(angle))[:, None]
    at = middle[row[run]] + share * (middle[1:] - middle[:-1])[row[run]]
    across = _turned(start[run] + share * along[run], along[run])
    offset = tip_mm * np.cos(angle)[:, None] * across
    level = pairs.level[row[run]] + share[:, 0] * rise[run]
    joined = run[1:] == run[:-1]
    xy = [np.stack([side[:-1], side[1:]], axis=1)[joined] for side in (at + offset, at - offset)]
    return Lines(np.concatenate(xy), np.concatenate([np.stack([level[:-1], level[1:]], axis=1)[joined]] * 2))


def _share_at(start: Floats, along: Floats, length: Floats) -> Floats:
    """How far along a vector that grows from `start` by `along` comes to a length."""
    a = np.maximum(np.sum(along * along, axis=1), _LEAST_MM**2)
    b = np.sum(start * along, axis=1)
    c = np.sum(start * start, axis=1) - length * length
    share: Floats = np.clip((np.sqrt(np.maximum(b * b - a * c, 0.0)) - b) / a, 0.0, 1.0)
    return share


def _turned(half: Floats, along: Floats) -> Floats:
    """Unit vectors at right angles to half the pair; at the neck itself, where that is none, to the way it takes."""
    ahead = np.where((np.hypot(*half.T) > _LEAST_MM)[:, None], half, along)
    unit: Floats = np.column_stack([-ahead[:, 1], ahead[:, 0]]) / np.maximum(np.hypot(*ahead.T), _LEAST_MM)[:, None]
    return unit
