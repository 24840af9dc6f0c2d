"""Growth: what was grown, from which width to which, and what stayed thin. What this stage hands on beside the face."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from stampwright.base.tolerances import WIDTH_MM

if TYPE_CHECKING:
    import shapely

    from stampwright.base import Point


def enough_mm(land_mm: float) -> float:
    """Width from which on a land counts as grown to `land_mm`: what is less is seen when widths are measured [mm]."""
    return land_mm - WIDTH_MM


Outcome = Literal["grown", "nothing_thin", "left_as_drawn"]


@dataclass(frozen=True, slots=True)
class GrownPlace:
    """One connected thin stretch of land, measured on the axis before and after; `at_mm` in face coordinates as cut.

    `added_mm2` counts the strips along its own walls; corners and crossings are in the total alone.
    """

    at_mm: Point
    before_mm: float  # least width
    after_mm: float  # least width along the same stretch
    length_mm: float
    added_mm2: float
    still_thin_mm: float  # length that stays below the least width
    gap_forbade: bool  # the ground beside it, or the margin, could not spare the full width
    says: str


@dataclass(frozen=True, slots=True)
class Growth:
    """What growing did to a face. `drawn` is the ink before it, in the same coordinates."""

    outcome: Outcome
    land_mm: float  # the width grown to
    gap_mm: float  # the gap kept beside it
    added_mm2: float
    places: tuple[GrownPlace, ...]
    letters_left: int  # lands left alone: lettering below a third of the least width
    says: str
    drawn: shapely.MultiPolygon
