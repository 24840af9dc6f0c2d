"""Where strokes end: a bar keeps its drawn length, a needle its point.

____________________
                    |   v: last vertex of the ribs, e: their direction there
------------------v-|->  the farthest drawn corner along e is the plane no grown wall of this end passes
____________________|
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.spatial import cKDTree

from stampwright.base.counting import dot, picked
from stampwright.plane import along

from .climb import climbed
from .knots import crumbs, tied
from .walls import SAME_MM
from .want import RIB_DEG

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    from .walls import Owned, Samples, Walls
    from .want import Wants

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_TAPER = 0.06  # radius gained per length going back from an end: beyond it the stroke is a needle
_STROKE_DEG = 140.0  # a stroke whose walls lean about as much as a rib's may goes on where ribs come and go
_HARDLY = 0.01  # the least weight of an end: such a one may grow by a hundred least widths
_KNOT = 0.03  # of the radius: rows of the axis shorter than that, about a round cap's middle, are one knot
_CLUSTER = 0.5  # the axis of a round cap branches over so many radii about the end
_FADE = 0.25  # and over so many more the outline goes over from the cap to the sides of the stroke
_FACES_END = 0.02  # cosine from which a wall faces outward along the end's direction
_SPUR_DEG = 120.0  # what leads between such walls into a corner lies where it ends; facing walls lie where they are
_STRAIGHT_END = 0.8  # a wall across the end, longer than so many radii, is its face and stays
_SLANTED, _ACROSS, _SQUARE = 0.75, 0.95, 0.98  # cosines from which a face hardly, surely, squarely is across a needle
_POINT = (
    0.25  # of the least width: what is no wider is a point, whatever face it has; of a third it is hardly one any more
)
_SLACK = 0.008  # of the least width: a cap's facets may pass its highest corner by that
_FEW = 8  # ends: up to so many are asked faster one by one than by a tree
_MOST_STEPS = 200  # rows walked back along a stroke


@dataclass(frozen=True, slots=True)
class Ends:
    """Ends (e): `vertex`, outward `direction` (e, 2), `spare_mm` each may grow longer, `needle`: tapers to a point.

    That is a weight up to 1, and so is `faced`: a straight wall lies across it and stays.
    """

    vertex: Ints
    direction: Floats
    spare_mm: Floats
    needle: Floats
    faced: Floats

    def __len__(self) -> int:
        return len(self.vertex)


def ends_of(axis: Axis, wants: Wants) -> Ends:
    """Find the ends of thin strokes: where ribs end and all else runs down into corners or a cap."""
    met, lands = _met(axis, wants), axis
    axis, stands = tied(axis, crumbs(axis, share=_KNOT, below_deg=RIB_DEG))
    count = len(axis.radius_mm)
    met[stands[met]] = True
    stroke = axis.in_ink & (axis.separation_low_deg >= _STROKE_DEG)
    degree = np.bincount(np.concatenate([axis.low[stroke], axis.high[stroke]]), minlength=count)
    rises, level = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    rises[axis.low[axis.in_ink & ~stroke]] = True
    level[axis.low[stroke]] = level[axis.high[axis.in_ink & (axis.separation_high_deg >= _STROKE_DEG)]] = True
    thin = (axis.radius_mm < wants.least_mm / 2) & (wants.vertex_mm > 0)
    vertex = np.flatnonzero((degree == 1) & ~rises & thin & level & ~met)
    if not len(vertex):
        return Ends(vertex, np.zeros((0, 2)), *np.zeros((3, 0)))
    far_mm = np.maximum(axis.radius_mm[vertex], wants.least_mm / 2)
    seen_deg = _facing_deg(axis, stroke)
    back, length, facing_deg = _walked_back(axis, stroke, vertex, far_mm, seen_deg)
    away = axis.vertices[vertex] - axis.vertices[back]
    # what widens because a wall ends, at a joint, is no taper
    plain = stroke & (axis.separation_high_deg >= _STROKE_DEG)
    if not np.array_equal(plain, stroke):
        back, length, facing_deg = _walked_back(axis, plain, vertex, far_mm, seen_deg)
    far = length > 0
    taper = np.divide(axis.radius_mm[back] - axis.radius_mm[vertex], length, out=np.zeros(len(vertex)), where=far)
    enough = length >= 0.99 * far_mm
    direction = away / np.maximum(np.hypot(*away.T), 1e-12)[:, None]
    spare = _spare(lands, wants)[_part_of(lands, vertex)]
    # in an elbow walls lean about as much as a rib's where its round outer corner begins, and ever more from there
    surely = np.clip((facing_deg - _STROKE_DEG) / (RIB_DEG - _STROKE_DEG), _HARDLY, 1.0)
    spare += wants.least_mm * (1 / surely - 1)
    keep = np.hypot(*away.T) > 0
    needle = ((taper > _TAPER) & enough).astype(np.float64)
    return Ends(vertex[keep], direction[keep], spare[keep], needle[keep], 1 - needle[keep])


def _met(axis: Axis, wants: Wants) -> Bools:
    """Vertices, (m,), to which another stroke climbs from beyond the cap."""
    fed = wants.fed
    way = np.hypot(*(axis.vertices[fed.source] - axis.vertices[fed.top]).T)
    met = np.zeros(len(axis.radius_mm), dtype=bool)
    met[fed.top[way > _CLUSTER * axis.radius_mm[fed.top]]] = True
    return met


def _facing_deg(axis: Axis, rows: Bools) -> Floats:
    """How much walls face each other along the `rows` (n,) that meet in each vertex, at most, (m,)."""
    most = np.zeros(len(axis.radius_mm))
    np.maximum.at(most, axis.low[rows], axis.separation_low_deg[rows])
    np.maximum.at(most, axis.high[rows], axis.separation_high_deg[rows])
    return most


def _part_of(axis: Axis, vertex: Ints) -> Ints:
    part = np.zeros(len(axis.radius_mm), dtype=np.int64)
    part[axis.low[axis.in_ink]] = axis.part[axis.in_ink]
    part[axis.high[axis.in_ink]] = axis.part[axis.in_ink]
    return part[vertex]


def _spare(axis: Axis, wants: Wants) -> Floats:
    """How much each end of a land shorter than the least width may grow, (parts,): a dot grows all round."""
    parts, rib = len(axis.part_open), wants.rib
    chain = np.bincount(axis.part[rib], axis.length_mm[rib], minlength=parts)
    widest = np.zeros(parts)
    np.maximum.at(widest, axis.part[axis.in_ink], 2 * axis.high_mm[axis.in_ink])
    return np.asarray(np.maximum(wants.least_mm - chain - widest, 0.0) / 2)


def _walked_back(axis: Axis, rib: Bools, vertex: Ints, far_mm: Floats, seen_deg: Floats) -> tuple[Ints, Floats, Floats]:
    """The vertex reached from each end along its ribs, at the first fork or once `far_mm` is walked; and the way.

    And the most of what is `seen_deg` (m,) at the vertices on the way.
    """
    rows = np.flatnonzero(rib)
    ends = np.concatenate([axis.low[rows], axis.high[rows]])
    order = np.argsort(ends, kind="stable")
    first = np.searchsorted(ends[order], np.arange(len(axis.radius_mm) + 1))
    arms, others = np.tile(rows, 2)[order], np.concatenate([axis.high[rows], axis.low[rows]])[order]
    here, came, way = vertex.copy(), np.full(len(vertex), -1), np.zeros(len(vertex))
    most_deg = seen_deg[vertex]
    for step in range(_MOST_STEPS):
        degree = first[here + 1] - first[here]
        going = np.flatnonzero((way < far_mm) & (degree == (1 if step == 0 else 2)))
        if not len(going):
            break
        slot = first[here[going]]
        slot = np.where(arms[slot] == came[going], np.minimum(slot + 1, len(arms) - 1), slot)
        there, arm = others[slot], arms[slot]
        way[going] += axis.length_mm[arm]
        came[going], here[going] = arm, there
        most_deg[going] = np.maximum(most_deg[going], seen_deg[there])
    return here, way, most_deg


def end_of_samples(axis: Axis, wants: Wants, ends: Ends, ink: Owned) -> tuple[Ints, Floats]:
    """The end, (s, 2), to which the outline before and after each sample belongs, -1 for none; and how loosely.

    That, (s, 2), is how far beyond the end's plane it may go: nothing at the cap, the least width and more where the
    stroke begins [mm].
    """
    out, loose = np.full(ink.row.shape, -1), np.full(ink.row.shape, np.inf)
    if not len(ends):
        return out, loose
    stays = wants.level | (axis.radius_mm >= wants.least_mm / 2)
    stays[ends.vertex] = True
    root = climbed(axis, axis.in_ink, stays=stays)
    asked = ink.row >= 0
    once = asked[:, 0] & (ink.row[:, 0] == ink.row[:, 1])  # mostly the same row goes on
    asked[once, 1] = False
    which = np.nonzero(asked)
    row, share = ink.row[which], ink.share[which]
    if not len(row):
        return out, loose
    # what leads into a corner or a cap belongs where it ends, or where that leads: turning parts and ties knots
    facing = np.clip((axis.separation_low_deg[row] - _SPUR_DEG) / (RIB_DEG - _SPUR_DEG), 0.0, 1.0)[:, None]
    here = along(axis, row, share).at
    there = picked(axis.vertices, np.stack([axis.high[row], root[axis.low[row]]]))
    anchor = there + facing * (here - there)
    away, nearest = _nearest(picked(axis.vertices, ends.vertex), anchor)
    nearest, away = np.asarray(np.where(away[0] <= away[1], *nearest)), np.minimum(*away)
    radius = axis.radius_mm[ends.vertex[nearest]]
    near = away <= (_CLUSTER + _FADE) * radius
    out[which] = np.where(near, nearest, -1)
    beyond = np.divide(away - _CLUSTER * radius, _FADE * radius, out=np.zeros(len(away)), where=near & (radius > 0))
    loose[which] = np.where(near, wants.least_mm * np.maximum(beyond, 0.0), np.inf)
    out[once, 1], loose[once, 1] = out[once, 0], loose[once, 0]
    return out, loose


def _nearest(of: Floats, at: Floats) -> tuple[Floats, Ints]:
    """How far each place (..., 2) lies from the nearest `of` (e, 2), and which that is."""
    if len(of) > _FEW:
        away, nearest = cKDTree(of).query(at)
        return away, nearest
    x, y = at[..., 0], at[..., 1]
    square = np.stack([(x - to_x) ** 2 + (y - to_y) ** 2 for to_x, to_y in of.tolist()])
    return np.sqrt(square.min(axis=0)), square.argmin(axis=0)


def faced(walls: Walls, ends: Ends, samples: Samples, end: Ints) -> Ends:
    """The ends, and of needles how surely each has a straight face across, which stays; `end` (s, 2) of samples.

    One that is wide as well is the less a needle: it ends as a bar does, and its plane is that of a square face.
    """
    if not ends.needle.any():
        return ends
    at, column = np.nonzero((end >= 0) & (ends.needle[end] > 0))
    which, wall = np.unique(np.stack([end[at, column], samples.wall[at]]), axis=1)
    facing = dot(picked(walls.outward, wall), picked(ends.direction, which))
    face_mm = walls.length_mm[wall] * np.clip((facing - _SLANTED) / (_ACROSS - _SLANTED), 0.0, 1.0)
    radius, normal = walls.axis.radius_mm[ends.vertex], ends.direction.copy()
    rising = np.argsort(face_mm, kind="stable")
    normal[which[rising]] = walls.outward[wall[rising]]  # the last one written, that of the longest, holds
    across = np.bincount(which, face_mm, minlength=len(ends)) / (_STRAIGHT_END * np.maximum(radius, SAME_MM))
    straight, needle = np.clip(across - 1, 0.0, 1.0), ends.needle > 0
    blunt = np.maximum(2 * straight - 1, 0.0) * np.clip(2 * radius / (_POINT * walls.least_mm) - 1, 0.0, 1.0) * needle
    # a slanted face stays slanted, but the length is kept along the stroke
    turn = blunt * np.clip((dot(normal, ends.direction) - _ACROSS) / (_SQUARE - _ACROSS), 0.0, 1.0)
    turned = ends.direction + turn[:, None] * (normal - ends.direction)
    direction = np.where(needle[:, None], turned / np.hypot(*turned.T)[:, None], ends.direction)
    faced = np.where(needle, np.minimum(2 * straight, 1.0), 1.0)
    return Ends(ends.vertex, direction, ends.spare_mm, ends.needle - blunt, faced)


class CornerEnds(NamedTuple):
    """Of corners (q) of the outline the end each belongs to, -1 for none, and how far it may pass that one's plane."""

    end: Ints
    loose_mm: Floats

    def of(self, corner: Ints) -> CornerEnds:
        """Those of some corners."""
        return CornerEnds(self.end[corner], self.loose_mm[corner])


