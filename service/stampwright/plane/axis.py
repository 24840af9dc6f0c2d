r"""The medial axis of a face's outlines, ink and floor in one: local widths as radii of inscribed discs.

    wall ______________________        feet: where the disc touches the walls
              /  |  \                   separation: the angle under which the feet are seen from the disc's centre
    axis ----(---o---)---- row         row: a piece of the axis along which the radius rises from `low` to `high`
              \  |  /                   part: one connected piece of the axis: a land, a counter, or the open floor
    wall ______________________

A row is owned by two sites, each a wall segment or an outline vertex. By their kinds the radius is, x along the row:

    two walls           r linear in x; the separation is 180° less the angle between the walls
    a vertex and a wall r = (x² + d²) / 2d, x counted from the vertex along the wall, d their distance
    two vertices        r = √(x² + h²), x counted from their middle, h half their distance

Rows are split where the radius is least, so that it never falls from `low` to `high` and each is cut at most once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import InternalFault
from stampwright.base.counting import columns, dot, picked

from .diagram import Diagram, diagram_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

WALLS, VERTEX_WALL, VERTICES = 0, 1, 2  # kinds of row

ON_OUTLINE_MM = 1e-6
"""Axis vertices with a smaller radius are vertices of the outline: rows that meet there are not joined."""

_RADIUS_FAULT_MM = 1e-4  # a diagram of crossing segments goes wrong by far more, a sound one by 1e-9
_SAMPLES = 48  # axis vertices whose radius is measured a second way, against the outline itself


@dataclass(frozen=True)
class Axis:
    """Rows (n) and vertices (m) of the medial axis; lengths in mm, angles in degrees.

    `feet_low`, `feet_high` (n, 2, 2): the two points of the outline nearest to either end. `x_low`, `x_high`: abscissas
    as told above, never negative, rising; `gauge_mm`: d or h, 0 for two walls. `site`, `point` (n, 2): the owners, see
    `Diagram`. `part` (n,): which connected piece; `part_open` marks parts of the floor that reach the outside.
    """

    walls: Floats
    ring: Ints
    vertices: Floats
    radius_mm: Floats
    low: Ints
    high: Ints
    in_ink: Bools
    kind: Ints
    gauge_mm: Floats
    x_low: Floats
    x_high: Floats
    feet_low: Floats
    feet_high: Floats
    separation_low_deg: Floats
    separation_high_deg: Floats
    site: Ints
    point: Ints
    part: Ints
    part_open: Bools
    diagram: Diagram | None  # that it was read from, for others who need one; None without ink

    @cached_property
    def low_mm(self) -> Floats:
        """Radius at the lower end of each row, the row's least."""
        return self.radius_mm[self.low]

    @cached_property
    def high_mm(self) -> Floats:
        """Radius at the higher end of each row."""
        return self.radius_mm[self.high]

    @cached_property
    def outline_mm(self) -> float:
        """Length of all walls."""
        return float(np.hypot(*(self.walls[:, 1] - self.walls[:, 0]).T).sum())

    @cached_property
    def length_mm(self) -> Floats:
        """Length of each row, as if it were straight from end to end."""
        return np.asarray(np.hypot(*(picked(self.vertices, self.high) - picked(self.vertices, self.low)).T))

    @cached_property
    def part_in_ink(self) -> Bools:
        """Whether each part, (p,), is a land; the others are floor."""
        out = np.zeros(len(self.part_open), dtype=bool)
        out[self.part[self.in_ink]] = True
        return out

    @cached_property
    def part_widest_mm(self) -> Floats:
        """Radius of the largest disc in each part, (p,)."""
        out = np.zeros(len(self.part_open))
        np.maximum.at(out, self.part, self.high_mm)
        return out

    @cached_property
    def rises_to_mm(self) -> Floats:
        """How wide the floor becomes along the rows that rise from each vertex, (m,): 0 where none does."""
        out, row = np.zeros(len(self.radius_mm)), np.flatnonzero(~self.in_ink)
        np.maximum.at(out, self.low[row], self.high_mm[row])
        if self.diagram:
            out[: len(self.diagram.beside_frame)][self.diagram.beside_frame] = np.inf
        return out

    @cached_property
    def peaks(self) -> Ints:
        """Vertices of the floor from which no row rises."""
        end = np.unique(self.high[~self.in_ink])
        return end[self.rises_to_mm[end] <= self.radius_mm[end]]

    @cached_property
    def part_is_counter(self) -> Bools:
        """Parts, (p,), that are floor wholly enclosed by one land: all their walls are of one ring."""
        ring = self.ring[self.site]
        least, most = np.full(len(self.part_open), len(self.ring)), np.full(len(self.part_open), -1)
        np.minimum.at(least, self.part, ring.min(axis=1))
        np.maximum.at(most, self.part, ring.max(axis=1))
        return np.asarray((least == most) & ~self.part_open & ~self.part_in_ink)


