"""Lays the path of one stage for real: pieces, order, engagement, feed; then minutes, with every share of them."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.plane import polygons_of

from .clip import side_by_side
from .engagement import SLOT_RAD, feed_share, rim_in_metal, samples_along
from .front import Entry, Level, directed, discs_of, grow_front
from .links import linked
from .middle import TIGHT_MM, fronts_of, notches_of, slots_of
from .milling import chip_factor, ramp_mm
from .minutes import RAMP_DEG, lift_min
from .settings import STOCK_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stampwright.job import Machine

    from .bores import Bore
    from .reach import Ground
    from .settings import Setting

    Geometries = NDArray[np.object_]

LEAST_HELIX_SHARE = 0.1  # of the cutter's radius: a bore of 1.1 D, below it is a plunge; common practice, no source
_SIDE_BY_SIDE = 100  # notches, asked about together
PLUNGE_SHARE = 0.25  # of the feed straight down, 0.25 to 0.5; common practice, no source


@dataclass(frozen=True, slots=True)
class Course:
    """Pieces of path by level, entries, and where links may run once everything is cut."""

    levels: Sequence[Level]
    entries: Sequence[Entry]
    field: shapely.MultiPolygon


@dataclass(frozen=True, slots=True)
class Laid:
    """One axial pass along a path, and how it goes."""

    lines: shapely.MultiLineString  # what the centre runs along in metal or on the ground, links included
    path_mm: float
    feed_min: float  # at the adapted feed
    lifts: int = 0
    flown_mm: float = 0.0
    entries: int = 0
    tight_entries: int = 0  # of them, too small for a helix
    slowed_share: float = 0.0  # of the path, at less than 0.9 of the feed
    slotted_share: float = 0.0  # of the path, with more than 150° of the rim in metal

    def lifted_min(self, *, relief_mm: float, machine: Machine) -> float:
        """Lifts and the ways flown, in one pass [min]."""
        return self.lifts * lift_min(relief_mm, machine) + self.flown_mm / machine.rapid_mm_per_min


def lay_clearing(
    ground: Ground, radius_mm: float, stock_mm: float, setting: Setting, *, before_mm: float | None
) -> Laid:
    """Lay the path of one cutter after a larger one of radius `before_mm`, or on the untouched block."""
    centre, beside = ground.centre(radius_mm, stock_mm), ground.beside(radius_mm, stock_mm)
    field = ground.field(radius_mm, stock_mm)
    if before_mm is None:
        levels, entries = grow_front(beside, centre, to_clear=None, radius_mm=radius_mm, stepover_mm=setting.ae_mm)
        return _run(Course(levels, entries, field), ground.head, radius_mm, setting)
    rest = ground.rest(radius_mm, stock_mm, before_mm)
    free = ground.freed(before_mm, radius_mm, stock_mm)
    if not ground.has_room(stock_mm):
        free = polygons_of(shapely.union(free, beside))
    levels, entries = grow_front(free, centre, to_clear=rest, radius_mm=radius_mm, stepover_mm=setting.ae_mm)
    return _run(Course(levels, entries, field), ground.unswept(before_mm, stock_mm), radius_mm, setting)


def lay_slots(ground: Ground, radius_mm: float, setting: Setting) -> Laid:
    """Go along the middle of gaps too narrow for roughing; around in round ones, which have none."""
    found = slots_of(ground, radius_mm)
    lines = directed(shapely.multilinestrings(found.lines), ground.centre(radius_mm, 0.0))
    laid = _follow(ground, radius_mm, np.concatenate([lines, found.rings]), None, setting)
    return _plunged(laid, found.pockets, setting)


def _plunged(laid: Laid, times: int, setting: Setting) -> Laid:
    """Count in that the cutter goes straight down into closed gaps, where it has no room for a ramp."""
    down_min = times * setting.ap_mm / PLUNGE_SHARE / setting.feed_mm_per_min
    return dataclasses.replace(laid, entries=times, tight_entries=times, feed_min=laid.feed_min + down_min)


def lay_walls(ground: Ground, radius_mm: float, left: shapely.MultiPolygon, setting: Setting) -> Laid:
    """Follow every wall once around, through what the stages before have left, and deeper into narrow notches."""
    centre, notches = ground.centre(radius_mm, 0.0), notches_of(ground, radius_mm)
    notches = notches[_missed(notches, centre, left, radius_mm)]
    lines = shapely.geometrycollections([ground.wall_path(radius_mm), *notches])
    return _follow(ground, radius_mm, directed(lines, centre), left, setting)


def _missed(
    notches: Geometries, centre: shapely.MultiPolygon, left: shapely.MultiPolygon, radius_mm: float
) -> NDArray[np.bool_]:
    """Which notches lie in ground that is left, or have some right ahead."""
    fronts, missed = fronts_of(notches, centre, radius_mm), np.zeros(len(notches), dtype=bool)
    for some, near in side_by_side(left, shapely.bounds(notches), 2 * radius_mm, at_once=_SIDE_BY_SIDE):
        shapely.prepare(near)
        missed[some] = shapely.dwithin(near, notches[some], TIGHT_MM) | shapely.intersects(near, fronts[some])
        shapely.destroy_prepared(near)
    return missed


def lay_bores(bores: Sequence[Bore], diameter_mm: float, setting: Setting, *, relief_mm: float) -> Laid:
    """A helix to size less stock, a turn on the floor, then one turn at full size.

    On an inside circle the centre goes slower than the rim: its feed is vf (Dh − D) / Dh.
    """
    lines, path_mm, minutes = [], 0.0, 0.0
    for bore in bores:
        full_mm = (bore.diameter_mm - diameter_mm) / 2
        rough_mm = max(full_mm - STOCK_MM, full_mm / 2)
        middle = shapely.Point(bore.x_mm, bore.y_mm)
        lines += [shapely.boundary(shapely.buffer(middle, orbit_mm, quad_segs=16)) for orbit_mm in (rough_mm, full_mm)]
        way_mm = ramp_mm(relief_mm, RAMP_DEG) + 2 * math.pi * (rough_mm + full_mm)
        path_mm += way_mm
        minutes += way_mm * bore.diameter_mm / (bore.diameter_mm - diameter_mm) / setting.feed_mm_per_min
    return Laid(shapely.MultiLineString(lines), path_mm, minutes, lifts=len(bores), entries=len(bores))


def _follow(
    ground: Ground, radius_mm: float, pieces: Geometries, metal: shapely.Geometry | None, setting: Setting
) -> Laid:
    centre = ground.centre(radius_mm, 0.0)
    levels = [Level(pieces, centre, ground.centre(radius_mm, STOCK_MM))] if len(pieces) else []
    return _run(Course(levels, [], ground.field(radius_mm, 0.0)), metal, radius_mm, setting)


def _run(course: Course, metal: shapely.Geometry | None, radius_mm: float, setting: Setting) -> Laid:
    levels, entries = course.levels, course.entries
    way = linked(levels, course.field, stepover_mm=setting.ae_mm)
    lengths, arcs, shares = _bites(course, metal, radius_mm, setting)
    links = [link for link in way.links if link is not None]
    helices = shapely.boundary(discs_of(entries))
    tight = sum(entry.radius_mm < LEAST_HELIX_SHARE * radius_mm for entry in entries)
    # each pass goes down its helix by one axial depth, then once around on its floor
    entered_mm = float(shapely.length(helices).sum())
    entered_mm += (len(entries) - tight) * ramp_mm(setting.ap_mm, RAMP_DEG) + tight * setting.ap_mm / PLUNGE_SHARE
    idle_mm = float(shapely.length(links).sum()) + entered_mm
    cut_mm = float(lengths.sum())
    return Laid(
        lines=shapely.multilinestrings(np.array([*helices, *way.pieces, *links], dtype=object)),
        path_mm=cut_mm + idle_mm,
        feed_min=(float((lengths / shares).sum()) + idle_mm) / setting.feed_mm_per_min,
        lifts=way.lifts,
        flown_mm=way.flown_mm,
        entries=len(entries),
        tight_entries=tight,
        slowed_share=float(lengths[shares < 0.9].sum()) / max(cut_mm, 1e-9),
        slotted_share=float(lengths[arcs > SLOT_RAD].sum()) / max(cut_mm, 1e-9),
    )


def _bites(
    course: Course, metal: shapely.Geometry | None, radius_mm: float, setting: Setting
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Length [mm], arc in metal [rad] and feed share [-] of every step of the path, or piece of a slot.

    A slot, whose `metal` is not asked for, has it all round: its own setting reckons with that.
    """
    if not course.levels:
        return (np.zeros(0),) * 3
    if metal is None:
        lengths = shapely.length(np.concatenate([level.pieces for level in course.levels]))
        return lengths, np.full(len(lengths), math.pi), np.ones(len(lengths))
    of_level = np.repeat(np.arange(len(course.levels)), [len(level.pieces) for level in course.levels])
    steps = samples_along(np.concatenate([level.pieces for level in course.levels]), 2 * radius_mm)
    entered = shapely.get_coordinates(discs_of(course.entries))
    before = np.concatenate([entered, steps.places])
    ages = np.concatenate([np.full(len(entered), -1), of_level[steps.place_line]])
    age = of_level[steps.line]
    wanted = chip_factor(setting.ae_mm / (2 * radius_mm))
    arcs, chip = rim_in_metal(
        steps, radius_mm=radius_mm, metal=metal, age=age, before=(before, ages), wanted_chip=wanted
    )
    return steps.lengths, arcs, feed_share(arcs, chip, wanted_chip=wanted)
