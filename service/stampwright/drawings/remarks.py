"""The list of findings below a drawing: the same numbers as the badges in it, each kind with its sentences."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from . import badges
from .kinds import Kind, kinds_of, unlisted
from .svg import INK, QUIET
from .words import LINE, lines_of, put, put_lines

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from stampwright.review import Review

_SIZE_MM = 2.1
_HEAD_MM = 2.5
_INDENT_MM = 2 * badges.RADIUS_MM + 1.6
_GUTTER_MM = 7.0
_COLUMN_MM = 80.0  # about sixty letters: the longest line that is read with ease
_AFTER_MM = 2.4


@dataclass(frozen=True, slots=True)
class _Entry:
    kind: Kind
    lines: list[tuple[str, str]]  # words and their colour

    @property
    def height_mm(self) -> float:
        return LINE * (_HEAD_MM + _SIZE_MM * len(self.lines)) + _AFTER_MM


class Remarks:
    """All findings of a review, set in as many columns as the width allows; the height is known before drawing."""

    def __init__(self, review: Review, *, width_mm: float) -> None:
        count = max(1, int((width_mm + _GUTTER_MM) // (_COLUMN_MM + _GUTTER_MM)))
        self.column_mm = (width_mm - (count - 1) * _GUTTER_MM) / count
        self._last = "" if review.findings else "No findings: the mark can be cut as drawn with these cutters."
        self._last = unlisted(review) or self._last
        self._columns: list[list[_Entry]] = [[] for _ in range(count)]
        for kind in kinds_of(review):
            min(self._columns, key=_height).append(self._entry(kind))
        self._entries_mm = max(map(_height, self._columns))
        self.height_mm = self._entries_mm + LINE * _SIZE_MM * len(self._last_lines())

    def draw(self, parent: ET.Element, *, x: float, y: float) -> None:
        """Draw the list with its upper left corner at (x, y)."""
        for place, column in enumerate(self._columns):
            left, top = x + place * (self.column_mm + _GUTTER_MM), y
            for entry in column:
                _draw(parent, entry, x=left, y=top)
                top += entry.height_mm
        put_lines(parent, self._last_lines(), at=(x, y + self._entries_mm + _SIZE_MM), size_mm=_SIZE_MM, fill=QUIET)

    def _entry(self, kind: Kind) -> _Entry:
        width_mm = self.column_mm - _INDENT_MM
        words = [(says, INK) for says in kind.told]
        words += [(kind.findings[0].remedy, QUIET), (kind.rest, QUIET)]
        broken = [
            (line, fill) for text, fill in words if text for line in lines_of(text, room_mm=width_mm, size_mm=_SIZE_MM)
        ]
        return _Entry(kind, broken)

    def _last_lines(self) -> list[str]:
        return lines_of(self._last, room_mm=self.column_mm, size_mm=_SIZE_MM) if self._last else []


def _height(column: list[_Entry]) -> float:
    return sum(entry.height_mm for entry in column)


def _draw(parent: ET.Element, entry: _Entry, *, x: float, y: float) -> None:
    radius = badges.RADIUS_MM
    badges.disc(parent, entry.kind.number, entry.kind.severity, at=(x + radius, y + radius))
    left, base = x + _INDENT_MM, y + _HEAD_MM
    put(parent, entry.kind.name, at=(left, base), size_mm=_HEAD_MM)
    for line, fill in entry.lines:
        base += LINE * _SIZE_MM
        put(parent, line, at=(left, base), size_mm=_SIZE_MM, fill=fill)
