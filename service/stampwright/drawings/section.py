"""The relief in section through the thinnest land: cut from the solid itself, enlarged, with its measures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from .dimensions import across, upright
from .hatch import Hatch, draw_hatch
from .svg import INK, PAPER, QUIET, View, add, path_of
from .words import put

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from numpy.typing import NDArray

    from stampwright.base import Bounds, Point
    from stampwright.pipeline import Stamp
    from stampwright.solid import Solid

    Floats = NDArray[np.float64]

WIDTH_MM, HEIGHT_MM = 82.0, 32.0  # room on the page
_WIDE_MM = 58.0  # drawn width of the section
_SCALES = (1, 2, 3, 4, 5, 8, 10)
_HIGH_MM = 18.0  # and height; below it the facts begin
_NECK = 1.2  # widths: where the metal cut is wider than that, the thinnest place lies between two corners
_NEAR = 3.0  # widths around the place, in which a cut is sought
_CLEAN = 0.01  # of the width: a cut that is no longer shows both walls
_ROOM = 0.05  # widths of floor that a cut should show beside each wall
_BENT = 0.02  # widths of difference that a turn by a radian, or a move by a width, is worth
_TOLD_MM = 0.005  # beyond it, figures of two decimals would contradict each other
_JITTER = 2e-3  # widths
_TURNS = np.radians([0, 5, -5, 10, -10, 20, -20, 30, -30, 45, -45, 60, -60])
_SHIFTS = np.array([0, 0.02, -0.02, 0.1, -0.1, 0.25, -0.25, 0.5, -0.5, 1.0, -1.0])  # widths
_AT_ONCE = 18  # aims
_TURNED, _MOVED = (grid.ravel() for grid in np.meshgrid(_TURNS, _SHIFTS))
_BY_BEND = np.argsort(np.abs(_TURNED) + np.abs(_MOVED), kind="stable")
_BELOW_MM = 1.2  # metal shown below the floor
_CUT, _HATCH_INK = "#e4d5b0", "#7c6a48"
_HATCH = Hatch(_CUT, -45.0, 1.0)  # as a drawing office marks cut metal
_CHAIN = "1.6 0.5 0.3 0.5"
_HAIR_MM = 1e-4
_PLACES = 6  # decimals of the metal's outline [mm]


@dataclass(frozen=True, slots=True)
class Section:
    """A cut through the land at `at` along the unit vector `along`; `metal` in (along, height), the lands' top at 0."""

    at: Point
    along: Point
    width_mm: float
    half_mm: float
    scale: int
    metal: shapely.Geometry


def section_of(stamp: Stamp) -> Section | None:
    """Cut across the thinnest land; None when no land has a width."""
    at, width_mm, relief = stamp.review.land_min_at_mm, stamp.review.land_min_mm, stamp.face.relief_mm
    if at is None or width_mm is None:
        return None
    width, along, at = _across(stamp.face.ink, at, width_mm)
    most = max(1, int(min(_WIDE_MM / (3.2 * width), _HIGH_MM / (relief + _BELOW_MM))))
    scale = max(step for step in _SCALES if step <= most)
    half = _WIDE_MM / scale / 2
    window = shapely.box(-half, -relief - _BELOW_MM, half, 0.0)
    metal = shapely.intersection(_metal(stamp.solid, at, along, within=window.bounds), window)
    return Section(at, along, width, half, scale, metal)


def draw_section(parent: ET.Element, section: Section, stamp: Stamp, *, x: float, y: float) -> None:
    """Draw the section below each other: heading, cut metal, measures; centred at `x`, from `y` downwards."""
    scale, relief = section.scale, stamp.face.relief_mm
    half = section.width_mm / 2
    walls = _walls(section)
    left, right = walls or (-half, half)
    put(
        parent,
        _heading(section, stamp, is_neck=walls is None),
        at=(x, y + 2),
        size_mm=2.2,
        text_anchor="middle",
        fill=QUIET,
    )
    top = y + 12.5
    view = View(x, top)
    metal = view.area(shapely.transform(section.metal, lambda xy: xy * scale))
    add(parent, "path", id="section", d=path_of(metal), fill=_CUT, fill_rule="evenodd")
    draw_hatch(parent, metal, _HATCH, line=_HATCH_INK)
    edges = view.area(shapely.transform(_edges(section), lambda xy: xy * scale))
    add(parent, "path", d=path_of(edges), fill="none", stroke=INK, stroke_width=0.25, stroke_linejoin="round")
    across(parent, x + left * scale, x + right * scale, y=top - 4.5, from_y=top, figure=f"{section.width_mm:.2f}")
    _relief(parent, section, relief, x=x, top=top)


