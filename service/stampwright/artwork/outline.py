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
_TO_THE_LEFT = np.array([-1.0, 1.0])  # of (y, x)
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
    left, right, folded = _sides(run, pen, half, step)
    if run.closed:
        return [left, right[::-1], *folded]
    last = _cap(run.points[-1], run.end[-1], pen.cap, half, step)
    first = _cap(run.points[0], -run.start[0], pen.cap, half, step)
    return [np.concatenate([left, last, right[::-1], first]), *folded]


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
    """Every point of a run as a corner, on its left (row 0) and its right: what the outline does there."""

    turn: NDArray[np.float64]  # (n,)
    smooth: NDArray[np.bool_]  # (n,)
    into: NDArray[np.float64]  # (2, n, 2): from the point to the outline, before and after the corner
    out: NDArray[np.float64]
    rounded: NDArray[np.bool_]  # (2, n), and so on
    mitred: NDArray[np.bool_]
    inside: NDArray[np.bool_]
    extra: NDArray[np.int64]  # points between the two


def _corners(run: Run, pen: Pen, half: float, step: float) -> _Corners:
    if run.closed:
        before, after = np.concatenate([run.end[-1:], run.end[:-1]]), run.start
    else:
        before, after = np.concatenate([run.start[:1], run.end]), np.concatenate([run.start, run.end[-1:]])
    turn = np.arctan2(_cross(before, after), (before * after).sum(axis=1))
    smooth = np.abs(turn) < _STRAIGHT
    outside = ~smooth & np.array([turn < 0, turn >= 0])
    rounded = outside if pen.join == "round" else outside & ~run.nodes
    mitred = outside & ~rounded
    # the length of a mitre over the width is 1 / sin(half the angle) = 1 / cos(half the turn)
    mitred &= (pen.join == "miter") & (np.cos(turn / 2) * min(pen.mitre_limit, _LONGEST) >= 1 - 1e-12)
    inside = ~smooth & ~outside
    extra = np.where(rounded, np.ceil(np.abs(turn) / step).astype(np.int64) - 1, 0)
    extra[mitred | inside] = 1
    into, out = half * _left(before), half * _left(after)
    return _Corners(turn, smooth, np.array([into, -into]), np.array([out, -out]), rounded, mitred, inside, extra)


def _sides(
    run: Run, pen: Pen, half: float, step: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], list[NDArray[np.float64]]]:
    """Left and right side of a stroke from its first point to its last, and the rings of what folds over."""
    corners = _corners(run, pen, half, step)
    points, chords = run.points, len(run.start)
    a, b = points[:chords], np.concatenate([points[1:], points[:1]])[:chords]
    folds, centres = _folds(run, a, b, half)
    counts = np.zeros((2, 2 * len(points)), dtype=np.int64)  # of corners, and of the chords that follow them
    shows = ~_amid(folds, corners.smooth, closed=run.closed)
    counts[:, ::2] = np.where(corners.smooth, shows, 2 + corners.extra)
    counts[:, 1::2][:, :chords] = 2 * folds
    first = (np.cumsum(counts) - counts.ravel()).reshape(counts.shape)
    at, of_chord = first[:, ::2], first[:, 1::2][:, :chords]
    line = np.zeros((int(counts.sum()), 2))
    line[at[shows]] = (points + corners.into)[shows]
    line[(at + counts[:, ::2] - 1)[shows]] = (points + corners.out)[shows]
    _write_joins(line, at, np.array([points, points]), corners)
    rings: list[NDArray[np.float64]] = []
    if folds.any():
        line[of_chord[folds]], line[of_chord[folds] + 1] = np.array([a, a])[folds], np.array([b, b])[folds]
        rings = _folded(run, a, b, half, folds, centres, corners.smooth)
    middle = int(counts[0].sum())
    return line[:middle], line[middle:], rings


