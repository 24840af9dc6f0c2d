"""Hatching as strokes of its own: lines or dots over an area, cut off at its edges, the same in every viewer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.counting import counted

from .svg import add, strokes_of

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LINE_MM, DOT_MM = 0.12, 0.28


@dataclass(frozen=True, slots=True)
class Hatch:
    """One way to fill ground: a tint, and on it lines at an angle, or rows of dots, at a pitch."""

    tint: str
    angle_deg: float = 0.0
    pitch_mm: float = 0.0  # 0: the tint alone
    is_dotted: bool = False


def draw_hatch(parent: ET.Element, area: shapely.Geometry, hatch: Hatch, *, line: str) -> None:
    """Draw the strokes of a hatch over an area of the page."""
    if not hatch.pitch_mm or area.is_empty:
        return
    strokes = _strokes(area, angle_deg=hatch.angle_deg, pitch_mm=hatch.pitch_mm, is_dotted=hatch.is_dotted)
    data = strokes_of(strokes.reshape(-1, 2), ends=2 * np.arange(1, len(strokes) + 1))
    style: dict[str, str | float] = {"fill": "none", "stroke": line, "stroke_width": LINE_MM}
    if hatch.is_dotted:  # a dash of no length with round ends is a dot
        style |= {"stroke_width": DOT_MM, "stroke_linecap": "round", "stroke_dasharray": f"0 {hatch.pitch_mm}"}
    if data:
        add(parent, "path", d=data, **style)


def _strokes(area: shapely.Geometry, *, angle_deg: float, pitch_mm: float, is_dotted: bool) -> Floats:
    """Ends (n, 2, 2) of the pieces of parallel lines that lie in an area, by the even-odd rule."""
    turn = np.radians(angle_deg)
    to_page = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])  # rows times this
    start, end = _edges(area, to_page.T)
    row, x = _crossings(start, end, pitch_mm)
    order = np.lexsort((x, row))
    row, pairs = row[order][::2], x[order].reshape(-1, 2)
    if is_dotted:  # dots of neighbouring pieces stand in line, and none hangs over the edge
        half = DOT_MM / 2
        pairs = np.column_stack([np.ceil((pairs[:, 0] + half) / pitch_mm) * pitch_mm, pairs[:, 1] - half])
        row, pairs = row[pairs[:, 1] >= pairs[:, 0]], pairs[pairs[:, 1] >= pairs[:, 0]]
        pairs[:, 1] += 1e-3  # a stroke of one dot still has a length
    y = (row * pitch_mm)[:, None].repeat(2, axis=1)
    return np.asarray(np.stack([pairs, y], axis=-1) @ to_page)


def _edges(area: shapely.Geometry, turn: Floats) -> tuple[Floats, Floats]:
    """Both ends of every edge of an area, turned."""
    rings = shapely.get_rings(shapely.get_parts(area))
    places, of_ring = shapely.get_coordinates(rings, return_index=True)
    places = places @ turn
    same = of_ring[1:] == of_ring[:-1]
    return places[:-1][same], places[1:][same]


def _crossings(start: Floats, end: Floats, pitch_mm: float) -> tuple[NDArray[np.int64], Floats]:
    """Where edges cross the lines y = row times pitch; one that ends on a line counts at its lower end only."""
    (x0, y0), (x1, y1) = start.T, end.T
    first = np.ceil(np.minimum(y0, y1) / pitch_mm).astype(np.int64)
    count = np.ceil(np.maximum(y0, y1) / pitch_mm).astype(np.int64) - first
    owner = np.repeat(np.arange(len(count)), count)
    row = first[owner] + counted(count)
    with np.errstate(divide="ignore", invalid="ignore"):  # level edges cross nothing
        slope = (x1 - x0) / (y1 - y0)
    return row, x0[owner] + (row * pitch_mm - y0[owner]) * slope[owner]
