"""Mark: the customer's artwork as filled areas, read the right way round. What stage 1 hands on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

if TYPE_CHECKING:
    from stampwright.base import Notice

    from .source import SourceKind


@dataclass(frozen=True, slots=True)
class Mark:
    """Ink as drawn: true size in mm, y down from the page's top left corner.

    `ink` is a valid MultiPolygon, not empty, without islands or holes below `SLIVER_MM2`. Its curves are flattened so
    that the chord error is the job's *on the finished face*; it is not yet on the grid, for its scale is not final.
    """

    source: SourceKind
    page_mm: tuple[float, float]
    ink: shapely.MultiPolygon
    repaired: tuple[Notice, ...] = ()  # we changed the drawing: here is where
    left_out: tuple[Notice, ...] = ()  # this will not print: read it first
    hints: tuple[Notice, ...] = ()  # read exactly, and perhaps not what was meant


def faults(mark: Mark) -> list[str]:
    """Ways in which `mark` breaks the promise above; empty when it keeps it."""
    found = [] if mark.ink.is_valid else [str(shapely.is_valid_reason(mark.ink))]
    if mark.ink.is_empty:
        found.append("no ink")
    return found + [f"land {i} has no area" for i, land in enumerate(mark.ink.geoms) if land.area <= 0.0]