class Planes:
    """The plane of each end, which no grown wall of it passes: the farthest drawn corner along its direction.

    `end` (s, 2): the end to which the outline before and after each sample belongs, -1 for none; `loose_mm` (s, 2): how
    far it may pass the plane there.
    """

    def __init__(  # noqa: PLR0913  the parts of one drawing
        self, walls: Walls, ends: Ends, samples: Samples, end: Ints, loose_mm: Floats, *, least_mm: float
    ) -> None:
        self._walls, self._ends, self._samples, self.end, self.loose_mm = walls, ends, samples, end, loose_mm
        # of each end that a sample sees, before it or after it: the sample, the end, how far ahead, facing how much
        self._at, column = np.nonzero(end >= 0)
        self._which: Ints = end[self._at, column]
        self._loose_mm: Floats = loose_mm[self._at, column]
        self._at_cap: Bools = self._loose_mm <= 0
        self._wall: Ints = samples.wall[self._at]
        self._beyond_mm = self._beyond(self._which, picked(samples.at, self._at))
        self._facing: Floats = dot(picked(walls.outward, self._wall), picked(ends.direction, self._which))
        ahead = np.full(len(ends), -np.inf)
        np.maximum.at(ahead, self._which, self._beyond_mm)
        self._reach_mm = ahead + ends.spare_mm + _SLACK * least_mm

    def clearance(self, corner: CornerEnds, origin: Floats, direction: Floats) -> Floats:
        """How far rays (q) may go from corners (q) before they pass the planes of their ends, endless for none [mm]."""
        which = corner.end
        free = np.full(len(which), np.inf)
        some = np.flatnonzero(which >= 0)
        if len(some):
            facing = dot(picked(direction, some), picked(self._ends.direction, which[some]))
            some, facing = some[facing > _FACES_END], facing[facing > _FACES_END]
            room = self._reach_mm[which[some]] + corner.loose_mm[some] - self._beyond(which[some], origin[some])
            free[some] = np.maximum(room, 0.0) / facing
        return free

    def at_corners(self, last: Ints, first: Ints) -> CornerEnds:
        """The ends of corners (q) between the samples `last` of one wall and `first` of the next."""
        before, after = self.end[last, 0], self.end[first, 1]
        loose = np.minimum(self.loose_mm[last, 0], self.loose_mm[first, 1])
        return CornerEnds(np.where(before >= 0, before, after), loose)

    def normals(self, sample: Ints) -> Floats:
        """Outward directions, (q, 2), of the ends to which samples (q,) belong, nothing for those of none."""
        end = np.maximum(*picked(self.end, sample).T)
        directions = np.concatenate([self._ends.direction, np.zeros((1, 2))])
        return picked(directions, end)

    def of_samples(self) -> Floats:
        """How far samples (s) may go along their walls' normals before they pass the plane of either end they see."""
        free, ahead = np.full(len(self.end), np.inf), self._facing > _FACES_END
        room = self._reach_mm[self._which[ahead]] + self._loose_mm[ahead] - self._beyond_mm[ahead]
        np.minimum.at(free, self._at[ahead], np.maximum(room, 0.0) / self._facing[ahead])
        return free

    def ahead(self) -> Bools:
        """Samples, (s,), on walls that face outward from an end."""
        out = np.zeros(len(self.end), dtype=bool)
        out[self._at[self._at_cap & (self._facing > _FACES_END)]] = True
        return out

    def across(self) -> Floats:
        """How far samples (s) on straight walls across an end may move: such a wall is the end's face, and stays.

        A needle that has none runs to its point with both its walls.
        """
        free, walls, which = np.full(len(self.end), np.inf), self._walls, self._which
        radius, needle = walls.axis.radius_mm[self._ends.vertex], self._ends.needle[which]
        faced = self._ends.faced[which]
        face = (self._facing > 0.5) & (walls.length_mm[self._wall] >= _STRAIGHT_END * radius[which])
        face = np.where(needle > 0, (self._facing > _SLANTED) & (faced > 0), face)
        spare = self._ends.spare_mm[which[face]] + self._spare_mm(faced[face])
        np.minimum.at(free, self._at[face], spare + self._loose_mm[face])
        return free

    def needle_points(self) -> tuple[Floats, Floats]:
        """Where each needle's point lies on the outline, and how far walls may move there, as it is none, [mm].

        That, as a position, is ahead of its end, on the line of its direction. Which corner of a blunt point lies the
        farthest out may change with a turn of the drawing; this does not.
        """
        at = np.flatnonzero(self.end[:-1, 1] >= 0)
        at = at[self._ends.needle[self.end[at, 1]] > 0]
        which, samples = self.end[at, 1], self._samples
        ahead, aside = zip(*(self._seen(which, samples.at[i]) for i in (at, at + 1)), strict=True)
        some = np.flatnonzero((aside[0] <= 0) & (aside[1] > 0) & (ahead[0] + ahead[1] > 0))
        share = aside[0][some] / (aside[0] - aside[1])[some]
        at, which, far = at[some], which[some], (ahead[0] + ahead[1])[some]
        order = np.lexsort((-far, which))
        first = order[np.unique(which[order], return_index=True)[1]]
        position = samples.position
        points = position[at[first]] + share[first] * (position[at[first] + 1] - position[at[first]])
        return np.asarray(points), self._spare_mm(self._ends.needle[which[first]])

    def _spare_mm(self, weight: Floats) -> Floats:
        """How much farther walls may go where something holds them back by so much `weight` only [mm]."""
        return np.asarray(self._walls.least_mm * (1 / np.clip(weight, _HARDLY, 1.0) - 1))

    def _seen(self, which: Ints, at: Floats) -> tuple[Floats, Floats]:
        """How far places (q, 2) lie ahead of their ends, and how far to the left of the ends' direction [mm]."""
        away = at - picked(self._walls.axis.vertices, self._ends.vertex[which])
        along = picked(self._ends.direction, which)
        return dot(away, along), along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0]

    def _beyond(self, which: Ints, at: Floats) -> Floats:
        """How far places lie along the direction of their ends, from the ends' vertices [mm]."""
        vertex = picked(self._walls.axis.vertices, self._ends.vertex[which])
        return dot(at - vertex, picked(self._ends.direction, which))
