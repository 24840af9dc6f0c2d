"""A face in, the same face with lands that last out: grown, measured, reported; or as drawn, with the reason."""

from __future__ import annotations

import dataclasses
import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base import JobError, numbered
from stampwright.plane import medial_axis

from .grow import grow
from .growth import Growth
from .margin import Margin
from .places import NOTICED_MM2, places_of
from .want import wants_of

if TYPE_CHECKING:
    from stampwright.job import Job
    from stampwright.layout import Face
    from stampwright.plane import Axis


_OF_THE_MARK = 0.25  # a least width beyond this share of the mark's longer side makes a blot of any drawing
_OF_THE_RELIEF = 4.0  # nor is a land so many times wider than high a hairline
_BLOT = 0.9  # share of its convex hull from which grown ink shows nothing of a drawing
_SHORT_MM = 0.05  # less than that in all stays thin nowhere to speak of
_DRAWN = 0.75  # that filled less than this share before


class Thickened(NamedTuple):
    """The face to be cut, the axis of its ink, what was done, and the axis before if anything was grown."""

    face: Face
    axis: Axis
    growth: Growth
    drawn_axis: Axis | None = None


def thicken(face: Face, job: Job, *, field: shapely.Polygon) -> Thickened:
    """Grow the lands of `face` that are thinner than the job's least land, within the convex `field`.

    Raises `JobError` when the least land is beyond what mark and relief can have.
    """
    land_mm, gap_mm = job.limits.land_mm, gap_kept_mm(job, face.relief_mm)
    _check(land_mm, face)
    axis = medial_axis(face.ink)
    wants = wants_of(axis, land_mm)
    letters = int(np.count_nonzero(wants.letters))
    growth = Growth("nothing_thin", land_mm, gap_mm, 0.0, (), letters, "", face.ink)
    if not wants.vertex_mm[axis.low[wants.rib]].any() and not wants.vertex_mm[axis.high[axis.in_ink]].any():
        return Thickened(face, axis, _with_words(growth))
    made = grow(face.ink, axis, wants, gap_mm=gap_mm, beyond=Margin(field))
    if made is None or _is_blot(face.ink, made.ink):
        return Thickened(face, axis, _with_words(dataclasses.replace(growth, outcome="left_as_drawn")))
    places = places_of(axis, made, land_mm=land_mm)
    added_mm2 = float(made.ink.area - face.ink.area)
    if added_mm2 < NOTICED_MM2 or not any(place.added_mm2 >= NOTICED_MM2 for place in places):
        held = tuple(place for place in places if place.gap_forbade)
        growth = dataclasses.replace(growth, outcome="left_as_drawn" if held else "nothing_thin", places=held)
        return Thickened(face, axis, _with_words(growth))
    growth = dataclasses.replace(growth, outcome="grown", added_mm2=added_mm2, places=places)
    return Thickened(dataclasses.replace(face, ink=made.ink), made.axis, _with_words(growth), axis)


def gap_kept_mm(job: Job, relief_mm: float) -> float:
    """What growing leaves of every gap: the least gap, and what the finest cutter needs to pass to the floor [mm]."""
    deep = [cutter for cutter in job.cutters if cutter.length_of_cut_mm >= relief_mm - 1e-9]
    finest_mm = min(cutter.radius_at_mm(relief_mm) for cutter in deep or job.cutters)
    foot_mm = relief_mm * math.tan(math.radians(job.relief.draft_deg))
    return max(job.limits.gap_mm, 2 * (finest_mm + foot_mm))


def _check(land_mm: float, face: Face) -> None:
    x0, y0, x1, y1 = face.ink.bounds
    most_mm = min(_OF_THE_MARK * max(x1 - x0, y1 - y0), _OF_THE_RELIEF * face.relief_mm)
    if land_mm > most_mm:
        detail = (
            f"lands cannot be grown to {land_mm:g} mm on a mark of {max(x1 - x0, y1 - y0):.1f} mm and a relief of "
            f"{face.relief_mm:g} mm: give a least land of at most {most_mm:.2f} mm, or leave thicken out"
        )
        raise JobError.at("least-land-too-wide", detail, pointer="/job/limits/land")


def _is_blot(drawn: shapely.MultiPolygon, grown: shapely.MultiPolygon) -> bool:
    return _filled(grown) > _BLOT and _filled(drawn) < _DRAWN


def _filled(ink: shapely.MultiPolygon) -> float:
    """Share of the convex hull."""
    return float(ink.area / shapely.convex_hull(ink).area)


def _with_words(growth: Growth) -> Growth:
    return dataclasses.replace(growth, says=_says(growth))


def _says(growth: Growth) -> str:
    letters = ""
    if growth.letters_left:
        left = numbered(growth.letters_left, "letter or speck", "letters or specks")
        letters = f" Left alone: {left} of lines thinner than a third of that."
    if growth.outcome == "nothing_thin":
        return f"No land was grown: none that can be is thinner than {growth.land_mm:g} mm.{letters}"
    held = sum(place.gap_forbade for place in growth.places)
    held_at = numbered(held, "place")
    if growth.outcome == "left_as_drawn" and held:
        return (
            f"No land was grown: the gap of {growth.gap_mm:.2f} mm that is kept forbids it at the {held_at} thinner "
            f"than {growth.land_mm:g} mm. Make room in the drawing, or ask for a larger mark.{letters}"
        )
    if growth.outcome == "left_as_drawn":
        return (
            f"No land was grown: at {growth.land_mm:g} mm lands, gaps or the whole drawing would have been lost. "
            f"The mark is cut as drawn; mend its findings in the drawing, or ask for a larger mark.{letters}"
        )
    gained = sum(place.added_mm2 >= NOTICED_MM2 for place in growth.places)
    kept = f" At {held_at} the gap of {growth.gap_mm:.2f} mm that is kept forbade the full width." if held else ""
    was_mm, is_mm = sum(p.length_mm for p in growth.places), sum(p.still_thin_mm for p in growth.places)
    still = f"; of {was_mm:.1f} mm of thin land {is_mm:.1f} mm stay thinner" if is_mm >= _SHORT_MM else ""
    return (
        f"Lands were grown to {growth.land_mm:g} mm at {numbered(gained, 'place')}, by {growth.added_mm2:.2f} mm² "
        f"in all{still}.{kept}{letters}"
    )
