"""When the front comes past each point of the target's outline, and the pieces of it that each level follows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree

from stampwright.base.counting import picked

from .clip import inserted, last_passing, runs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stampwright.plane import Strips

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Geometries = NDArray[np.object_]

NEVER = 1 << 30
_CHUNK = 16  # vertices of a line looked at together
_APART_MM = 1e4  # between levels in the tree of ends, so that none is near an end of another level


@dataclass(frozen=True, slots=True)
class Outline:
    """Points in a row along the rings of an area, (n, 2), and of which ring each is, (n,)."""

    points: Floats
    ring: Ints


def chunks(lines: Geometries) -> tuple[Geometries, Ints]:
    """Cut lines into short ones, for trees that find by boxes; and of which line each is."""
    points, line = shapely.get_coordinates(lines, return_index=True)
    nth = np.arange(len(line)) - np.searchsorted(line, line)
    last = np.append(line[1:] != line[:-1], [True])[: len(line)]
    split = (nth % _CHUNK == 0) & (nth > 0) & ~last
    twice = np.repeat(np.arange(len(line)), 1 + split)
    line = line.take(twice)
    begins = np.concatenate([[True], (line[1:] != line[:-1]) | (twice[1:] == twice[:-1])])[: len(twice)]
    return shapely.linestrings(picked(points, twice), indices=np.cumsum(begins) - 1), line[begins]


def arrivals(points: Floats, free: Strips, edges: Sequence[Geometries], stepover_mm: float) -> Ints:
    """Level at which the front comes within a stepover of each point: 0 in free ground, `NEVER` where it does not."""
    level = np.where(free.hold(*points.T), 0, NEVER)
    asked = np.flatnonzero(level)
    lines, line = chunks(np.concatenate(edges))
    of_line = np.repeat(np.arange(len(edges)), [len(edge) for edge in edges])
    at_places = shapely.points(picked(points, asked))
    at, near = shapely.STRtree(lines).query(at_places, predicate="dwithin", distance=stepover_mm)
    np.minimum.at(level, asked.take(at), of_line.take(line.take(near)) + 1)
    return level


def into_tips(outline: Outline, level: Ints, longest_mm: float) -> Ints:
    """Give what was never reached of an outline the level before or behind it, the later one, where it is short.

    The front ends in front of a tip narrower than the steps in which it is looked at; its sides are followed on.
    """
    points, ring = outline.points, outline.ring
    if not len(points):
        return level
    run = np.concatenate([[0], np.cumsum((level[1:] != level[:-1]) | (ring[1:] != ring[:-1]))])
    first = np.unique(run, return_index=True)[1]
    last = np.append(first[1:], len(points)) - 1
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    before, behind = np.maximum(first - 1, 0), np.minimum(last + 1, len(points) - 1)
    # a run that holds the point where its ring is closed comes in two, each with a neighbour on one side only
    before = np.where(ring[before] == ring[first], before, first)
    behind = np.where(ring[behind] == ring[first], behind, last)
    beside = [np.where(level[at] < NEVER, level[at], -1) for at in (before, behind)]
    given = np.maximum(*beside)
    taken = (level[first] == NEVER) & (given >= 0) & (along[behind] - along[before] <= longest_mm)
    return np.where(taken[run], given[run], level)


def boxes_of(outline: Outline, chosen: NDArray[np.bool_], around_mm: float) -> Floats:
    """Boxes apart from each other, (n, 4), around the runs of chosen points of an outline and so much more."""
    at = np.flatnonzero(chosen)
    if not len(at):
        return np.zeros((0, 4))
    points, ring = outline.points[at], outline.ring[at]
    first = np.flatnonzero(np.append([True], (np.diff(at) > 1) | (np.diff(ring) != 0)))
    low, high = np.minimum.reduceat(points, first) - around_mm, np.maximum.reduceat(points, first) + around_mm
    boxes, count = np.column_stack([low, high]), 0
    while len(boxes) != count:
        count = len(boxes)
        boxes = shapely.bounds(shapely.get_parts(shapely.union_all(shapely.box(*boxes.T))))
    return np.asarray(boxes)


def outline_pieces(
    outline: Outline, level: Ints, edges: Sequence[Geometries], *, free: Strips, near_mm: float
) -> tuple[Geometries, Ints]:
    """Runs of the outline that are reached at one level, and their levels; they meet the front's own ends.

    Where the level rises along the outline, the front of the lower one begins, where it falls, that one ends.
    """
    points, ring = outline.points, outline.ring
    change = np.flatnonzero((ring[1:] == ring[:-1]) & (level[1:] != level[:-1]))
    rises = level[change] < level[change + 1]
    low = np.minimum(level[change], level[change + 1])
    meeting = np.where(rises[:, None], points[change], points[change + 1])
    middle = (points[change] + points[change + 1]) / 2
    for which, at in ((rises, 0), (~rises, -1)):
        meeting[which] = _snapped(meeting[which], middle[which], low[which], _ends_of(edges, at), near_mm)
    begins = low == 0
    at_free = last_passing(
        points[change[begins]], points[change[begins] + 1], partial(_outside, free), forward=~rises[begins]
    )
    meeting[begins] = at_free
    most = int(level[level < NEVER].max(initial=0)) + 1
    key = np.where((level > 0) & (level < NEVER), ring * most + level, -1)
    meets = np.repeat(meeting, 2, axis=0), np.column_stack([key[change], key[change + 1]]).ravel()
    lines, key = runs(*inserted(points, key, np.repeat(change + 1, 2), *meets))
    return lines, key % most


def _outside(free: Strips, points: Floats) -> NDArray[np.bool_]:
    return ~free.hold(*points.T)


def _ends_of(edges: Sequence[Geometries], at: int) -> Floats:
    level = np.repeat(np.arange(len(edges)), [len(edge) for edge in edges])
    return np.column_stack([shapely.get_coordinates(shapely.get_point(np.concatenate(edges), at)), level * _APART_MM])


def _snapped(meeting: Floats, middle: Floats, level: Ints, ends: Floats, near_mm: float) -> Floats:
    if not len(ends) or not len(meeting):
        return meeting
    away, nearest = cKDTree(ends).query(np.column_stack([middle, level * _APART_MM]))
    close = (away < near_mm) & (level > 0)
    return np.where(close[:, None], ends[nearest, :2], meeting)
