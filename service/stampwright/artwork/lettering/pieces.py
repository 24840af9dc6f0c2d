"""Cells in their places to outlines: which are painted together, where each stands, and the boxes of their letters."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stampwright.artwork.affine import Affine, shift, times
from stampwright.artwork.paths import Path

from .baselines import cell_em
from .glyphs import placed

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from .glyphs import Outlines
    from .letters import Letter
    from .shaping import Cell, Glyph


def to_place(cell: Cell) -> Affine:
    """Map from the space of a cell, its origin on the baseline, to that of the text."""
    cos, sin = math.cos(cell.turn_rad), math.sin(cell.turn_rad)
    return (cell.wide * cos, cell.wide * sin, -sin, cos, cell.x, cell.y)


def outline_of(cells: Iterable[Cell], outlines: Outlines) -> Path:
    """The outlines of cells as one path, in the space of the text."""
    return placed(
        (outlines.of(cell.setting.chosen.font, glyph.number), to)
        for cell in cells
        if not cell.hidden
        for glyph, to in _glyphs(cell)
    )


def _glyphs(cell: Cell) -> Iterator[tuple[Glyph, Affine]]:
    """Each glyph of a cell with its map from units of the font to px."""
    scale = cell.setting.size_px / cell.setting.chosen.face.units_per_em
    inside = to_place(cell)
    for glyph in cell.glyphs:
        yield glyph, times(inside, times(shift(glyph.dx, glyph.dy), (scale, 0.0, 0.0, -scale, 0.0, 0.0)))


def pieces(letters: Sequence[Letter], cells: Iterable[Cell]) -> Iterator[list[Cell]]:
    """Cells of one element that follow each other: they are painted together, those that are stretched alone."""
    piece: list[Cell] = []
    for cell in cells:
        letter = letters[cell.first]
        if piece and (letters[piece[-1].first].element is not letter.element or letter.begins or cell.wide != 1):
            yield piece
            piece = []
        piece.append(cell)
    if piece:
        yield piece


def boxes_of(cells: Iterable[Cell]) -> Path:
    """The cells of letters as rectangles: the box of a text is around them, not around its ink (SVG 2, 8.10)."""
    path = Path()
    for cell in cells:
        if cell.hidden:
            continue
        top, bottom = (-edge * cell.setting.size_px for edge in cell_em(cell.setting.chosen))
        a, b, c, d, e, f = to_place(cell)
        for x, y in ((0.0, top), (cell.advance, top), (cell.advance, bottom), (0.0, bottom)):
            path.nodes.append((a * x + c * y + e, b * x + d * y + f))
        path.end(closed=True)
    return path
