"""The report: each thin stretch with its width before and after, read off the two axes, never from what was wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree

from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import along, pieces_below, spaced

from .climb import running_out, widest
from .growth import GrownPlace, enough_mm
from .want import RIB_DEG

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from stampwright.plane import Axis, Pieces

    from .grow import Grown

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_SPACING = 0.5  # of the least width, between the places at which the width after is read
NOTICED_MM2 = 1e-4  # places that gained less, and lack nothing a gap denied, are not told


def places_of(axis: Axis, grown: Grown, *, land_mm: float) -> tuple[GrownPlace, ...]:
    """All places that grew or that a gap held back, the thinnest as drawn first."""
    pieces = pieces_below(axis, land_mm / 2, of=axis.in_ink)
    level = _facing(axis) & ~running_out(axis, _facing(axis))
    told = _told(axis, grown, pieces, level, land_mm)
    return tuple(sorted(told, key=lambda place: (place.before_mm, place.at_mm)))


def _told(axis: Axis, grown: Grown, pieces: Pieces, level: Bools, land_mm: float) -> Iterator[GrownPlace]:
    piece_of = np.full(len(axis.low), -1)
    piece_of[pieces.row] = pieces.piece
    rib = level[pieces.row]
    length = np.bincount(pieces.piece[rib], pieces.length_mm[rib], minlength=pieces.count)
    # without facing walls a piece of its own is a dot, and one that hangs on wider land is a tip
    dot, tip = (length == 0) & (pieces.mouths == 0), (length == 0) & (pieces.mouths > 0)
    row, points = spaced(axis, pieces.row, _SPACING * land_mm)
    use = (level[row] | dot[piece_of[row]] | (tip[piece_of[row]] & _facing(axis)[row])) & (
        points.radius_mm < land_mm / 2
    )
    which, before, at = piece_of[row[use]], 2 * points.radius_mm[use], points.at[use]
    after = np.maximum(_width_after(grown.axis, at, dot[which]), before)
    rank = np.select([dot[which], tip[which]], [-before, np.abs(before - land_mm / 2)], before)  # a tip: half way
    least = np.full(pieces.count, np.inf)
    np.minimum.at(least, which, after)
    added, denied, moved_over = _gained(grown, piece_of, pieces.count)
    share = _share_below(which, after, enough_mm(land_mm), pieces.count)
    for i in _least_of_each(which, rank).tolist():
        piece = int(which[i])
        before_mm = float(before[i])
        after_mm = float(after[i] if dot[piece] or tip[piece] else least[piece])
        forbade = bool(denied[piece] > WIDTH_MM and after_mm < enough_mm(land_mm) and not tip[piece])
        if added[piece] < NOTICED_MM2 and not forbade:
            continue
        long_mm, thin_mm = float(length[piece]), float(length[piece] * share[piece])
        if tip[piece]:
            says = _says_of_tip(before_mm, after_mm)
        else:
            says = _says(before_mm, after_mm, long_mm, thin_mm, forbade) + _says_over(float(moved_over[piece]))
        yield GrownPlace(
            at_mm=(round(float(at[i, 0]), 3) + 0.0, round(float(at[i, 1]), 3) + 0.0),
            before_mm=before_mm,
            after_mm=after_mm,
            length_mm=long_mm,
            added_mm2=float(added[piece]),
            still_thin_mm=thin_mm,
            gap_forbade=forbade,
            says=says,
        )


def _facing(axis: Axis) -> Bools:
    return np.asarray(axis.in_ink & (axis.separation_low_deg >= RIB_DEG))


def _says_of_tip(before_mm: float, after_mm: float) -> str:
    return f"A tip was grown from {before_mm:.2f} to {after_mm:.2f} mm here; it keeps its point."


def _says(before_mm: float, after_mm: float, long_mm: float, thin_mm: float, forbade: bool) -> str:  # noqa: FBT001
    what = f"A land {before_mm:.2f} mm wide" + (f", {long_mm:.2f} mm long," if long_mm > 0 else "")
    if not forbade:
        rest = "" if thin_mm < WIDTH_MM else f"; {thin_mm:.2f} mm of it taper off thinner"
        return f"{what} was grown to {after_mm:.2f} mm{rest}."
    grew = f"was grown to {after_mm:.2f} mm at its thinnest" if after_mm > before_mm + WIDTH_MM else "stays"
    return f"{what} {grew}: the ground beside it cannot spare more, and {thin_mm:.2f} mm of it stay too thin."


def _says_over(over_mm: float) -> str:
    if over_mm < WIDTH_MM:
        return ""
    return f" Where a gap denied one side, the other took up to {over_mm:.2f} mm of its share."


def _least_of_each(group: Ints, value: Floats) -> Ints:
    """Index of the least value of each group that occurs."""
    order = np.lexsort((value, group))
    return np.asarray(order[np.unique(group[order], return_index=True)[1]])


def _share_below(group: Ints, width: Floats, limit_mm: float, count: int) -> Floats:
    many = np.bincount(group, minlength=count)
    return np.asarray(np.bincount(group, width < limit_mm, minlength=count) / np.maximum(many, 1))


def _width_after(axis: Axis, at: Floats, dot: Bools) -> Floats:
    """Width of the grown land at the point of its ribs nearest to each place (p, 2) of the old ones [mm].

    A dot has no ribs; it is as wide as the largest disc in it.
    """
    facing = np.flatnonzero(_facing(axis))
    tops = widest(axis, axis.in_ink)
    _, nearest = cKDTree(axis.vertices[tops]).query(at)
    width = np.asarray(2 * axis.radius_mm[tops][nearest])
    line = np.flatnonzero(~dot)
    if not len(facing) or not len(line):
        return width
    lines = shapely.linestrings(np.stack([axis.vertices[axis.low[facing]], axis.vertices[axis.high[facing]]], axis=1))
    points = shapely.points(at[line])
    found = shapely.STRtree(lines).nearest(points)
    share = shapely.line_locate_point(lines[found], points, normalized=True)
    width[line] = 2 * along(axis, facing[found], share).radius_mm
    return width


def _gained(grown: Grown, piece_of: Ints, count: int) -> tuple[Floats, Floats, Floats]:
    """Of each piece the area of the strips beside it [mm²], the most gaps denied its width, and one of its sides [mm].

    Of the latter only what the other side took over.
    """
    moving, moves = grown.moving, grown.moves
    own = np.where(moving.ink.row >= 0, piece_of[np.maximum(moving.ink.row, 0)], -1)
    samples = moves.samples
    run = np.diff(samples.position) * (samples.wall[1:] == samples.wall[:-1])
    strip = run * (moves.by_mm[1:] + moves.by_mm[:-1]) / 2
    after = own[:-1, 1]
    added = np.bincount(after[after >= 0], strip[after >= 0], minlength=count)
    rib = (moving.ink.row >= 0) & moving.wants.rib[np.maximum(moving.ink.row, 0)]
    denied, over = np.zeros((2, count))
    for column in (0, 1):
        some = rib[:, column] & (own[:, column] >= 0)
        np.maximum.at(denied, own[some, column], moves.denied_mm[some])
        np.maximum.at(over, own[some, column], (moves.by_mm - moving.want)[some])
    return np.asarray(added, dtype=np.float64), denied, over
