"""Numbered badges beside the places they speak of: near, not on the ink if it can be helped, never on one another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from .svg import INK, PAPER, add, num
from .words import put

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree import ElementTree as ET

    from numpy.typing import NDArray

    from stampwright.base import Bounds, Point, Severity

    Points = NDArray[np.float64]

RADIUS_MM = 1.55
_SIZE_MM = 2.0
_DOT_MM, _LESSER_MM, _RIM_MM = 0.45, 0.28, 0.08  # radius of a numbered place, of one without number; pale around both
_HAIR_MM = 0.001  # length of a stroke that is a dot: without any, some viewers draw nothing
_ANGLES, _REACHES_MM = 12, (3.2, 4.6, 6.6, 9.6, 14.0)
_TURNS, _REACHES = (
    np.tile(2 * np.pi * (np.arange(_ANGLES) + 0.5) / _ANGLES, len(_REACHES_MM)),
    np.repeat(_REACHES_MM, _ANGLES),
)
_STANDS = _REACHES[:, None] * np.column_stack([np.cos(_TURNS), np.sin(_TURNS)])  # about a place: a badge's may be
# What a place costs, in millimetres of leader: covering ink is worth a detour, covering another badge never is.
_ON_INK, _ON_PLACE, _CROSSED, _ON_BADGE = 8.0, 8.0, 3.0, 1000.0


@dataclass(frozen=True, slots=True)
class Badge:
    """A number, its weight, the place it speaks of, and where it stands (page coordinates)."""

    number: int
    severity: Severity
    at: Point
    stands: Point


def placed(
    places: list[tuple[int, Severity, Point]],
    *,
    ink: shapely.Geometry,
    within: Bounds,
    letters: Sequence[Point] = (),
) -> list[Badge]:
    """Find each badge a stand, in the order given, off the `letters` and the places; all coordinates are the page's."""
    shapely.prepare(ink)
    spots = np.array([at for _, _, at in places]).reshape(-1, 2)
    all_stands = spots[:, None] + _STANDS
    alone = _REACHES + _ON_INK * shapely.dwithin(ink, shapely.points(all_stands), RADIUS_MM)  # the prepared one first
    alone += _ON_BADGE * ~_inside(all_stands, within)
    alone += _ON_PLACE * (_gap(all_stands, spots) < RADIUS_MM + _DOT_MM)
    taken: list[Point] = list(letters)
    badges: list[Badge] = []
    for (number, severity, at), stands, known in zip(places, all_stands, alone, strict=True):
        cost = known + _CROSSED * _crossings(np.array(at), stands, [(badge.at, badge.stands) for badge in badges])
        cost += _ON_BADGE * (_gap(stands, taken) < 2 * RADIUS_MM + 0.3)
        best = stands[int(np.argmin(cost))]
        stand = (float(best[0]), float(best[1]))
        taken.append(stand)
        badges.append(Badge(number, severity, at, stand))
    return badges


def draw(parent: ET.Element, badges: list[Badge], *, line: str = INK) -> None:
    """Draw leaders first, then the badges over them."""
    for badge in badges:
        (x, y), (u, v) = badge.at, badge.stands
        far = math.dist(badge.at, badge.stands) or 1.0
        edge = (u + (x - u) * RADIUS_MM / far, v + (y - v) * RADIUS_MM / far)
        for width, colour in ((0.42, PAPER), (0.16, line)):  # a pale rim keeps the leader visible on dark ink
            add(parent, "line", x1=x, y1=y, x2=edge[0], y2=edge[1], stroke=colour, stroke_width=width)
    _dots(parent, [badge.at for badge in badges], radius_mm=_DOT_MM, line=line)
    for badge in badges:
        disc(parent, badge.number, badge.severity, at=badge.stands)


def draw_lesser(parent: ET.Element, places: list[Point]) -> None:
    """Mark places that get no badge of their own."""
    _dots(parent, places, radius_mm=_LESSER_MM, line=INK)


def _dots(parent: ET.Element, places: list[Point], *, radius_mm: float, line: str) -> None:
    """Round dots with a pale rim, all in two strokes without length, which end round."""
    if not places:
        return
    data = "".join(f"M{num(x)} {num(y)} {num(x + _HAIR_MM)} {num(y)}" for x, y in places)
    group = add(parent, "g", fill="none", stroke_linecap="round")
    for colour, radius in ((PAPER, radius_mm + _RIM_MM), (line, radius_mm - _RIM_MM)):
        add(group, "path", d=data, stroke=colour, stroke_width=2 * radius)


def disc(parent: ET.Element, number: int, severity: Severity, *, at: Point) -> None:
    """Draw one badge; form, not colour, shows its weight: a note a thin ring, a warning a thick one, a stop solid."""
    solid = severity == "stop"
    rim = {"note": 0.14, "warning": 0.42, "stop": 0.42}[severity]
    fill = INK if solid else PAPER
    add(parent, "circle", cx=at[0], cy=at[1], r=RADIUS_MM - rim / 2, fill=fill, stroke=INK, stroke_width=rim)
    size = _SIZE_MM if number < 100 else 0.75 * _SIZE_MM
    base = (at[0], at[1] + 0.36 * size)
    put(parent, str(number), at=base, size_mm=size, text_anchor="middle", fill=PAPER if solid else INK)


def _inside(stands: Points, within: Bounds) -> NDArray[np.bool_]:
    x0, y0, x1, y1 = within
    low, top = np.array([x0, y0]) + RADIUS_MM, np.array([x1, y1]) - RADIUS_MM
    return np.asarray(((stands >= low) & (stands <= top)).all(axis=-1))


def _gap(stands: Points, others: Sequence[Point] | Points) -> NDArray[np.float64]:
    """Distance of each stand to the nearest of some points."""
    if not len(others):
        return np.full(stands.shape[:-1], np.inf)
    return np.asarray(np.hypot(*np.moveaxis(stands[..., None, :] - np.asarray(others), -1, 0)).min(axis=-1))


def _crossings(at: NDArray[np.float64], stands: Points, leaders: list[tuple[Point, Point]]) -> NDArray[np.int64]:
    """How many leaders a new one from `at` to each stand would cross."""
    if not leaders:
        return np.zeros(len(stands), int)
    start, end = np.array(leaders).transpose(1, 0, 2)
    apart = _side(start, end, at) * _side(start, end, stands[:, None]) < 0
    here = _side(at, stands[:, None], start) * _side(at, stands[:, None], end) < 0
    return np.asarray((apart & here).sum(axis=1))


def _side(start: Points, end: Points, place: Points) -> NDArray[np.float64]:
    """Positive where a place lies left of the way from start to end, negative where right."""
    way, to = end - start, place - start
    return np.asarray(way[..., 0] * to[..., 1] - way[..., 1] * to[..., 0])
