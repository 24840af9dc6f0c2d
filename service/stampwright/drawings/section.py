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

HEIGHT_MM = 32.0  # room on the page
_WIDE_MM = 58.0  # drawn width of the section
_SCALES = (1, 2, 3, 4, 5, 8, 10)
_HIGH_MM = 18.0  # and height; below it the facts begin
_NECK = 1.2  # widths: where the metal cut is wider than that, the thinnest place lies between two corners
_BELOW_MM = 1.2  # metal shown below the floor
_CUT, _HATCH_INK = "#e4d5b0", "#7c6a48"
_HATCH = Hatch(_CUT, -45.0, 1.0)  # as a drawing office marks cut metal
_CHAIN = "1.6 0.5 0.3 0.5"
_HAIR_MM = 1e-4


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
    at, relief = stamp.review.land_min_at_mm, stamp.face.relief_mm
    if at is None:
        return None
    width, along, at = _across(stamp.face.ink, at)
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
    neck = "" if walls else " (a neck between two inside corners)"
    words = f"Section A–A through the thinnest land{neck}, {scale}:1"
    put(parent, words, at=(x, y + 2), size_mm=2.2, text_anchor="middle", fill=QUIET)
    top = y + 12.5
    view = View(x, top)
    metal = view.area(shapely.transform(section.metal, lambda xy: xy * scale))
    add(parent, "path", id="section", d=path_of(metal), fill=_CUT, fill_rule="evenodd")
    draw_hatch(parent, metal, _HATCH, line=_HATCH_INK)
    edges = view.area(shapely.transform(_edges(section), lambda xy: xy * scale))
    add(parent, "path", d=path_of(edges), fill="none", stroke=INK, stroke_width=0.25, stroke_linejoin="round")
    across(parent, x + left * scale, x + right * scale, y=top - 4.5, from_y=top, figure=f"{section.width_mm:.2f}")
    edge = x + max(section.metal.bounds[2], half) * scale
    upright(parent, top, top + relief * scale, x=edge + 6.5, from_x=edge, figure=f"{relief:.2f}")


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


def _across(ink: shapely.Geometry, at: Point) -> tuple[float, Point, Point]:
    """Width of the land at a place, the unit vector across it, and the middle between its two walls there."""
    edge, place = shapely.boundary(ink), shapely.Point(at)
    radius = float(shapely.distance(edge, place))
    near = shapely.get_parts(shapely.line_merge(shapely.intersection(edge, shapely.buffer(place, 1.05 * radius))))
    feet = np.array([shapely.get_coordinates(shapely.shortest_line(part, place))[0] for part in near])
    first = feet[int(np.argmin(np.hypot(*(feet - at).T)))]
    other = feet[int(np.argmax(np.hypot(*(feet - first).T)))]
    if np.hypot(*(other - first)) < radius:  # one wall only, as of a disc: straight through its middle
        other = 2 * np.array(at) - first
    width, middle = float(np.hypot(*(other - first))), (first + other) / 2
    along = (other - first) / width
    along *= 1.0 if (along[0], along[1]) > (0.0, 0.0) else -1.0
    return width, (float(along[0]), float(along[1])), (float(middle[0]), float(middle[1]))


def _metal(solid: Solid, at: Point, along: Point, *, within: Bounds) -> shapely.Geometry:
    """Metal in the plane, down to the lower side of `within`: what stands under each upward triangle it cuts."""
    low, base_mm, top, _ = within
    corners = solid.vertices[solid.triangles]
    ends = _cuts(corners[_normal_z(corners) > 0], at, along)
    seen = (np.abs(ends[:, 1, 0] - ends[:, 0, 0]) > 1e-9) & (ends[..., 0].max(axis=1) > low)
    ends = ends[seen & (ends[..., 0].min(axis=1) < top)]
    (s0, z0), (s1, z1) = ends[:, 0].T, ends[:, 1].T
    foot = np.full(len(ends), base_mm)
    rings = np.stack([np.column_stack(pair) for pair in ((s0, foot), (s0, z0), (s1, z1), (s1, foot))], axis=1)
    return shapely.union_all(shapely.polygons(rings), grid_size=1e-6)


def _normal_z(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    (ux, uy), (vx, vy) = (corners[:, 1, :2] - corners[:, 0, :2]).T, (corners[:, 2, :2] - corners[:, 0, :2]).T
    return np.asarray(ux * vy - uy * vx)


def _cuts(corners: NDArray[np.float64], at: Point, along: Point) -> NDArray[np.float64]:
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