def medial_axis(ink: shapely.MultiPolygon) -> Axis:
    """Build the medial axis of the outlines of `ink`, which lies on the grid, is valid, and has no touching lands.

    Raises `InternalFault` when a vertex is not finite or a radius is not the distance to the outline, `TooComplex`
    when the outline is larger than the diagram's integers.
    """
    if ink.is_empty:
        return _empty()
    diagram = diagram_of(ink)
    rows = _measured(diagram.bisectors())
    axis = _with_parts(diagram, ink, rows)
    _check_against(ink, axis)
    return axis


def _empty() -> Axis:
    none, two, whole = np.zeros(0), np.zeros((0, 2, 2)), np.zeros(0, dtype=np.int64)
    no, pair = np.zeros(0, dtype=bool), np.zeros((0, 2), dtype=np.int64)
    return Axis(
        *(two, whole, np.zeros((0, 2)), none, whole, whole, no, whole, none, none, none),
        *(two, two, none, none, pair, pair, whole, no, None),
    )


@dataclass(slots=True)
class _Rows:
    """Rows while they are measured: as `Axis` has them, `ends` (n, 2) not yet turned."""

    vertices: Floats
    radius: Floats
    ends: Ints
    kind: Ints
    gauge: Floats
    x: Floats
    feet: Floats  # (n, end, side, 2)
    site: Ints
    point: Ints

    def taken(self, chosen: Ints | Bools) -> _Rows:
        return _Rows(
            *(self.vertices, self.radius, picked(self.ends, chosen), picked(self.kind, chosen)),
            *(picked(self.gauge, chosen), picked(self.x, chosen), picked(self.feet, chosen)),
            *(picked(self.site, chosen), picked(self.point, chosen)),
        )


def _measured(diagram: Diagram) -> _Rows:
    """Feet, radii and abscissas of every row, from the true sites: never from the diagram's own floats."""
    at = picked(diagram.vertices, diagram.ends)
    feet, radii = _feet(diagram, at)
    apart = np.abs(radii[:, 1] - radii[:, 0]).max()
    if apart > _RADIUS_FAULT_MM:
        raise InternalFault.at("axis", f"the two walls of an axis point differ by {apart:.3g} mm")
    radius = np.zeros(len(diagram.vertices))
    radius[diagram.ends.ravel()] = radii[:, 0].T.ravel()
    radius[radius < ON_OUTLINE_MM] = 0.0
    kind = np.add(*(diagram.point > 0).T, dtype=np.int64)
    gauge, x = _gauged(diagram, at, kind)
    return _split(_Rows(diagram.vertices, radius, diagram.ends, kind, gauge, x, feet, diagram.site, diagram.point))


def _feet(diagram: Diagram, at: Floats) -> tuple[Floats, Floats]:
    """The nearest point of each site to each end, (n, end, side, 2), and how far it is off, (end, side, n)."""
    n = len(at)
    walls = columns(diagram.walls, diagram.site.ravel()).reshape(2, 2, n, 2)  # end of the wall, x or y, row, side
    start = np.ascontiguousarray(walls[0].transpose(2, 0, 1))  # (side, 2, n)
    along = np.ascontiguousarray(walls[1].transpose(2, 0, 1)) - start
    ends = np.ascontiguousarray(at.transpose(1, 2, 0))[:, None]  # (end, 1, 2, n)
    away, square = ends - start, along[:, 0] * along[:, 0] + along[:, 1] * along[:, 1]
    share = np.clip((away[:, :, 0] * along[:, 0] + away[:, :, 1] * along[:, 1]) / square, 0.0, 1.0)
    point = np.ascontiguousarray(diagram.point.T)
    share = np.where(point > 0, point - 1.0, share)
    feet = start + share[:, :, None] * along  # (end, side, 2, n)
    off = feet - ends
    return np.ascontiguousarray(feet.transpose(3, 0, 1, 2)), np.hypot(off[:, :, 0], off[:, :, 1])


