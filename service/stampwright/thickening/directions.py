"""Which way walls lead on: the grid lets those of some micrometres point anywhere.

A lone crumb leads on as the longer of the walls that it lies between. Many short walls in a row are an arc drawn
finely; each of these leads on as the chord of what lies about it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.counting import picked

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_SHORT, _ROW = 4.0, 12.0  # longest crumbs: a wall of an arc drawn finely is no longer, a row of such walls is
_ABOUT = 2.0  # longest crumbs before a wall of such a row, and after it, that tell its direction


def directions(start: Floats, run: Floats, length_mm: Floats, first: Ints, crumb_mm: float) -> tuple[Floats, Bools]:
    """Directions of walls (k, 2), and which are crumbs, (k,): no longer than `crumb_mm`, and no part of an arc.

    `first` (rings,) are the first walls of the rings, one after the other; `run` (k, 2) leads from start to end.
    """
    crumb, short = length_mm <= crumb_mm, length_mm <= _SHORT * crumb_mm
    if not short.any():
        return run, crumb
    many = np.diff(np.append(first, len(run)))
    before, after, _ = _beside(crumb, first, many)
    along = picked(run, np.where(length_mm[after] > length_mm[before], after, before))
    before, after, alone = _beside(short, first, many)
    total = np.append(0.0, np.cumsum(length_mm))
    ring_mm, round_mm = np.repeat(total[first], many), np.repeat(total[first + many] - total[first], many)
    here = total[:-1] - ring_mm
    end = here + length_mm
    back, ahead = here - end[before], here[after] - end
    back, ahead = (np.where(way < -crumb_mm, way + round_mm, np.maximum(way, 0.0)) for way in (back, ahead))
    fine = np.flatnonzero(short & (alone | (back + length_mm + ahead > _ROW * crumb_mm)))
    if not len(fine):
        return along, crumb
    most = np.where(alone[fine], round_mm[fine] / 4, np.inf)
    back, ahead = (np.minimum(np.where(alone, np.inf, way)[fine], _ABOUT * crumb_mm) for way in (back, ahead))
    ring = np.searchsorted(first, fine, side="right") - 1
    ways = here[fine] - np.minimum(back, most), end[fine] + np.minimum(ahead, most)
    from_there, to_there = (_placed(start, run, total, (first[ring], many[ring]), way) for way in ways)
    chord = to_there - from_there
    along[fine] = chord / np.hypot(*chord.T)[:, None]
    crumb[fine] = False
    return along, crumb


def _beside(short: Bools, first: Ints, many: Ints) -> tuple[Ints, Ints, Bools]:
    """The wall before and that after the row of short ones in which each lies, and whether its ring has these alone.

    A wall that is not short stands for itself, and so does each where there are short ones alone.
    """
    index, count = np.arange(len(short)), len(short)
    start, last = np.repeat(first, many), np.repeat(first + many - 1, many)
    before = np.maximum.accumulate(np.where(short, -1, index))
    before = np.where(before >= start, before, before[last])  # of the ring: its last stands before its first
    after = np.minimum.accumulate(np.where(short, count, index)[::-1])[::-1]
    after = np.where(after <= last, after, after[start])
    alone = before < start
    return np.where(alone, index, before), np.where(alone, index, after), alone


def _placed(start: Floats, run: Floats, total: Floats, ring: tuple[Ints, Ints], way: Floats) -> Floats:
    """Places (q, 2) so far along their rings, each told by its first wall and how many it has, and round again."""
    first, many = ring
    from_first = np.mod(way, total[first + many] - total[first])
    wall = np.searchsorted(total, total[first] + from_first, side="right") - 1
    wall = np.clip(wall, first, first + many - 1)
    beyond = total[first] + from_first - total[wall]
    return np.asarray(picked(start, wall) + beyond[:, None] * picked(run, wall))
