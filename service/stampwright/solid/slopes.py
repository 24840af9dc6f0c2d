r"""Lines of a sloping front in plan: where its planes and cones meet, where it meets the floor, rays of its cones.

            ink            d = 0: the outline itself, at the top
       _______________
        |  |\     /|  |    lines of the diagram: where two parts of the outline are equally near (valleys)
        |  | \   / |  |    rays: from an outer corner over its cone
       _|__|__\_/__|__|_   foot: d = reach, on the floor

Each cell of the diagram carries one plane (of an edge) or one cone (of a corner). Curves become chords that keep the
surface within `chord_mm`. Lengths in mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from stampwright.base import InternalFault
from stampwright.base.counting import counted, picked

from .cells import cross, joined_rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .cells import FloorLines

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]


_LEAST_MM = 1e-9  # keeps divisions by a focal distance finite; a millionth of a grid step


class Lines(NamedTuple):
    """Straight lines in plan with the distance to the outline at both ends."""

    xy: Floats  # (n, 2, 2)
    depth: Floats  # (n, 2)


class Chains(NamedTuple):
    """Points along the clipped lines of the diagram, line by line in order."""

    line: Ints
    xy: Floats
    depth: Floats
    is_foot: Bools

    def rows(self, kept: Bools) -> Chains:
        """Some of the points."""
        fields: Any = [picked(of, kept) for of in self]
        return Chains(*fields)


class _Course(NamedTuple):
    """Each line by one running coordinate s: straight ones from 0 to 1, curves from their nearest point (s = 0)."""

    origin: Floats  # (n, 2) place of s = 0 on the curve's base line
    along: Floats  # (n, 2) unit vector of s
    across: Floats  # (n, 2) unit vector from the edge to the parabola; zero elsewhere
    least: Floats  # (n,) focal distance of a parabola, half the distance between two corners; 0 if straight
    is_parabola: Bools
    s: Floats  # (n, 2) at both ends

    def place(self, s: Floats, row: Ints) -> tuple[Floats, Floats]:
        """Place and depth of a curve at `s`."""
        least = self.least[row]
        arch = (s * s + least * least) / (2 * np.maximum(least, _LEAST_MM))
        rise = np.where(self.is_parabola[row], arch, 0.0)
        along, across = picked(self.along, row), picked(self.across, row)
        xy = picked(self.origin, row) + s[:, None] * along + rise[:, None] * across
        return xy, np.where(self.is_parabola[row], arch, np.hypot(s, least))


def slope_lines(found: FloorLines, *, reach_mm: float, chord_mm: float) -> Lines:
    """All lines of a front that slopes down from the outline to the floor at the distance `reach_mm`.

    Raises `InternalFault` when a cell is crossed by the foot an odd number of times.
    """
    step = step_of(reach_mm, chord_mm=chord_mm)
    chains = chains_of(found, reach_mm=reach_mm, chord_mm=chord_mm)
    feet = np.stack([chains.xy[chains.is_foot]] * 2, axis=1)
    foot = foot_lines(found, chains.line[chains.is_foot], feet, reach_mm=reach_mm, step=step)
    return all_of([*runs_and_rays(found, chains), *foot])


def runs_and_rays(found: FloorLines, chains: Chains) -> list[Lines]:
    """The lines of the diagram themselves, and the rays of the cones beside them."""
    runs = lines_between(chains.xy, chains.depth, chains.line[1:] == chains.line[:-1])
    return [runs, *(_rays(found, chains, side) for side in (0, 1))]


def all_of(parts: Sequence[Lines]) -> Lines:
    """Lines of several kinds as one."""
    return Lines(np.concatenate([part.xy for part in parts]), np.concatenate([part.depth for part in parts]))


def step_of(radius_mm: float, *, chord_mm: float) -> float:
    """A chord over this angle [rad] keeps an arc of that radius; never more than 83 degrees, however small the arc."""
    return float(steps_of(np.asarray(radius_mm), chord_mm=chord_mm))


def steps_of(radius_mm: Floats, *, chord_mm: float) -> Floats:
    """The same for many arcs, all of some radius."""
    steps: Floats = 2 * np.arccos(np.maximum(1 - chord_mm / radius_mm, 0.75))
    return steps


def _course_of(found: FloorLines) -> _Course:
    corner, wall = found.site[:, 0, 0], found.site[:, 1]
    base = wall[:, 0]
    two_corners = found.corner[:, 1]
    own_wall = np.any(np.all(corner[:, None] == wall, axis=2), axis=1)
    parabola = found.corner[:, 0] & ~two_corners & ~own_wall
    direction = np.where(two_corners[:, None], corner - base, wall[:, 1] - base)
    unit = direction / np.hypot(*direction.T)[:, None]
    right = np.column_stack([unit[:, 1], -unit[:, 0]])
    offset = corner - base
    foot = base + np.sum(offset * unit, axis=1)[:, None] * unit
    origin = np.where(parabola[:, None], foot, (corner + base) / 2)
    along = np.where(parabola[:, None], unit, right)
    curved = parabola | two_corners
    s = np.where(curved[:, None], np.sum((found.ends - origin[:, None]) * along[:, None], axis=2), (0.0, 1.0))
    least = np.where(parabola, np.sum(offset * right, axis=1), np.hypot(*direction.T) / 2)
    least = np.where(curved, np.maximum(least, _LEAST_MM), 0.0)
    return _Course(origin, along, np.where(parabola[:, None], right, 0.0), least, parabola, s)


def parted_at_least(found: FloorLines) -> FloorLines:
    """Lines cut in two where they are nearest to the ink, so that each rises from end to end."""
    course = _course_of(found)
    inside = (course.least > 0) & (course.s[:, 0] * course.s[:, 1] < 0)
    at, depth = course.place(np.zeros(int(inside.sum())), np.flatnonzero(inside))
    first, last = found.rows(inside), found.rows(inside)
    first.ends[:, 1] = last.ends[:, 0] = at
    first.depth[:, 1] = last.depth[:, 0] = depth
    return joined_rows([found.rows(~inside), first, last])


def chains_of(found: FloorLines, *, reach_mm: float, chord_mm: float) -> Chains:
    """Clip every line at the foot and lay points along it, close enough for the chord."""
    course = _course_of(found)
    ends, depth = found.ends, found.depth
    flip = course.s[:, 0] > course.s[:, 1]
    s = np.where(flip[:, None], course.s[:, ::-1], course.s)
    ends, depth = np.where(flip[:, None, None], ends[:, ::-1], ends), np.where(flip[:, None], depth[:, ::-1], depth)
    inside = depth < reach_mm
    clipped = np.where(inside, s, _foot_at(course, s, depth, reach_mm=reach_mm))
    curved = course.least > 0
    kept = np.flatnonzero(np.any(inside, axis=1) | (curved & (clipped[:, 0] < clipped[:, 1])))
    count, even = _counts(course, clipped, kept, chord_mm=chord_mm)
    row = np.repeat(np.arange(len(kept)), count + 1)
    rank = counted(count + 1)
    share = rank / count[row]
    line = kept[row]
    at = _between(course, picked(clipped, line), share, line, even=even[row])
    xy, deep = course.place(at, line)
    bare = ~curved[line]
    start, end = picked(ends, line[bare]).swapaxes(0, 1)
    xy[bare] = start + at[bare, None] * (end - start)
    is_foot = np.zeros(len(row), dtype=bool)
    for side, last in ((0, rank == 0), (1, rank == count[row])):
        kept_end = last & inside[line, side]
        xy[kept_end], deep[kept_end] = ends[line[kept_end], side], depth[line[kept_end], side]
        is_foot |= last & ~inside[line, side]
    deep[is_foot] = reach_mm
    return Chains(line, xy, deep, is_foot)


def _foot_at(course: _Course, s: Floats, depth: Floats, *, reach_mm: float) -> Floats:
    """Where each line comes to the foot, from either end: (n, 2)."""
    least = course.least
    half = np.where(course.is_parabola, 2 * least * reach_mm - least * least, reach_mm * reach_mm - least * least)
    half = np.sqrt(np.maximum(half, 0.0))
    rise = depth[:, 1] - depth[:, 0]
    straight = (reach_mm - depth[:, 0]) / np.where(rise == 0, 1.0, rise)
    crossing = np.where((least > 0)[:, None], np.stack([-half, half], axis=1), straight[:, None])
    return np.clip(crossing, s[:, :1], s[:, 1:])


def _counts(course: _Course, clipped: Floats, kept: Ints, *, chord_mm: float) -> tuple[Ints, Bools]:
    """Pieces per line, and whether they are even in s (else even in the angle seen from the corner)."""
    least, is_parabola = course.least[kept], course.is_parabola[kept]
    run = clipped[kept, 1] - clipped[kept, 0]
    angle = np.diff(_angle(course, picked(clipped, kept), kept), axis=1)[:, 0]
    deepest = course.place(np.max(np.abs(picked(clipped, kept)), axis=1), kept)[1]
    step = steps_of(np.maximum(deepest, _LEAST_MM), chord_mm=chord_mm)  # of the cone's arcs, no wider than here
    sag = np.sqrt(8 * least * chord_mm)  # a parabola of focal distance f, and the distance to a corner, sag s² / 8 f
    safe_sag, safe = np.maximum(sag, _LEAST_MM), np.maximum(least, _LEAST_MM)
    by_s = np.maximum(run / safe_sag, np.where(is_parabola, 2.0, 1.0) * run / (safe * step))
    by_angle = np.maximum(angle / step, np.where(is_parabola, angle * deepest / safe_sag, 0.0))
    pieces = np.where(least > 0, np.minimum(by_s, by_angle), 1.0)
    return np.maximum(np.ceil(pieces - 1e-9), 1).astype(np.int64), by_s <= by_angle


def _angle(course: _Course, s: Floats, row: Ints) -> Floats:
    """Angle under which a corner sees the curve's points, from its nearest one; s (n, k)."""
    least = np.maximum(course.least[row], _LEAST_MM)[:, None]
    angle: Floats = np.arctan(s / least) * np.where(course.is_parabola[row], 2.0, 1.0)[:, None]
    return angle


