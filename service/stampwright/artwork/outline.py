"""Strokes to rings that fill nonzero, as SVG 2 defines them: the union of the pen's line swept along, joins and caps.

The outline runs along the left side and back along the right. At the outside of a corner it follows the join; at the
inside it goes through the corner itself, so that every piece (body of a chord, wedge of a join) winds the same way and
the nonzero fill is their union. Where a curve is tighter than half the width, the bodies fold over on its inner side,
about the centres of curvature: there the outline keeps to the middle, and what lies on both sides of the centres
follows as rings of their own, turned to wind like the rest.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.base.counting import counted

from .dashes import dashed
from .trace import Runs
from .vectors import angles_between, cross, left

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .display import Pen
    from .flatten import Asked

_LONGEST = 1e6  # widths: a longer mitre has no tip on any page
_SQUARE = ((-1, -1), (-1, 1), (1, -1), (1, 1))  # around a point
_TIGHT = 1e-9  # a curve of just half the width as its radius does not fold, whatever the last digits say
_MORE_THAN_HALF = 1.1 * math.pi
_STRAIGHT = 1e-7  # rad: a corner that turns less is none; half a width of 10 mm is then off by 1e-6 mm


def outline(
    runs: Runs, pen: Pen, *, sagitta: float, asked: Asked | None = None, folding: bool = True
) -> list[NDArray[np.float64]]:
    """Rings of a stroke, all winding the same way, each (n, 2).

    `sagitta`: of round joins and caps; `asked`: where they are finer. Not `folding`: both sides at half the width
    throughout, as many programs take a stroke; then rings are missing.
    """
    half = pen.width / 2
    if not len(runs.points):
        return []
    if pen.dashes:
        pieces = dashed(runs, pen.dashes, pen.dash_offset)
        if not pieces:
            return []
        runs = Runs.of(pieces)
    rounds = _Rounds(half, sagitta, asked)
    return [*_bodies(_Line.along(runs), pen, rounds, folding=folding), *_dots(runs, pen, rounds)]


def winds_within(runs: Runs, half: float) -> bool:
    """Whether a run turns to one side by more than half a circle where it is tighter than the pen.

    Both sides of a stroke then go about the same ground, one against the other: many programs leave a hole there.
    """
    line = _Line.along(runs)
    if not len(line.closed):
        return False
    folds, _ = _folds(line, line.points[line.after], half)
    turn = angles_between(line.start, line.end)
    return bool((np.add.reduceat(np.where(folds, turn, 0.0), line.bounds[:-1], axis=1) > _MORE_THAN_HALF).any())


class _Rounds(NamedTuple):
    """Round joins and caps: half the pen's width, their chord error, and where a finer one is asked for."""

    half: float
    sagitta: float
    asked: Asked | None

    def steps(self, at: NDArray[np.float64]) -> NDArray[np.float64]:
        """Angles (n,) that chords of the circles around points (n, 2) span [rad]; one for all where they are alike."""
        least = np.array(self.sagitta)
        if self.asked is not None:
            least = np.minimum(least, self.asked(np.array([at + self.half * np.array(way) for way in _SQUARE])))
        return np.asarray(2 * np.arccos(np.maximum(1 - least / self.half, math.cos(math.pi / 8))))


class _Line(NamedTuple):
    """Runs with length, their points in one row: neighbours of each point, and which chords there are."""

    points: NDArray[np.float64]  # (n, 2)
    start: NDArray[np.float64]  # (n, 2): directions of the chord that leaves each point
    end: NDArray[np.float64]
    leads: NDArray[np.bool_]  # (n,): whether there is one
    nodes: NDArray[np.bool_]
    before: NDArray[np.intp]  # (n,): the point before, itself at an open end
    after: NDArray[np.intp]
    bounds: NDArray[np.intp]  # (r + 1,)
    closed: NDArray[np.bool_]  # (r,)

    @classmethod
    def along(cls, runs: Runs) -> _Line:
        """Lay the neighbours; runs without length are left out."""
        counts = np.diff(runs.first)
        long = runs.leads[runs.first[:-1]]
        here = slice(None) if long.all() else np.repeat(long, counts)
        bounds = np.concatenate([[0], np.cumsum(counts[long])])
        first, last, closed = bounds[:-1], bounds[1:] - 1, runs.closed[long]
        index = np.arange(int(bounds[-1]))
        before, after = index - 1, index + 1
        before[first] = np.where(closed, last, first)
        after[last] = np.where(closed, first, last)
        start = runs.start[here]
        end = start if runs.start is runs.end else runs.end[here]
        return cls(
            runs.points[here], start, end, runs.leads[here], runs.nodes[here], before, after, bounds, runs.closed[long]
        )