def _heading(section: Section, stamp: Stamp, *, is_neck: bool) -> str:
    least, where = stamp.review.land_min_mm or section.width_mm, "through the thinnest land"
    if abs(section.width_mm - least) > _TOLD_MM:  # the thinnest place lies between corners, where no cut shows it
        where = f"beside the thinnest place, which is {least:.2f} wide"
    neck = ", a neck" if is_neck else ""
    return f"Section A–A {where}{neck}, {section.scale}:1"


def _relief(parent: ET.Element, section: Section, relief: float, *, x: float, top: float) -> None:
    """Dimension the relief on the side where the floor reaches the end; else a line leads out from the floor."""
    low, _, high, _ = section.metal.bounds
    scale, level = section.scale, shapely.LineString([(low, -relief / 2), (high, -relief / 2)])
    first, _, last, _ = shapely.difference(level, section.metal).bounds  # of the air over the floor
    is_left = last < high - _HAIR_MM and first <= low + _HAIR_MM
    floor, edge, way = (first, low, -1) if is_left else (last, high, 1)
    y = top + relief * scale
    upright(parent, top, y, x=x + edge * scale + way * 6.5, from_x=x + edge * scale, figure=f"{relief:.2f}")
    if abs(floor - edge) > _HAIR_MM:  # nan where there is no floor at all
        add(parent, "line", x1=x + floor * scale, y1=y, x2=x + edge * scale + way, y2=y, stroke=INK, stroke_width=0.13)


def draw_trace(parent: ET.Element, section: Section, *, view: View) -> None:
    """Mark on the face where the section is cut: a chain line, heavier at its ends, each lettered A."""
    (x0, y0), (x1, y1) = (view.point(end) for end in _ends(section, beyond_mm=0.0))
    for colour, wide in ((PAPER, 0.45), (INK, 0.15)):
        add(parent, "line", x1=x0, y1=y0, x2=x1, y2=y1, stroke=colour, stroke_width=wide, stroke_dasharray=_CHAIN)
    for x, y in letters_of(section, view=view):
        at = (x, y + 0.8)
        put(parent, "A", at=at, size_mm=2.2, text_anchor="middle", stroke=PAPER, stroke_width="0.5")
        put(parent, "A", at=at, size_mm=2.2, text_anchor="middle")


def letters_of(section: Section, *, view: View) -> list[Point]:
    """Where the two letters of the trace stand on the page."""
    return [view.point(end) for end in _ends(section, beyond_mm=1.6)]


def _ends(section: Section, *, beyond_mm: float) -> list[Point]:
    """Both ends of the trace on the face: of the metal that the section shows, and a little further."""
    (x, y), (u, v), (low, _, high, _) = section.at, section.along, section.metal.bounds
    return [(x + reach * u, y + reach * v) for reach in (low - beyond_mm, high + beyond_mm)]


def _edges(section: Section) -> shapely.Geometry:
    """What is an edge of the metal; where the window cuts it off there is none."""
    base_mm, half = section.metal.bounds[1], section.half_mm
    around = shapely.box(-half + _HAIR_MM, base_mm + _HAIR_MM, half - _HAIR_MM, 1.0)
    return shapely.line_merge(shapely.intersection(shapely.boundary(section.metal), around))


def _walls(section: Section) -> tuple[float, float] | None:
    """The land's walls at its top, along the section [mm]; None of a neck, where the cut shows none.

    A line from inside corner to inside corner goes on in metal behind both.
    """
    top = shapely.get_parts(
        shapely.intersection(section.metal, shapely.box(-section.half_mm, -1e-3, section.half_mm, 1))
    )
    nearest = min(top, key=lambda land: float(shapely.distance(land, shapely.Point(0, 0))), default=None)
    if nearest is None or nearest.bounds[2] - nearest.bounds[0] > _NECK * section.width_mm:
        return None
    return float(nearest.bounds[0]), float(nearest.bounds[2])


