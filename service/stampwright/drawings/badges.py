"""Numbered badges beside the places they speak of: near, not on the ink if it can be helped, never on one another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from .svg import INK, PAPER, add
from .words import put

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree import ElementTree as ET

    from numpy.typing import NDArray

    from stampwright.base import Bounds, Point, Severity

RADIUS_MM = 1.55
_SIZE_MM = 1.7
_ANGLES = 16
_REACHES_MM = (3.2, 4.6, 6.4, 9.0, 12.5, 17.0)
# What a place costs, in millimetres of leader: covering ink is worth a detour, covering another badge never is.
_ON_INK, _ON_BADGE = 6.0, 1000.0


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
    """Find each badge a stand, in the order given, off the `letters`; all coordinates are the page's."""
    shapely.prepare(ink)
    taken: list[Point] = list(letters)
    badges = []
    for number, severity, at in places:
        stand = _best(at, taken, ink=ink, within=within)
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
    draw_dots(parent, [badge.at for badge in badges], line=line)
    for badge in badges:
        disc(parent, badge.number, badge.severity, at=badge.stands)


def draw_dots(parent: ET.Element, places: list[Point], *, line: str = INK) -> None:
    """Mark places that get no badge of their own."""
    for x, y in places:
        add(parent, "circle", cx=x, cy=y, r=0.45, fill=line, stroke=PAPER, stroke_width=0.16)


def disc(parent: ET.Element, number: int, severity: Severity, *, at: Point) -> None:
    """Draw one badge; form, not colour, shows its weight: a note a thin ring, a warning a thick one, a stop solid."""
    solid = severity == "stop"
    rim = {"note": 0.14, "warning": 0.42, "stop": 0.42}[severity]
    fill = INK if solid else PAPER
    add(parent, "circle", cx=at[0], cy=at[1], r=RADIUS_MM - rim / 2, fill=fill, stroke=INK, stroke_width=rim)
    size = _SIZE_MM if number < 100 else 0.75 * _SIZE_MM
    base = (at[0], at[1] + 0.36 * size)
    put(parent, str(number), at=base, size_mm=size, text_anchor="middle", fill=PAPER if solid else INK)


def _best(at: Point, taken: list[Point], *, ink: shapely.Geometry, within: Bounds) -> Point:
    stands, reach = _stands(at)
    x0, y0, x1, y1 = within
    x, y = stands.T
    inside = (x >= x0 + RADIUS_MM) & (x <= x1 - RADIUS_MM) & (y >= y0 + RADIUS_MM) & (y <= y1 - RADIUS_MM)
    on_ink = shapely.dwithin(ink, shapely.points(stands), RADIUS_MM)  # the prepared one first, or it does not count
    cost = reach + _ON_INK * on_ink + _ON_BADGE * ~inside
    if taken:
        gap = np.hypot(*(stands[:, None, :] - np.array(taken)[None, :, :]).transpose(2, 0, 1)).min(axis=1)
        cost = cost + _ON_BADGE * (gap < 2 * RADIUS_MM + 0.3)
    best = stands[int(np.argmin(cost))]
    return (float(best[0]), float(best[1]))


def _stands(at: Point) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    turn = 2 * math.pi * (np.arange(_ANGLES) + 0.5) / _ANGLES
    reach = np.repeat(_REACHES_MM, _ANGLES)
    turns = np.tile(turn, len(_REACHES_MM))
    return np.array(at) + reach[:, None] * np.column_stack([np.cos(turns), np.sin(turns)]), reach