def _between(course: _Course, ends: Floats, share: Floats, row: Ints, *, even: Bools) -> Floats:
    low, high = _angle(course, ends, row).T
    tangent = np.tan((low + share * (high - low)) / np.where(course.is_parabola[row], 2.0, 1.0))
    by_angle = course.least[row] * tangent
    by_s = ends[:, 0] + share * (ends[:, 1] - ends[:, 0])
    return np.where(even | (course.least[row] == 0), by_s, by_angle)


def lines_between(xy: Floats, depth: Floats, joined: Bools) -> Lines:
    """Lines from each point to the next where they are joined."""
    return Lines(*(picked(np.stack([of[:-1], of[1:]], axis=1), joined) for of in (xy, depth)))


def _rays(found: FloorLines, chains: Chains, side: int) -> Lines:
    """A ray from the corner of its cell to every point on the lines around that cell."""
    of_corner = found.corner[chains.line, side]
    tip, depth = found.site[chains.line[of_corner], side, 0], chains.depth[of_corner]
    return Lines(np.stack([tip, chains.xy[of_corner]], axis=1), np.stack([np.zeros_like(depth), depth], axis=1))


def foot_lines(  # noqa: PLR0913  each a separate fact of the foot
    found: FloorLines, line: Ints, xy: Floats, *, reach_mm: float, step: float, within: Bools | None = None
) -> list[Lines]:
    """The foot within each cell, straight beside a wall, an arc with its rays about a corner.

    `xy` (n, 2, 2): where the foot meets the lines that part the cells, as each of both cells has it. `within`: by the
    number of a cell, whether it is asked for; all of them without.
    """
    cell, corner = found.cell[line].T.ravel(), found.corner[line].T.ravel()
    site, arriving = (picked(of, line).swapaxes(0, 1).reshape(-1, *of.shape[2:]) for of in (found.site, found.arriving))
    xy = xy.swapaxes(0, 1).reshape(-1, 2)
    order = np.lexsort((_order_in_cell(site, arriving, corner, xy), cell))
    order = order if within is None else order[within[cell[order]]]
    cell, corner, xy, tip = cell[order], corner[order], picked(xy, order), picked(site[:, 0], order)
    if len(cell) % 2 or np.any(cell[0::2] != cell[1::2]):
        raise InternalFault.at("open-solid", "the foot of the walls crosses a cell an odd number of times")
    first, last, round_corner = xy[0::2], xy[1::2], corner[0::2]
    level = np.full((len(first), 2), reach_mm)
    bars = Lines(np.stack([first, last], axis=1)[~round_corner], level[~round_corner])
    return [
        bars,
        *_arcs(tip[0::2][round_corner], first[round_corner], last[round_corner], reach_mm=reach_mm, step=step),
    ]