def _bodies(line: _Line, pen: Pen, rounds: _Rounds, *, folding: bool) -> list[NDArray[np.float64]]:
    """Rings of all runs with length: left sides on, right sides back, caps at open ends; then what folds over."""
    if not len(line.closed):
        return []
    lefts, rights, folded = _sides(line, pen, rounds, folding=folding)
    open_first, open_last = line.bounds[:-1][~line.closed], line.bounds[1:][~line.closed] - 1
    firsts = iter(_caps(line.points[open_first], -line.start[open_first], pen.cap, rounds))
    lasts = iter(_caps(line.points[open_last], line.end[line.before[open_last]], pen.cap, rounds))
    rings: list[NDArray[np.float64]] = []
    for on, back, closed in zip(lefts, rights, line.closed.tolist(), strict=True):
        rings += [on, back[::-1]] if closed else [np.concatenate([on, next(lasts), back[::-1], next(firsts)])]
    return [*rings, *folded]


def _dots(runs: Runs, pen: Pen, rounds: _Rounds) -> list[NDArray[np.float64]]:
    """Subpaths without length: their caps alone. A lone move draws nothing."""
    first = runs.first[:-1]
    at = runs.points[first[~runs.leads[first] & (runs.closed | runs.drawn)]]
    if pen.cap == "butt" or not len(at):
        return []
    ahead = np.tile([1.0, 0.0], (len(at), 1))
    side = rounds.half * left(ahead)[:, None]
    caps = [_caps(at, way, pen.cap, rounds) for way in (ahead, -ahead)]
    return list(map(np.concatenate, zip(at[:, None] + side, caps[0], at[:, None] - side, caps[1], strict=True)))


def _caps(at: NDArray[np.float64], ahead: NDArray[np.float64], cap: str, rounds: _Rounds) -> list[NDArray[np.float64]]:
    """Points between the left and the right corner of each of n ends (n, 2) that look `ahead`."""
    if cap == "butt":
        return [np.zeros((0, 2))] * len(at)
    if cap == "square":
        across = left(ahead)
        return list(at[:, None] + rounds.half * np.stack([across + ahead, ahead - across], axis=1))
    steps = rounds.steps(at)
    if not steps.ndim:
        return list(_round_caps(at, ahead, rounds.half, float(steps)))
    ends = zip(at[:, None], ahead[:, None], steps.tolist(), strict=True)
    return [_round_caps(one, way, rounds.half, step)[0] for one, way, step in ends]


def _round_caps(at: NDArray[np.float64], ahead: NDArray[np.float64], half: float, step: float) -> NDArray[np.float64]:
    """Points (n, points, 2) between the corners of n ends."""
    parts = math.ceil(math.pi / step)
    angle = (np.arange(1, parts) * (math.pi / parts))[:, None]
    ahead = ahead[:, None]
    return np.asarray(at[:, None] + half * (left(ahead) * np.cos(angle) + ahead * np.sin(angle)))


class _Corners(NamedTuple):
    """Every point of a line as a corner, on its left (row 0) and its right: what the outline does there."""

    turn: NDArray[np.float64]  # (n,)
    smooth: NDArray[np.bool_]  # (n,)
    into: NDArray[np.float64]  # (2, n, 2): from the point to the outline, before and after the corner
    out: NDArray[np.float64]
    rounded: NDArray[np.bool_]  # (2, n), and so on
    mitred: NDArray[np.bool_]
    inside: NDArray[np.bool_]
    extra: NDArray[np.int64]  # points between the two


def _corners(line: _Line, pen: Pen, rounds: _Rounds) -> _Corners:
    half = rounds.half
    index = np.arange(len(line.leads))
    before = np.where((line.before == index)[:, None], line.start, line.end[line.before])
    after = np.where(line.leads[:, None], line.start, before)
    turn = np.arctan2(cross(before, after), (before * after).sum(axis=1))
    smooth = np.abs(turn) < _STRAIGHT
    outside = ~smooth & np.array([turn < 0, turn >= 0])
    rounded = outside if pen.join == "round" else outside & ~line.nodes
    mitred = outside & ~rounded
    # the length of a mitre over the width is 1 / sin(half the angle) = 1 / cos(half the turn)
    mitred &= (pen.join == "miter") & (np.cos(turn / 2) * min(pen.mitre_limit, _LONGEST) >= 1 - 1e-12)
    inside = ~smooth & ~outside
    extra = np.where(rounded, np.ceil(np.abs(turn) / rounds.steps(line.points)).astype(np.int64) - 1, 0)
    extra[mitred | inside] = 1
    into, out = half * left(before), half * left(after)
    return _Corners(turn, smooth, np.array([into, -into]), np.array([out, -out]), rounded, mitred, inside, extra)


