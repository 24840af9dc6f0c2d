"""Where each cell of a text stands: the positioning of SVG 2, 11.5, step by step.

Cells come one after the other on a line; dx and dy move them, textLength stretches them, x and y place them, anchors
shift each chunk, and what stands on a path is laid along it.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from itertools import pairwise
from typing import TYPE_CHECKING

from stampwright.artwork.svg.lengths import length
from stampwright.artwork.svg.viewport import px_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stampwright.artwork.svg.viewport import View

    from .along import Track
    from .letters import Letter, Span, Text
    from .shaping import Cell

_ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}


def lay_out(text: Text, cells: Sequence[Cell], *, view: View, tracks: dict[int, Track]) -> None:
    """Give each cell its place. `cells` have their baselines in y and stand one after the other in x."""
    letters = text.letters
    _move(letters, cells)
    wanted = [place for place, span in enumerate(text.spans) if _is_stretched(span)]
    for place in sorted(wanted, key=lambda place: -text.spans[place].depth):
        _stretch(place, text, cells, view)
    _place(letters, cells, tracks)
    _anchor(letters, cells)
    _turn(letters, cells)
    for cell in cells:
        along = letters[cell.first].along
        if along is not None and along in tracks:
            tracks[along].carry(cell)


def _move(letters: Sequence[Letter], cells: Iterable[Cell]) -> None:
    """Add up dx and dy: each moves its letter and all that follow."""
    x = y = 0.0
    for cell in cells:
        x += letters[cell.first].dx
        y += letters[cell.first].dy
        cell.x += x
        cell.y += y
        for letter in letters[cell.first + 1 : cell.stop]:  # those inside a ligature count for what follows
            x += letter.dx
            y += letter.dy


def _is_stretched(span: Span) -> bool:
    """Whether an element has letters and a textLength for them."""
    found = length(span.element.get("textLength", ""))
    return span.first < span.stop and span.name != "a" and found is not None and found.value >= 0


def _stretch(place: int, text: Text, cells: Sequence[Cell], view: View) -> None:
    """Bring the cells of an element to its textLength."""
    span = text.spans[place]
    found = length(span.element.get("textLength", ""))
    start, stop = (bisect_left(cells, edge, key=lambda cell: cell.first) for edge in (span.first, span.stop))
    inside = cells[start:stop]
    if found is None or not inside:
        return
    left = min(cell.x for cell in inside)
    right = max(cell.x + cell.advance * cell.wide for cell in inside)
    wanted = px_of(found, "x", view=view, style=span.style)
    grown = 0.0
    if span.element.get("lengthAdjust") == "spacingAndGlyphs":
        factor = wanted / (right - left) if right > left else 1.0
        for cell in inside:
            cell.x, cell.wide = left + (cell.x - left) * factor, cell.wide * factor
        grown = wanted - (right - left)
    else:
        grown = _spread(inside, wanted - (right - left), _blocks(place, text))
    _push(text.letters, cells[stop:], by=grown)


def _blocks(place: int, text: Text) -> list[Span]:
    """Elements inside an element that have a textLength of their own: for it each counts as one letter."""
    found: list[Span] = []
    for span in text.spans[place + 1 :]:
        if span.depth <= text.spans[place].depth:
            break
        if _is_stretched(span) and not (found and span.first < found[-1].stop):
            found.append(span)
    return found


def _spread(cells: Sequence[Cell], missing: float, blocks: Sequence[Span]) -> float:
    """Part the cells evenly; returns how far what follows them moves."""
    first = {block.first for block in blocks}
    held = {place for block in blocks for place in range(block.first, block.stop)}
    free = [cell.first not in held for cell in cells]
    count = sum(free) + len(blocks) - 1
    step = missing / count if count > 0 else 0.0
    shift = 0.0
    for cell, is_free in zip(cells, free, strict=True):
        cell.x += shift
        shift += step if is_free or cell.first in first else 0.0
    return shift


def _push(letters: Sequence[Letter], cells: Iterable[Cell], *, by: float) -> None:
    """What follows a stretched element on the same chunk moves with its end."""
    for cell in cells:
        if letters[cell.first].begins:
            return
        cell.x += by


def _place(letters: Sequence[Letter], cells: Iterable[Cell], tracks: dict[int, Track]) -> None:
    """Bring cells to their x and y, and with them what follows; what follows a path begins at its end."""
    x = y = 0.0
    before: int | None = None
    for cell in cells:
        letter = letters[cell.first]
        at_x, at_y = letter.x, letter.y
        if letter.along is None and before is not None:
            end_x, end_y = tracks[before].end
            at_x, at_y = end_x if at_x is None else at_x, end_y if at_y is None else at_y
        if at_x is not None:
            x = at_x + letter.dx - cell.x
        if at_y is not None:
            y = at_y + letter.dy - (cell.y - cell.drop)
        cell.x += x
        cell.y += y
        before = letter.along


def _anchor(letters: Sequence[Letter], cells: Sequence[Cell]) -> None:
    """Shift each chunk so that its start, middle or end is where its first letter was placed."""
    starts = [place for place, cell in enumerate(cells) if letters[cell.first].begins]
    for start, stop in pairwise([*starts, len(cells)]):
        chunk = cells[start:stop]
        share = _ANCHORS.get(letters[chunk[0].first].style["text-anchor"], 0.0)
        left = min(cell.x for cell in chunk)
        right = max(cell.x + cell.advance * cell.wide for cell in chunk)
        shift = chunk[0].x - (left + share * (right - left))
        for cell in chunk:
            cell.x += shift


def _turn(letters: Sequence[Letter], cells: Iterable[Cell]) -> None:
    for cell in cells:
        cell.turn_rad = math.radians(letters[cell.first].turn_deg or 0.0)