def towards(site: Floats, corner: Bools, xy: Floats) -> Floats:
    """Unit vectors (n, 2) from places on the floor to the nearest place of their sites (n, 2, 2), walls or corners."""
    along = site[:, 1] - site[:, 0]
    offset = np.where(corner[:, None], site[:, 0] - xy, np.column_stack([-along[:, 1], along[:, 0]]))
    unit: Floats = offset / np.maximum(np.hypot(*offset.T), _LEAST_MM)[:, None]
    return unit


def _order_in_cell(site: Floats, arriving: Floats, corner: Bools, xy: Floats) -> Floats:
    """Along the wall, or by the angle about the corner from the normal of the arriving outline."""
    offset = xy - site[:, 0]
    normal = np.column_stack([arriving[:, 1], -arriving[:, 0]])
    angle = np.arctan2(cross(normal, offset), np.sum(normal * offset, axis=1))
    order: Floats = np.where(corner, angle, np.sum(offset * (site[:, 1] - site[:, 0]), axis=1))
    return order


def _arcs(tip: Floats, first: Floats, last: Floats, *, reach_mm: float, step: float) -> list[Lines]:
    start, stop = first - tip, last - tip
    turn = np.arctan2(cross(start, stop), np.sum(start * stop, axis=1))
    count = np.maximum(np.ceil(np.abs(turn) / step - 1e-9), 1).astype(np.int64)
    row = np.repeat(np.arange(len(tip)), count + 1)
    rank = counted(count + 1)
    angle = np.arctan2(start[:, 1], start[:, 0])[row] + rank / count[row] * turn[row]
    xy = tip[row] + reach_mm * np.column_stack([np.cos(angle), np.sin(angle)])
    at_end = rank == count[row]
    xy[rank == 0], xy[at_end] = first, last
    level = np.full(len(row), reach_mm)
    rays = Lines(np.stack([tip[row], xy], axis=1), np.stack([np.zeros_like(level), level], axis=1))
    return [lines_between(xy, level, row[1:] == row[:-1]), rays]