def _sides(
    line: _Line, pen: Pen, rounds: _Rounds, *, folding: bool
) -> tuple[list[NDArray[np.float64]], list[NDArray[np.float64]], list[NDArray[np.float64]]]:
    """Left and right side of every run from its first point to its last, and the rings of what folds over."""
    corners = _corners(line, pen, rounds)
    ahead = line.points[line.after]
    folds, centre_at = _folds(line, ahead, rounds.half)
    folds &= folding
    counts = np.zeros((2, len(line.points), 2), dtype=np.int64)  # of corners, and of the chords that follow them
    shows = ~_amid(folds, corners.smooth, line)
    counts[:, :, 0] = np.where(corners.smooth, shows, 2 + corners.extra)
    counts[:, :, 1] = 2 * folds
    first = (np.cumsum(counts) - counts.ravel()).reshape(counts.shape)
    at, of_chord = first[:, :, 0], first[:, :, 1]
    side = np.zeros((int(counts.sum()), 2))
    side[at[shows]] = (line.points + corners.into)[shows]
    side[(at + counts[:, :, 0] - 1)[shows]] = (line.points + corners.out)[shows]
    _write_joins(side, at, line.points, corners)
    rings: list[NDArray[np.float64]] = []
    if folds.any():
        a, b = np.array([line.points, line.points])[folds], np.array([ahead, ahead])[folds]
        side[of_chord[folds]], side[of_chord[folds] + 1] = a, b
        rings = _folded(line, ahead, rounds.half, folds, centre_at, corners.smooth)
    cuts = np.concatenate([at[0, line.bounds[:-1]], at[1, line.bounds[:-1]], [len(side)]]).tolist()
    parts = [side[i:j] for i, j in itertools.pairwise(cuts)]
    return parts[: len(line.closed)], parts[len(line.closed) :], rings


def _amid(folds: NDArray[np.bool_], smooth: NDArray[np.bool_], line: _Line) -> NDArray[np.bool_]:
    """Points between two folded chords: there the outline stays in the middle, and shows no point of its own."""
    return np.asarray(folds & folds[:, line.before] & smooth & (line.before != np.arange(len(smooth))))


def _write_joins(
    side: NDArray[np.float64], at: NDArray[np.int64], points: NDArray[np.float64], corners: _Corners
) -> None:
    """Write what stands between the two points of a corner: the corner itself, a mitre's tip, an arc."""
    inside, tips, rounded = map(np.nonzero, (corners.inside, corners.mitred, corners.rounded))  # side, point
    side[at[inside] + 1] = points[inside[1]]
    if len(tips[1]):
        stretch = 1 / (1 + np.cos(corners.turn[tips[1]]))
        side[at[tips] + 1] = points[tips[1]] + (corners.into[tips] + corners.out[tips]) * stretch[:, None]
    if len(rounded[1]):
        extra = corners.extra[rounded]
        which = np.repeat(np.arange(len(extra)), extra)
        k = counted(extra) + 1
        angle = (corners.turn[rounded[1]][which] * k / (extra[which] + 1))[:, None]
        into = corners.into[rounded][which]
        arcs = points[rounded[1]][which] + into * np.cos(angle) + left(into) * np.sin(angle)
        side[at[rounded][which] + k] = arcs


def _folds(line: _Line, ahead: NDArray[np.float64], half: float) -> tuple[NDArray[np.bool_], NDArray[np.float64]]:
    """Which chords' bodies fold over on each side: those whose end lines meet within half the width.

    And how far to the left of each chord's start they meet, (n,).
    """
    if line.start is line.end:  # straight throughout
        return np.zeros((2, len(ahead)), dtype=bool), np.zeros(len(ahead))
    first, last, along = left(line.start), left(line.end), ahead - line.points
    across = cross(first, last)
    from_a, from_b = cross(along, last) / across, cross(along, first) / across
    nearer, farther = np.minimum(from_a, from_b), np.maximum(from_a, from_b)
    tight = half * (1 - _TIGHT)
    folds = np.array([(nearer > 0) & (farther < tight), (farther < 0) & (nearer > -tight)]) & line.leads
    return folds, from_a


def _folded(  # noqa: PLR0913, PLR0917
    line: _Line,
    ahead: NDArray[np.float64],
    half: float,
    folds: NDArray[np.bool_],
    centre_at: NDArray[np.float64],
    smooth: NDArray[np.bool_],
) -> list[NDArray[np.float64]]:
    """For each stretch that folds over, the ring this side of the centres of curvature and the ring beyond them."""
    rings = []
    centres = line.points + left(line.start) * centre_at[:, None]  # asked for only where chords fold
    breaks = ~smooth
    breaks[line.bounds[:-1]] = True
    for row, side in ((0, half), (1, -half)):
        near, far = line.points + side * left(line.start), ahead + side * left(line.end)
        for i, j in _unbroken(folds[row], breaks):
            back = centres[i:j][::-1]
            rings += [
                np.vstack([line.points[i : i + 1], ahead[i:j], back]),
                np.vstack([near[i : i + 1], far[i:j], back]),
            ]
    return [_clockwise(ring) for ring in rings]


def _unbroken(folds: NDArray[np.bool_], breaks: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Stretches of chords that fold one after the other, none but the first at a break: (first, after the last)."""
    at = np.flatnonzero(folds)
    if not len(at):
        return []
    cuts = np.flatnonzero((np.diff(at) > 1) | breaks[at[1:]]) + 1
    return [(int(part[0]), int(part[-1]) + 1) for part in np.split(at, cuts)]


def _clockwise(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    x, y = (ring - ring[0]).T
    return ring[::-1] if np.dot(x[:-1], y[1:]) > np.dot(x[1:], y[:-1]) else ring