def _across(ink: shapely.Geometry, at: Point, width_mm: float) -> tuple[float, Point, Point]:
    """A cut across the land at its narrowest: how long it is in the land, its direction, its middle.

    Straight across the widest disc there, as a rule. Between two inside corners that would run on in the metal behind
    both, and where walls lean it would be longer than the disc: the cut is moved and turned to where it is as long.
    """
    turn = _straight(ink, at)
    edges = _edges_near(ink, at, reach_mm=_NEAR * width_mm)
    aim, middle = _best_aim(edges, turn, at, width_mm)
    (low,), (top,), _ = _chords(edges, aim, middle)
    if not np.isfinite(top - low):
        low, top = -width_mm / 2, width_mm / 2
    along = np.array([np.cos(aim[0]), np.sin(aim[0])])
    centre = middle[0] + (low + top) / 2 * along
    along *= 1.0 if (along[0], along[1]) > (0.0, 0.0) else -1.0
    return float(top - low), (float(along[0]), float(along[1])), (float(centre[0]), float(centre[1]))


def _best_aim(edges: Floats, turn: float, at: Point, width_mm: float) -> tuple[Floats, Floats]:
    """The straight cut if it is clean; else the best of those turned and moved, which their bend counts against."""
    best, cost = (np.array([turn]), np.array([at])), np.inf
    if _off(edges, best, width_mm)[0] < _CLEAN:
        return best
    for first in range(0, len(_BY_BEND), _AT_ONCE):
        some = _BY_BEND[first : first + _AT_ONCE]
        bend = np.abs(_TURNED[some]) + np.abs(_MOVED[some])
        if _BENT * bend[0] >= cost:
            break
        turns, shifts = turn + _TURNED[some], _MOVED[some] * width_mm
        middles = np.array(at) + shifts[:, None] * np.column_stack([-np.sin(turns), np.cos(turns)])
        costs = _off(edges, (turns, middles), width_mm) + _BENT * bend
        if costs[least := int(np.argmin(costs))] < cost:
            best, cost = (turns[least:][:1], middles[least:][:1]), float(costs[least])
    return best


def _off(edges: Floats, aims: tuple[Floats, Floats], width_mm: float) -> Floats:
    """By how many widths cuts are longer or shorter than the land is wide, or lack floor to be seen beside it.

    The worse of two beside each: one that runs exactly through a corner may end there or go on in the metal behind.
    """
    turns, middles = aims
    beside = _JITTER * width_mm * np.column_stack([-np.sin(turns), np.cos(turns)])
    chords = [_chords(edges, turns, middles + way * beside) for way in (-1, 1)]
    lacks = (np.fmax(_ROOM - room / width_mm, 0.0) for _, _, room in chords)
    return np.maximum(*(np.abs((top - low) / width_mm - 1) for low, top, _ in chords)) + np.maximum(*lacks)


def _straight(ink: shapely.Geometry, at: Point) -> float:
    """Direction [rad] from wall to wall at a place."""
    edge, place = shapely.boundary(ink), shapely.Point(at)
    radius = float(shapely.distance(edge, place))
    near = shapely.get_parts(shapely.line_merge(shapely.intersection(edge, shapely.buffer(place, 1.05 * radius))))
    feet = np.array([shapely.get_coordinates(shapely.shortest_line(part, place))[0] for part in near])
    first = feet[int(np.argmin(np.hypot(*(feet - at).T)))]
    other = feet[int(np.argmax(np.hypot(*(feet - first).T)))]
    if np.hypot(*(other - first)) < radius:  # one wall only, as of a disc: straight through its middle
        other = 2 * np.array(at) - first
    return float(np.arctan2(*(other - first)[::-1]))


def _edges_near(ink: shapely.Geometry, at: Point, *, reach_mm: float) -> Floats:
    """Both ends (n, 2, 2) of the ink's edges within reach, closed along the limit."""
    (x, y) = at
    near = shapely.clip_by_rect(ink, x - reach_mm, y - reach_mm, x + reach_mm, y + reach_mm)
    places, of_ring = shapely.get_coordinates(shapely.get_rings(shapely.get_parts(near)), return_index=True)
    return np.asarray(np.stack([places[:-1], places[1:]], axis=1)[of_ring[1:] == of_ring[:-1]])