def _gauged(diagram: Diagram, at: Floats, kind: Ints) -> tuple[Floats, Floats]:
    """The gauge d or h of each row and the signed abscissa of its two ends."""
    gauge, x = np.zeros(len(kind)), np.zeros((len(kind), 2))
    x[:, 1] = np.hypot(*(at[:, 1] - at[:, 0]).T)
    walls = picked(diagram.walls, diagram.site)
    rows = np.arange(len(kind))
    corner = walls[rows[:, None], [0, 1], np.maximum(diagram.point - 1, 0)]  # (n, side, 2): the vertex, where it is one
    some = kind == VERTEX_WALL
    which = (diagram.point[some, 0] == 0).astype(int)
    tip, wall = corner[some, which], walls[some, 1 - which]
    along = _unit(wall[:, 1] - wall[:, 0])
    gauge[some] = np.abs(_cross(along, tip - wall[:, 0]))
    x[some] = dot(at[some] - tip[:, None], along[:, None])
    both = kind == VERTICES
    across = corner[both, 1] - corner[both, 0]
    gauge[both] = np.hypot(*across.T) / 2
    middle = corner[both].mean(axis=1)
    x[both] = _cross(_unit(across)[:, None], at[both] - middle[:, None])
    return gauge, x


def _split(rows: _Rows) -> _Rows:
    """Cut rows in two where the radius is least within them, and turn all so that it rises."""
    inside = (rows.kind != WALLS) & (rows.x[:, 0] * rows.x[:, 1] < 0)
    halves = rows.taken(np.concatenate([np.flatnonzero(~inside), np.repeat(np.flatnonzero(inside), 2)]))
    whole = int((~inside).sum())
    first, second = np.arange(whole, len(halves.x), 2), np.arange(whole + 1, len(halves.x), 2)
    feet = _feet_at_least(rows.taken(inside))
    new = len(rows.vertices) + np.arange(len(first))
    halves.ends[first, 1], halves.ends[second, 0] = new, new
    halves.x[first, 1], halves.x[second, 0] = 0.0, 0.0
    halves.feet[first, 1], halves.feet[second, 0] = feet, feet
    halves.vertices = np.concatenate([rows.vertices, feet.mean(axis=1)])
    halves.radius = np.concatenate([rows.radius, np.hypot(*(feet[:, 0] - feet[:, 1]).T) / 2])
    halves.x = np.where(halves.kind[:, None] == WALLS, halves.x, np.abs(halves.x))
    return _risen(halves)


def _feet_at_least(rows: _Rows) -> Floats:
    """Feet of the point of least radius within a row: the vertices, or a vertex and its foot on the wall."""
    share = rows.x[:, 0] / (rows.x[:, 0] - rows.x[:, 1])
    start, end = rows.feet[:, 0], rows.feet[:, 1]
    return np.asarray(start + share[:, None, None] * (end - start))


def _risen(rows: _Rows) -> _Rows:
    down = rows.radius[rows.ends[:, 0]] > rows.radius[rows.ends[:, 1]]
    rows.ends[down] = rows.ends[down][:, ::-1]
    rows.feet[down] = rows.feet[down][:, ::-1]
    bent = down & (rows.kind != WALLS)
    rows.x[bent] = rows.x[bent][:, ::-1]
    return rows


def _with_parts(diagram: Diagram, ink: shapely.MultiPolygon, rows: _Rows) -> Axis:
    low, high = rows.ends.T
    part, beside = joined(low, high, rows.radius > ON_OUTLINE_MM), diagram.beside_frame
    part_open = np.zeros(int(part.max()) + 1, dtype=bool)
    part_open[part[_padded(beside, len(rows.vertices))[high]]] = True
    return Axis(
        walls=diagram.walls,
        ring=diagram.ring,
        vertices=rows.vertices,
        radius_mm=rows.radius,
        low=low,
        high=high,
        in_ink=_in_ink(diagram, ink, rows),
        kind=rows.kind,
        gauge_mm=rows.gauge,
        x_low=rows.x[:, 0],
        x_high=rows.x[:, 1],
        feet_low=rows.feet[:, 0],
        feet_high=rows.feet[:, 1],
        separation_low_deg=_separation(rows, 0),
        separation_high_deg=_separation(rows, 1),
        site=rows.site,
        point=rows.point,
        part=part,
        part_open=part_open,
        diagram=diagram,
    )


