"""The list of findings below a drawing: the same numbers as the badges in it, each with its sentences."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from . import badges
from .svg import QUIET
from .words import LINE, lines_of, put, put_lines

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from stampwright.base import Finding
    from stampwright.review import Review

_SIZE_MM = 2.1
_HEAD_MM = 2.3
_INDENT_MM = 2 * badges.RADIUS_MM + 1.6
_GUTTER_MM = 7.0
_COLUMN_MM = 80.0  # about sixty letters: the longest line that is read with ease
_AFTER_MM = 2.4


@dataclass(frozen=True, slots=True)
class _Entry:
    number: int
    finding: Finding
    says: list[str]
    remedy: list[str]

    @property
    def height_mm(self) -> float:
        return LINE * (_HEAD_MM + _SIZE_MM * (len(self.says) + len(self.remedy))) + _AFTER_MM


class Remarks:
    """All findings of a review, set in as many columns as the width allows; the height is known before drawing."""

    def __init__(self, review: Review, *, width_mm: float) -> None:
        count = max(1, int((width_mm + _GUTTER_MM) // (_COLUMN_MM + _GUTTER_MM)))
        self.column_mm = (width_mm - (count - 1) * _GUTTER_MM) / count
        self.more = _more(review)
        self._columns: list[list[_Entry]] = [[] for _ in range(count)]
        for number, finding in enumerate(review.findings, start=1):
            min(self._columns, key=_height).append(self._entry(number, finding))
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

    def _entry(self, number: int, finding: Finding) -> _Entry:
        width_mm = self.column_mm - _INDENT_MM
        says = lines_of(finding.says, width_mm=width_mm, size_mm=_SIZE_MM)
        return _Entry(number, finding, says, lines_of(finding.remedy, width_mm=width_mm, size_mm=_SIZE_MM))

    def _last_lines(self) -> list[str]:
        return lines_of(self.more, width_mm=self.column_mm, size_mm=_SIZE_MM) if self.more else []


def _more(review: Review) -> str:
    if review.findings_left_out:
        counted = ", ".join(f"{count} × {code}" for code, count in sorted(review.findings_left_out.items()))
        return f"Not listed, being of the same kinds: {counted}."
    return "" if review.findings else "No findings: the mark can be cut as drawn with these cutters."


def _height(column: list[_Entry]) -> float:
    return sum(entry.height_mm for entry in column)


def _draw(parent: ET.Element, entry: _Entry, *, x: float, y: float) -> None:
    finding, radius = entry.finding, badges.RADIUS_MM
    badges.disc(parent, entry.number, finding.severity, at=(x + radius, y + radius))
    left, line = x + _INDENT_MM, y + _HEAD_MM
    name = f"{finding.code.replace('-', ' ')} · {finding.severity}"
    put(parent, name, at=(left, line), size_mm=_HEAD_MM, font_weight="bold")
    line = put_lines(parent, entry.says, at=(left, line + LINE * _SIZE_MM), size_mm=_SIZE_MM)
    put_lines(parent, entry.remedy, at=(left, line), size_mm=_SIZE_MM, fill=QUIET)
