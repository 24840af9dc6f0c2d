"""Strokes to rings that fill nonzero, as SVG 2 defines them: the union of the pen's line swept along, joins and caps.

The outline runs along the left side and back along the right. At the outside of a corner it follows the join; at the
inside it goes through the corner itself, so that every piece (body of a chord, wedge of a join) winds the same way and
the nonzero fill is their union. Where a curve is tighter than half the width, the bodies fold over on its inner side,
about the centres of curvature: there the outline keeps to the middle, and what lies on both sides of the centres
follows as rings of their own, turned to wind like the rest.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from .dashes import dashed

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .display import Pen
    from .trace import Run

_LONGEST = 1e6  # widths: a longer mitre has no tip on any page
_STRAIGHT = 1e-7  # rad: a corner that turns less is none; half a width of 10 mm is then off by 1e-6 mm


def outline(runs: list[Run], pen: Pen, *, sagitta: float) -> list[NDArray[np.float64]]:
    """Rings of a stroke, all winding the same way, each (n, 2). `sagitta`: of round joins and caps."""
    half = pen.width / 2
    step = 2 * math.acos(max(1 - sagitta / half, math.cos(math.pi / 8)))
    pieces = [piece for run in runs for piece in (dashed(run, pen.dashes, pen.dash_offset) if pen.dashes else [run])]
    return [ring for piece in pieces for ring in _stroke(piece, pen, half, step)]


def _stroke(run: Run, pen: Pen, half: float, step: float) -> list[NDArray[np.float64]]:
    if not len(run.start):
        return _dot(run, pen, half, step)
    left, folded_left = _side(run, pen, half, step, side=1)
    right, folded_right = _side(run, pen, half, step, side=-1)
    if run.closed:
        return [left, right[::-1], *folded_left, *folded_right]
    last = _cap(run.points[-1], run.end[-1], pen.cap, half, step)
    first = _cap(run.points[0], -run.start[0], pen.cap, half, step)
    return [np.concatenate([left, last, right[::-1], first]), *folded_left, *folded_right]


def _dot(run: Run, pen: Pen, half: float, step: float) -> list[NDArray[np.float64]]:
    """A subpath without length: its caps alone. A lone move draws nothing."""
    if pen.cap == "butt" or not (run.closed or run.drawn):
        return []
    at, ahead = run.points[0], np.array([1.0, 0.0])
    side = half * _left(ahead)
    return [
        np.concatenate(
            [[at + side], _cap(at, ahead, pen.cap, half, step), [at - side], _cap(at, -ahead, pen.cap, half, step)]
        )
    ]


def _cap(
    at: NDArray[np.float64], ahead: NDArray[np.float64], cap: str, half: float, step: float
) -> NDArray[np.float64]:
    """Points between the left and the right corner of an end that looks `ahead`."""
    left = _left(ahead)
    if cap == "butt":
        return np.zeros((0, 2))
    if cap == "square":
        return np.asarray(at + half * np.array([left + ahead, ahead - left]))
    parts = math.ceil(math.pi / step)
    angle = (np.arange(1, parts) * (math.pi / parts))[:, None]
    return np.asarray(at + half * (left * np.cos(angle) + ahead * np.sin(angle)))


class _Corners(NamedTuple):
    """Every point of a run as a corner on one side: what the outline does there, and how many points that takes."""

    turn: NDArray[np.float64]
    into: NDArray[np.float64]  # from the point to the outline, before and after the corner
    out: NDArray[np.float64]
    rounded: NDArray[np.bool_]
    mitred: NDArray[np.bool_]
    inside: NDArray[np.bool_]
    extra: NDArray[np.int64]  # points between the two
    smooth: NDArray[np.bool_]


def _corners(run: Run, pen: Pen, half: float, step: float, side: int) -> _Corners:
    if run.closed:
        before, after = np.roll(run.end, 1, axis=0), run.start
    else:
        before, after = np.vstack([run.start[:1], run.end]), np.vstack([run.start, run.end[-1:]])
    turn = np.arctan2(_cross(before, after), np.einsum("ij,ij->i", before, after))
    smooth = np.abs(turn) < _STRAIGHT
    outside = ~smooth & ((turn < 0) if side > 0 else (turn >= 0))
    rounded = outside & (~run.nodes | (pen.join == "round"))
    # the length of a mitre over the width is 1 / sin(half the angle) = 1 / cos(half the turn)
    mitred = (
        outside & ~rounded & (pen.join == "miter") & (np.cos(turn / 2) * min(pen.mitre_limit, _LONGEST) >= 1 - 1e-12)
    )
    inside = ~smooth & ~outside
    extra = np.where(rounded, np.ceil(np.abs(turn) / step).astype(np.int64) - 1, 0)
    extra[mitred | inside] = 1
    return _Corners(
        turn, side * half * _left(before), side * half * _left(after), rounded, mitred, inside, extra, smooth
    )


def _side(
    run: Run, pen: Pen, half: float, step: float, *, side: int
) -> tuple[NDArray[np.float64], list[NDArray[np.float64]]]:
    """One side of a stroke from its first point to its last, and the rings of what folds over there."""
    corners = _corners(run, pen, half, step, side)
    points = run.points
    chords = len(run.start)
    a, b = points[:chords], np.roll(points, -1, axis=0)[:chords]
    folds, centres = _folds(run, a, b, half, side)
    counts = np.zeros(2 * len(points), dtype=np.int64)  # of corners, and of the chords that follow them
    amid = np.zeros(len(points), dtype=bool)  # between two folded chords: the outline stays in the middle
    amid[1:chords] = folds[:-1] & folds[1:]
    if run.closed:
        amid[0] = folds[-1] & folds[0]
    amid &= corners.smooth
    counts[::2] = np.where(corners.smooth, ~amid, 2 + corners.extra)
    counts[1::2][:chords] = 2 * folds
    first = np.cumsum(counts) - counts
    line = np.zeros((int(counts.sum()), 2))
    at, of_chord = first[::2], first[1::2][:chords]
    line[at[~amid]] = (points + corners.into)[~amid]
    line[(at + counts[::2] - 1)[~amid]] = (points + corners.out)[~amid]
    line[at[corners.inside] + 1] = points[corners.inside]
    tips = corners.mitred
    line[at[tips] + 1] = points[tips] + (corners.into + corners.out)[tips] / (1 + np.cos(corners.turn[tips]))[:, None]
    _write_arcs(line, at, points, corners)
    line[of_chord[folds]], line[of_chord[folds] + 1] = a[folds], b[folds]
    whole = _unbroken(folds, corners.smooth)
    near, far = a + side * half * _left(run.start), b + side * half * _left(run.end)
    rings = [
        np.vstack([ways[i : i + 1], to[i:j], centres[i:j][::-1]])
        for i, j in whole
        for ways, to in ((a, b), (near, far))
    ]
    return line, [_clockwise(ring) for ring in rings]


def _folds(
    run: Run, a: NDArray[np.float64], b: NDArray[np.float64], half: float, side: int
) -> tuple[NDArray[np.bool_], NDArray[np.float64]]:
    """Which chords' bodies fold over: those whose two end lines meet within half the width; and where they meet."""
    first, last = side * _left(run.start), side * _left(run.end)
    with np.errstate(divide="ignore", invalid="ignore"):
        across = _cross(first, last)
        from_a, from_b = _cross(b - a, last) / across, _cross(b - a, first) / across
        folds = (from_a > 0) & (from_a < half) & (from_b > 0) & (from_b < half)
    return folds, a + first * np.where(folds, from_a, 0.0)[:, None]


def _unbroken(folds: NDArray[np.bool_], smooth: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Stretches of chords that fold one after the other without a corner between, as (first, after the last)."""
    at = np.flatnonzero(folds)
    if not len(at):
        return []
    breaks = np.flatnonzero((np.diff(at) > 1) | ~smooth[at[1:]]) + 1
    return [(int(part[0]), int(part[-1]) + 1) for part in np.split(at, breaks)]


def _write_arcs(
    line: NDArray[np.float64], at: NDArray[np.int64], points: NDArray[np.float64], corners: _Corners
) -> None:
    extra = np.where(corners.rounded, corners.extra, 0)
    which = np.repeat(np.arange(len(points)), extra)
    if len(which):
        k = np.arange(len(which)) - np.repeat(np.cumsum(extra) - extra, extra) + 1
        angle = (corners.turn[which] * k / (extra[which] + 1))[:, None]
        into = corners.into[which]
        line[at[which] + k] = points[which] + into * np.cos(angle) + _left(into) * np.sin(angle)


def _clockwise(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    return ring[::-1] if float(np.sum(_cross(ring, np.roll(ring, -1, axis=0)))) > 0 else ring


def _left(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.stack([-vectors[..., 1], vectors[..., 0]], axis=-1)


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