def joined(low: Ints, high: Ints, may_join: Bools) -> Ints:
    """Number the connected groups of rows, (n,), that share vertices where `may_join` (m,) allows it.

    Groups come in the order of their first rows. Each round hangs the root of a row's one end under that of its other
    and lets what was hung look up its new root: a handful of rounds on any mark.
    """
    row = np.arange(len(low))
    own = len(may_join) + row  # an end at which a row may not join is its own
    one, other = (np.where(may_join.take(end), end, own) for end in (low, high))
    root = np.arange(len(may_join) + len(low))
    while not (one == other).all():
        hung = np.maximum(one, other)
        np.minimum.at(root, hung, np.minimum(one, other))
        above = root.take(hung)
        while not (above == (higher := root.take(above))).all():
            root[hung] = above = higher
        one, other = root.take(one), root.take(other)
    first = np.zeros(len(root), dtype=np.int64)  # of each root its first row
    first[one[::-1]] = row[::-1]
    leads = first.take(one)
    return np.asarray(np.cumsum(leads == row).take(leads) - 1)


def by_kind(kind: Ints, walls: Floats, vertex_wall: Floats, vertices: Floats) -> Floats:
    """Of three values (n,) the one that is right for the kind of each row."""
    return np.where(kind == WALLS, walls, np.where(kind == VERTEX_WALL, vertex_wall, vertices))


def _padded(flags: Bools, length: int) -> Bools:
    return np.concatenate([flags, np.zeros(length - len(flags), dtype=bool)])


def _separation(rows: _Rows, end: int) -> Floats:
    """Angle at an end between the directions to the two feet, by kind, exact also where the radius is 0."""
    radius = np.maximum(rows.radius[rows.ends[:, end]], ON_OUTLINE_MM)
    apart = np.zeros(len(radius))
    some = rows.kind == WALLS
    # The higher end of two walls never lies on the outline, and their separation is the same all along.
    arms = rows.feet[some, 1] - rows.vertices[rows.ends[some, 1]][:, None]
    apart[some] = np.arctan2(np.abs(_cross(arms[:, 0], arms[:, 1])), dot(arms[:, 0], arms[:, 1]))
    bent = rows.kind == VERTEX_WALL
    apart[bent] = np.arccos(np.clip(1 - rows.gauge[bent] / radius[bent], -1.0, 1.0))
    both = rows.kind == VERTICES
    apart[both] = 2 * np.arctan2(rows.gauge[both], rows.x[both, end])
    return np.asarray(np.degrees(apart))


def _in_ink(diagram: Diagram, ink: shapely.MultiPolygon, rows: _Rows) -> Bools:
    """Tell ink from floor by the side of a wall on which the higher end lies; rows of two vertices ask the area."""
    at = rows.vertices[rows.ends[:, 1]]
    wall = diagram.walls[np.where(rows.point[:, 0] == 0, rows.site[:, 0], rows.site[:, 1])]
    inside = _cross(wall[:, 1] - wall[:, 0], at - wall[:, 0]) > 0
    both = rows.kind == VERTICES
    inside[both] = shapely.contains_xy(ink, rows.vertices[rows.ends[both]].mean(axis=1))
    return np.asarray(inside)


def _check_against(ink: shapely.MultiPolygon, axis: Axis) -> None:
    """Measure a sample of radii a second way: a wrong diagram raises nothing by itself."""
    is_used = np.zeros(len(axis.vertices), dtype=bool)
    is_used[axis.low] = is_used[axis.high] = True
    used = np.flatnonzero(is_used)
    sample = used[:: max(1, len(used) // _SAMPLES)]
    outline = shapely.boundary(ink)
    shapely.prepare(outline)
    off = np.abs(shapely.distance(shapely.points(axis.vertices[sample]), outline) - axis.radius_mm[sample])
    if not (off <= _RADIUS_FAULT_MM).all():
        raise InternalFault.at(
            "axis", f"a radius of the medial axis differs from the outline's distance by {off.max():.3g} mm"
        )


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _unit(vectors: Floats) -> Floats:
    return np.asarray(vectors / np.hypot(*vectors.T)[:, None])