def _chords(edges: Floats, turns: Floats, middles: Floats) -> tuple[Floats, Floats, Floats]:
    """Where lines through places (n, 2) leave the ink, backwards and forwards [mm]; endless where a place is off it.

    And how far either way at least the floor beyond reaches, endless where no other land follows near by.
    """
    along = np.column_stack([np.cos(turns), np.sin(turns)])
    ends = edges[None] - middles[:, None, None]
    off = ends[..., 1] * along[:, None, None, 0] - ends[..., 0] * along[:, None, None, 1]
    way = (ends * along[:, None, None]).sum(axis=-1)
    hit = (off[..., 0] >= 0) != (off[..., 1] >= 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        t = way[..., 0] + off[..., 0] / (off[..., 0] - off[..., 1]) * (way[..., 1] - way[..., 0])
    ahead, behind = hit & (t > 0), hit & (t <= 0)
    is_on = ahead.sum(axis=1) % 2 == 1
    none = np.full((len(t), 2), np.inf)
    top, beyond = _two_least(np.hstack([np.where(ahead, t, np.inf), none]))
    low, before = _two_least(np.hstack([np.where(behind, -t, np.inf), none]))
    with np.errstate(invalid="ignore"):
        room = np.fmin(beyond - top, before - low)  # nan where a line meets no wall at all
    return np.where(is_on, -low, -np.inf), np.where(is_on, top, np.inf), room


def _two_least(values: Floats) -> tuple[Floats, Floats]:
    """The least and the second least of each row."""
    first, second = np.partition(values, 1, axis=1)[:, :2].T
    return first, second


def _metal(solid: Solid, at: Point, along: Point, *, within: Bounds) -> shapely.Geometry:
    """Metal in the plane, down to the lower side of `within`: what stands under the upward triangles it cuts.

    From above the solid has one height everywhere, so the cuts lie end to end; a step between two is a wall.
    """
    low, base_mm, top, _ = within
    corners = solid.vertices[solid.triangles]
    ends = _cuts(corners[_normal_z(corners) > 0], at, along)
    ends = np.round(np.take_along_axis(ends, np.argsort(ends[..., 0], axis=1)[..., None], axis=1), _PLACES)
    ends = ends[(ends[:, 1, 0] > low) & (ends[:, 0, 0] < top)]
    ends = ends[np.argsort(ends[:, 0, 0], kind="stable")]
    ends[:, :, 0] = np.maximum.accumulate(ends[:, :, 0].ravel()).reshape(-1, 2)
    line = ends[ends[:, 1, 0] > ends[:, 0, 0]].reshape(-1, 2)  # a piece without length would be a spike
    return shapely.polygons(np.vstack([(line[0, 0], base_mm), line, (line[-1, 0], base_mm)]))


def _normal_z(corners: Floats) -> Floats:
    (ux, uy), (vx, vy) = (corners[:, 1, :2] - corners[:, 0, :2]).T, (corners[:, 2, :2] - corners[:, 0, :2]).T
    return np.asarray(ux * vy - uy * vx)


def _cuts(corners: Floats, at: Point, along: Point) -> Floats:
    """Both ends (n, 2, 2) of the cut through each triangle (m, 3, 3) the plane crosses, as (along, height)."""
    plan = corners[:, :, :2] - at
    off, way = plan @ (-along[1], along[0]), plan @ along
    beyond = off >= 0
    hit = np.flatnonzero(beyond.any(axis=1) & ~beyond.all(axis=1))
    off, way, z, beyond = off[hit], way[hit], corners[hit, :, 2], beyond[hit]
    other = np.roll(np.arange(3), -1)
    crossed = beyond != beyond[:, other]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(crossed, off / (off - off[:, other]), 0.0)
    points = np.stack([way + share * (way[:, other] - way), z + share * (z[:, other] - z)], axis=-1)
    return np.asarray(points[crossed].reshape(-1, 2, 2))
