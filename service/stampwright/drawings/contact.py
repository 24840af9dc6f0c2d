"""The contact sheet: prints of many marks on one page, each with name and verdict, to be checked at a glance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from stampwright import __version__
from stampwright.base import numbered
from stampwright.catalogue import substrate_named

from . import board, svg
from .lettering import short_name
from .paper import pdf_of
from .sheet import PAPERS, Paper
from .svg import INK, QUIET, add, path_of
from .words import fitted, lines_of, put, put_lines

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree import ElementTree as ET

    from stampwright.base import Bounds, Point
    from stampwright.job import Job
    from stampwright.pipeline import Reviewed

COLUMNS, ROWS = 5, 8
MOST_TILES = COLUMNS * ROWS
"""Marks on one page: forty."""

_EDGE_MM, _HEAD_MM, _FOOT_MM, _GAP_MM = 12.0, 9.0, 6.0, 3.5
_WORDS_MM = 7.6  # below each picture: name, and verdict with the mark's size
_AROUND_MM = 1.5  # of ground around each head
_NAME_MM, _SMALL_MM = 2.3, 2.0
_FINEST_MM = 0.01  # on paper; finer outlines would only make the file large


@dataclass(frozen=True, slots=True)
class Tile:
    """One mark of the sheet: its review, or why there is none."""

    name: str
    job: Job
    reviewed: Reviewed | None
    refused: str = ""

    @property
    def verdict(self) -> str:
        """As the review has it; a mark that cannot be read has none."""
        return self.reviewed.review.verdict if self.reviewed else "refused"


def contact_svg(tiles: Sequence[Tile], *, paper: Paper = "a4") -> str:
    """The sheet as SVG at the paper's size."""
    return svg.svg_of(_page(tiles, paper))


def contact_pdf(tiles: Sequence[Tile], *, paper: Paper = "a4") -> bytes:
    """The sheet as PDF with embedded font and selectable text."""
    return pdf_of([_page(tiles, paper)], title="Contact sheet", says=_counts(tiles))


def _page(tiles: Sequence[Tile], paper: Paper) -> ET.Element:
    wide, high = PAPERS[paper]
    page = svg.page(wide, high, title="Contact sheet", says=f"Prints of {_counts(tiles)}.")
    page[-1].set("fill", "#ffffff")
    put(page, "Contact sheet", at=(_EDGE_MM, _EDGE_MM + 3.2), size_mm=4.2, font_weight="bold")
    put(page, _counts(tiles), at=(wide - _EDGE_MM, _EDGE_MM + 3.2), size_mm=_NAME_MM, text_anchor="end")
    room = (wide - 2 * _EDGE_MM + _GAP_MM, high - 2 * _EDGE_MM - _HEAD_MM - _FOOT_MM + _GAP_MM)
    size = (room[0] / COLUMNS - _GAP_MM, room[1] / ROWS - _GAP_MM)
    for number, tile in enumerate(tiles):
        row, column = divmod(number, COLUMNS)
        at = (_EDGE_MM + column * (size[0] + _GAP_MM), _EDGE_MM + _HEAD_MM + row * (size[1] + _GAP_MM))
        _draw(page, tile, name=short_name(tile.name) or f"mark {number + 1}", at=at, size=size)
    foot = f"each print scaled to its field, its mark's size beside the verdict [mm] · stampwright {__version__}"
    put(page, foot, at=(_EDGE_MM, high - _EDGE_MM), size_mm=_SMALL_MM, fill=QUIET)
    return page


def _draw(page: ET.Element, tile: Tile, *, name: str, at: Point, size: tuple[float, float]) -> None:
    x, y = at
    box = (x, y, x + size[0], y + size[1] - _WORDS_MM)
    if tile.reviewed is None:
        _draw_refusal(page, tile.refused, box=box)
    else:
        _draw_print(page, tile.reviewed, tile.job, box=box)
    put(page, fitted(name, room_mm=size[0], size_mm=_NAME_MM), at=(x, box[3] + 3.2), size_mm=_NAME_MM)
    weight = "normal" if tile.verdict == "ready" else "bold"
    put(page, tile.verdict, at=(x, box[3] + 6.3), size_mm=_SMALL_MM, font_weight=weight)
    if tile.reviewed:
        x0, y0, x1, y1 = tile.reviewed.face.ink.bounds
        words = f"{x1 - x0:.1f} × {y1 - y0:.1f}"
        put(page, words, at=(x + size[0], box[3] + 6.3), size_mm=_SMALL_MM, text_anchor="end", fill=QUIET)


def _draw_print(page: ET.Element, reviewed: Reviewed, job: Job, *, box: Bounds) -> None:
    """The print on its ground, read the right way round: the face seen from behind."""
    board.draw_ground(page, substrate_named(job.substrate).kind, box=box)
    (x0, y0, x1, y1), (_, _, half_x, half_y) = box, reviewed.face.head.bounds
    scale = min((x1 - x0) / (half_x + _AROUND_MM), (y1 - y0) / (half_y + _AROUND_MM)) / 2
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)

    def shown(area: shapely.Geometry) -> str:
        moved = shapely.transform(area, lambda xy: xy * (-scale, -scale) + middle)
        return path_of(moved, finest_mm=_FINEST_MM)

    head = {"fill": "none", "stroke": INK, "stroke_dasharray": "0.6 0.6", "opacity": "0.45"}
    add(page, "path", d=shown(reviewed.face.head), stroke_width=0.1, **head)
    add(page, "path", d=shown(reviewed.face.ink), fill=board.CHAR, fill_rule="evenodd")


def _draw_refusal(page: ET.Element, why: str, *, box: Bounds) -> None:
    x0, y0, x1, y1 = box
    rim = {"fill": "none", "stroke": QUIET, "stroke_dasharray": "0.6 0.6"}
    add(page, "rect", x=x0, y=y0, width=x1 - x0, height=y1 - y0, rx=1.2, stroke_width=0.15, **rim)
    lines = lines_of(why, room_mm=x1 - x0 - 3, size_mm=_SMALL_MM)
    most = int((y1 - y0 - 2) / (1.45 * _SMALL_MM))
    kept = lines if len(lines) <= most else [*lines[: most - 1], lines[most - 1][:-2].rstrip() + "…"]
    put_lines(page, kept, at=(x0 + 1.5, y0 + 3.2), size_mm=_SMALL_MM, fill=QUIET)


def _counts(tiles: Sequence[Tile]) -> str:
    """How many marks, and how many of each verdict, the good ones first."""
    order = ("ready", "compromised", "unmakeable", "refused")
    found = [(verdict, sum(tile.verdict == verdict for tile in tiles)) for verdict in order]
    told = ", ".join(f"{count} {verdict}" for verdict, count in found if count)
    return f"{numbered(len(tiles), 'mark')}: {told}"