def _amid(folds: NDArray[np.bool_], smooth: NDArray[np.bool_], *, closed: bool) -> NDArray[np.bool_]:
    """Points between two folded chords: there the outline stays in the middle, and shows no point of its own."""
    amid = np.zeros((2, len(smooth)), dtype=bool)
    amid[:, 1 : folds.shape[1]] = folds[:, :-1] & folds[:, 1:]
    if closed:
        amid[:, 0] = folds[:, -1] & folds[:, 0]
    return np.asarray(amid & smooth)


def _write_joins(
    line: NDArray[np.float64], at: NDArray[np.int64], points: NDArray[np.float64], corners: _Corners
) -> None:
    """Write what stands between the two points of a corner: the corner itself, a mitre's tip, an arc."""
    line[at[corners.inside] + 1] = points[corners.inside]
    tips = corners.mitred
    if tips.any():
        stretch = 1 / (1 + np.cos(np.array([corners.turn, corners.turn])[tips]))
        line[at[tips] + 1] = points[tips] + (corners.into + corners.out)[tips] * stretch[:, None]
    if corners.rounded.any():
        turn = np.array([corners.turn, corners.turn])[corners.rounded]
        extra, start = corners.extra[corners.rounded], at[corners.rounded]
        which = np.repeat(np.arange(len(extra)), extra)
        k = np.arange(len(which)) - np.repeat(np.cumsum(extra) - extra, extra) + 1
        angle = (turn[which] * k / (extra[which] + 1))[:, None]
        into = corners.into[corners.rounded][which]
        line[start[which] + k] = points[corners.rounded][which] + into * np.cos(angle) + _left(into) * np.sin(angle)


def _folded(  # noqa: PLR0913, PLR0917
    run: Run,
    a: NDArray[np.float64],
    b: NDArray[np.float64],
    half: float,
    folds: NDArray[np.bool_],
    centres: NDArray[np.float64],
    smooth: NDArray[np.bool_],
) -> list[NDArray[np.float64]]:
    """For each stretch that folds over, the ring this side of the centres of curvature and the ring beyond them."""
    rings = []
    for row, side in ((0, half), (1, -half)):
        near, far = a + side * _left(run.start), b + side * _left(run.end)
        for i, j in _unbroken(folds[row], smooth):
            back = centres[row, i:j][::-1]
            rings += [np.vstack([a[i : i + 1], b[i:j], back]), np.vstack([near[i : i + 1], far[i:j], back])]
    return [_clockwise(ring) for ring in rings]


def _folds(
    run: Run, a: NDArray[np.float64], b: NDArray[np.float64], half: float
) -> tuple[NDArray[np.bool_], NDArray[np.float64]]:
    """Which chords' bodies fold over on each side: those whose end lines meet within half the width; and where."""
    if run.start is run.end:  # straight throughout
        return np.zeros((2, len(a)), dtype=bool), np.zeros((2, 0, 2))
    first, last = _left(run.start), _left(run.end)
    across = _cross(first, last)
    from_a, from_b = _cross(b - a, last) / across, _cross(b - a, first) / across
    nearer, farther = np.minimum(from_a, from_b), np.maximum(from_a, from_b)
    folds = np.array([(nearer > 0) & (farther < half), (farther < 0) & (nearer > -half)])
    meeting = a + first * np.where(folds.any(axis=0), from_a, 0.0)[:, None]
    return folds, np.array([meeting, meeting])


def _unbroken(folds: NDArray[np.bool_], smooth: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Stretches of chords that fold one after the other without a corner between, as (first, after the last)."""
    at = np.flatnonzero(folds)
    if not len(at):
        return []
    breaks = np.flatnonzero((np.diff(at) > 1) | ~smooth[at[1:]]) + 1
    return [(int(part[0]), int(part[-1]) + 1) for part in np.split(at, breaks)]


def _clockwise(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    x, y = (ring - ring[0]).T
    return ring[::-1] if np.dot(x[:-1], y[1:]) > np.dot(x[1:], y[:-1]) else ring


def _left(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(vectors[..., ::-1] * _TO_THE_LEFT)


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
