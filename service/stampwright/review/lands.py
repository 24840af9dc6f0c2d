"""Findings about the lands: thin, slender, sharp, speck, large."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from stampwright.base import Finding, Mend
from stampwright.base.tolerances import WIDTH_MM

from . import rules
from .found import Found, mm, place, too_narrow
from .widths import Below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from .subject import Subject
    from .widths import Stretch, Stretches


def land_limits(subject: Subject) -> tuple[Below, Below]:
    """Below what lands are asked for: the least width of the job, the width that bears the relief."""
    return Below(subject.job.limits.land_mm, in_ink=True), Below(_slender_mm(subject), in_ink=True)


def land_findings(subject: Subject, narrow: Stretches, slender: Stretches) -> Iterator[Found]:
    """All findings about lands; `narrow` and `slender` lie below the `land_limits`."""
    limit_mm = subject.job.limits.land_mm
    yield from (_tip(land, limit_mm) for land in narrow.where(narrow.is_tip).each())
    thin = narrow.where(~narrow.is_tip & (narrow.width_mm < limit_mm - WIDTH_MM))
    speck = thin.is_whole & (thin.length_mm + thin.widest_mm < 2 * limit_mm)
    yield from (_speck(subject, land) for land in thin.where(speck).each())
    yield from (_thin(subject, land) for land in thin.where(~speck).each())
    below = slender.width_mm < _slender_mm(subject) - WIDTH_MM
    yield from (
        _slender(subject, land) for land in slender.where(~slender.is_tip & below & (slender.width_mm > 0)).each()
    )
    yield from _large(subject)


def _thin(subject: Subject, land: Stretch) -> Found:
    limit_mm, grown = subject.job.limits.land_mm, subject.job.relief.thicken
    whole = land.ways == 0
    tapering = whole and land.least_mm < land.width_mm
    by = mm(limit_mm - land.width_mm)
    return too_narrow(
        subject,
        "thin-land",
        rules.thin_land(land.width_mm),
        says=f"{'A whole land' if whole else 'A land'} is only {mm(land.width_mm)} wide "
        f"{'on average ' if tapering else ''}over {mm(land.length_mm)}{_stretches(land)}; the limit is {mm(limit_mm)}, "
        f"and its walls are {mm(subject.face.relief_mm)} high.",
        remedy=f"It could not be grown further here: thicken it by {by} in the drawing and make room, or"
        if grown
        else f"Thicken it by {by}, which `relief.thicken` does where the gaps allow, or",
        width_mm=land.width_mm,
        limit_mm=limit_mm,
        at=land.at,
        length_mm=land.length_mm,
        mend=partial(Mend, thicken=not grown),
    )


def _stretches(land: Stretch) -> str:
    return f" in {land.many} stretches" if land.many > 1 else ""


def _speck(subject: Subject, land: Stretch) -> Found:
    limit_mm = subject.job.limits.land_mm
    return too_narrow(
        subject,
        "speck",
        "warning",
        says=f"A dot of {mm(land.widest_mm)} across and {land.area_mm2:.3f} mm² stands alone; it prints as a scorch "
        "mark at best and breaks off.",
        remedy=f"Enlarge it to {mm(limit_mm)} across, leave it out, or",
        width_mm=land.widest_mm,
        limit_mm=limit_mm,
        at=land.at,
        area_mm2=land.area_mm2,
    )


def _tip(land: Stretch, limit_mm: float) -> Found:
    finding = Finding(
        code="sharp-tip",
        severity="note",
        says=f"A land runs out in a tip of {land.angle_deg:.0f}°, thinner than {mm(limit_mm)} over its last "
        f"{mm(land.length_mm)}: the end burns away and prints blunt.",
        remedy=f"Blunt it to a radius of {mm(limit_mm / 2)}, or expect it up to {mm(land.length_mm)} shorter.",
        at_mm=place(land.at),
        limit_mm=limit_mm,
        length_mm=land.length_mm,
        angle_deg=land.angle_deg,
    )
    return Found(land.angle_deg / 180.0, finding)


def _slenderness(subject: Subject) -> float:
    """How many times its width a land may be high."""
    drafted = subject.job.relief.draft_deg >= rules.DRAFT_THAT_STIFFENS_DEG
    return rules.SLENDER_NOTE_DRAFTED if drafted else rules.SLENDER_NOTE


def _slender_mm(subject: Subject) -> float:
    return subject.face.relief_mm / _slenderness(subject)


def _slender(subject: Subject, land: Stretch) -> Found:
    relief_mm, most = subject.face.relief_mm, _slenderness(subject)
    limit_mm, ratio = relief_mm / most, relief_mm / land.width_mm
    return too_narrow(
        subject,
        "slender-land",
        rules.slender_land(ratio),
        says=f"A land {mm(land.width_mm)} wide stands {mm(relief_mm)} high, {ratio:.1f} times its width; "
        f"up to {most:.0f} times is usual.",
        remedy=f"Lower the relief to {mm(most * land.width_mm)}, widen the land to {mm(limit_mm)}, or",
        width_mm=land.width_mm,
        limit_mm=limit_mm,
        at=land.at,
        length_mm=land.length_mm,
        mend=partial(Mend, relief_mm=most * land.width_mm),
    )


def _large(subject: Subject) -> Iterator[Found]:
    """Lands that hold a large disc; one finding a land, at the centre of the disc."""
    axis = subject.axis
    wide = axis.part_in_ink & (2 * axis.part_widest_mm > rules.LARGE_SOLID_MM)
    if not wide.any():
        return
    rows = np.flatnonzero(wide[axis.part] & (axis.high_mm == axis.part_widest_mm[axis.part]))
    _, first = np.unique(axis.part[rows], return_index=True)
    for row in rows[first].tolist():
        width_mm = float(2 * axis.high_mm[row])
        finding = Finding(
            code="large-solid",
            severity="note",
            says=f"A solid {mm(width_mm)} across has no open ground in it; beyond {mm(rules.LARGE_SOLID_MM)} a solid "
            "burns unevenly and traps gas.",
            remedy=f"Break it with lines or a texture so that no solid is wider than {mm(rules.LARGE_SOLID_MM)}, or "
            f"make the mark at most {subject.width_mm * rules.LARGE_SOLID_MM / width_mm:.1f} mm wide.",
            at_mm=place(axis.vertices[axis.high[row]].tolist()),
            measured_mm=width_mm,
            limit_mm=rules.LARGE_SOLID_MM,
        )
        yield Found(rules.LARGE_SOLID_MM / width_mm, finding)
