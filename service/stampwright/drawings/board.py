"""The board or hide under a print, and the print burnt into it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from .svg import add, num, path_of, strokes_of

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from stampwright.base import Bounds
    from stampwright.catalogue import Kind

GROUND = {"softwood": "#ecd6ad", "hardwood": "#dcb98a", "leather": "#c99a6b"}
_GRAIN = "#9a6a38"
CHAR, GROWN, UNDRAWN, _SCORCH = "#2a1a12", "#52362a", "#8f5532", "#5f3418"
_PITCH_MM = {"softwood": 2.1, "hardwood": 1.2}
_GRAIN_MM, _ROUND_MM = 0.16, 1.2  # width of a line; radius of the board's corners
_PIECES = 12  # of a line of grain


def draw_board(parent: ET.Element, kind: Kind, *, box: Bounds) -> None:
    """Draw the ground within `box`: wood with its grain along it, or plain leather."""
    draw_ground(parent, kind, box=box)
    if kind != "leather":
        lines = _grain(box, pitch_mm=_PITCH_MM[kind])
        add(parent, "path", d=lines, fill="none", stroke=_GRAIN, stroke_width=_GRAIN_MM, opacity=0.3)


def draw_ground(parent: ET.Element, kind: Kind, *, box: Bounds) -> None:
    """Draw the ground within `box` without its grain."""
    x0, y0, x1, y1 = box
    add(parent, "rect", x=x0, y=y0, width=x1 - x0, height=y1 - y0, rx=_ROUND_MM, fill=GROUND[kind])


def draw_print(parent: ET.Element, ink: str, undrawn: str, *, scorch_mm: float, thin: str | None = None) -> None:
    """Draw the burnt ink over its scorched rim; what prints although it was not drawn is paler.

    `thin` is the ink before its thin lands were grown: what it gained is a shade paler.
    """
    both = {"fill_rule": "evenodd"}
    rim = {"stroke": _SCORCH, "stroke_width": num(2 * scorch_mm), "stroke_linejoin": "round", "opacity": "0.3"}
    add(parent, "path", d=ink + undrawn, fill="none", **rim)
    if undrawn:
        add(parent, "path", d=undrawn, fill=UNDRAWN, **both)
    add(parent, "path", id="print", d=ink, fill=CHAR if thin is None else GROWN, **both)
    if thin is not None:
        add(parent, "path", id="drawn", d=thin, fill=CHAR, **both)


def _grain(box: Bounds, *, pitch_mm: float) -> str:
    # Waves without chance: two sines of unrelated periods look grown, and give the same bytes each time.
    # Each bends as a cubic does, in so many straight pieces that none is seen.
    x0, y0, x1, y1 = box
    line = np.arange(-1, int((y1 - y0) / pitch_mm) + 2)[:, None]
    begins = y0 + pitch_mm * (line + 0.35 * np.sin(2.4 * line))
    first, second = 2.2 * np.sin(0.31 * line) + 0.5 * np.sin(1.9 * line), 2.2 * np.sin(0.31 * line + 1.3)
    t = np.linspace(0.0, 1.0, _PIECES + 1)
    y = begins + 3 * t * (1 - t) * ((1 - t) * first + t * second)
    lines = np.stack([np.broadcast_to(x0 + t * (x1 - x0), y.shape), y], axis=-1)
    is_whole = ((y > y0 + _ROUND_MM) & (y < y1 - _ROUND_MM)).all(axis=1)  # off the corners, above and below
    whole, cut = lines[is_whole], shapely.multilinestrings(shapely.linestrings(lines[~is_whole]))
    core = shapely.box(x0 + _ROUND_MM, y0 + _ROUND_MM, x1 - _ROUND_MM, y1 - _ROUND_MM)
    board = shapely.buffer(core, _ROUND_MM - _GRAIN_MM / 2)
    ends = np.arange(1, len(whole) + 1) * len(t)
    return strokes_of(whole.reshape(-1, 2), ends=ends) + path_of(shapely.intersection(cut, board))
