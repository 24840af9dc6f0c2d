"""Findings about the lands: thin, slender, sharp, speck, large."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stampwright.base import Finding, Mend
from stampwright.base.tolerances import WIDTH_MM

from . import rules
from .found import Found, mm, place

if TYPE_CHECKING:
    from collections.abc import Iterator

    from .subject import Subject
    from .widths import Stretches


def land_findings(subject: Subject) -> Iterator[Found]:
    """All findings about lands."""
    limit_mm = subject.job.limits.land_mm
    stretches = subject.widths.below(limit_mm, in_ink=True)
    yield from _tips(subject, stretches.where(stretches.is_tip))
    thin = stretches.where(~stretches.is_tip & (stretches.width_mm < limit_mm - WIDTH_MM))
    speck = thin.is_whole & (thin.length_mm + thin.widest_mm < 2 * limit_mm)
    yield from _specks(subject, thin.where(speck))
    yield from _thin(subject, thin.where(~speck))
    yield from _slender(subject)
    yield from _large(subject)


def _thin(subject: Subject, thin: Stretches) -> Iterator[Found]:
    limit_mm, relief_mm = subject.job.limits.land_mm, subject.face.relief_mm
    for width_mm, least_mm, length_mm, at, whole in zip(
        *(thin.width_mm.tolist(), thin.least_mm.tolist(), thin.length_mm.tolist(), thin.at.tolist()),
        thin.is_whole.tolist(),
        strict=True,
    ):
        tapering = whole and least_mm < width_mm
        what = "A whole land is" if whole else "A land is"
        says = f"{what} only {mm(width_mm)} wide {'on average ' if tapering else ''}over {mm(length_mm)}"
        finding = Finding(
            code="thin-land",
            severity=rules.thin_land(width_mm),
            says=f"{says}; the limit is {mm(limit_mm)}, and its walls are {mm(relief_mm)} high.",
            remedy=_mended(subject, width_mm),
            at_mm=place(at),
            measured_mm=width_mm,
            limit_mm=limit_mm,
            length_mm=length_mm,
            would_mend=Mend(
                mark_width_mm=subject.width_that_heals(width_mm, limit_mm=limit_mm),
                thicken=not subject.job.relief.thicken,
            ),
        )
        yield Found(width_mm / limit_mm, finding)


def _mended(subject: Subject, width_mm: float) -> str:
    """What mends a thin land; growing it is offered unless it has been tried."""
    limit_mm = subject.job.limits.land_mm
    by, larger = mm(limit_mm - width_mm), subject.mark_that_heals(width_mm, limit_mm=limit_mm)
    if subject.job.relief.thicken:
        return f"It could not be grown further here: thicken it by {by} in the drawing and make room, or {larger}."
    return f"Thicken it by {by}, which `relief.thicken` does where the gaps allow, or {larger}."


def _specks(subject: Subject, specks: Stretches) -> Iterator[Found]:
    limit_mm = subject.job.limits.land_mm
    rows = zip(specks.widest_mm.tolist(), specks.area_mm2.tolist(), specks.at.tolist(), strict=True)
    for width_mm, area_mm2, at in rows:
        finding = Finding(
            code="speck",
            severity="warning",
            says=f"A dot of {mm(width_mm)} across and {area_mm2:.3f} mm² stands alone; it prints as a scorch mark at "
            "best and breaks off.",
            remedy=f"Enlarge it to {mm(limit_mm)} across, leave it out, or "
            f"{subject.mark_that_heals(width_mm, limit_mm=limit_mm)}.",
            at_mm=place(at),
            measured_mm=width_mm,
            limit_mm=limit_mm,
            area_mm2=area_mm2,
            would_mend=Mend(mark_width_mm=subject.width_that_heals(width_mm, limit_mm=limit_mm)),
        )
        yield Found(width_mm / limit_mm, finding)


def _tips(subject: Subject, tips: Stretches) -> Iterator[Found]:
    limit_mm = subject.job.limits.land_mm
    rows = zip(tips.angle_deg.tolist(), tips.length_mm.tolist(), tips.at.tolist(), strict=True)
    for angle_deg, length_mm, at in rows:
        finding = Finding(
            code="sharp-tip",
            severity="note",
            says=f"A land runs out in a tip of {angle_deg:.0f}°, thinner than {mm(limit_mm)} over its last "
            f"{mm(length_mm)}: the end burns away and prints blunt.",
            remedy=f"Blunt it to a radius of {mm(limit_mm / 2)}, or expect it up to {mm(length_mm)} shorter.",
            at_mm=place(at),
            limit_mm=limit_mm,
            length_mm=length_mm,
            angle_deg=angle_deg,
        )
        yield Found(angle_deg / 180.0, finding)


def _slender(subject: Subject) -> Iterator[Found]:
    relief_mm = subject.face.relief_mm
    drafted = subject.job.relief.draft_deg >= rules.DRAFT_THAT_STIFFENS_DEG
    most = rules.SLENDER_NOTE_DRAFTED if drafted else rules.SLENDER_NOTE
    limit_mm = relief_mm / most
    found = subject.widths.below(limit_mm, in_ink=True)
    slender = found.where(~found.is_tip & (found.width_mm < limit_mm - WIDTH_MM) & (found.width_mm > 0))
    rows = zip(slender.width_mm.tolist(), slender.length_mm.tolist(), slender.at.tolist(), strict=True)
    for width_mm, length_mm, at in rows:
        ratio = relief_mm / width_mm
        finding = Finding(
            code="slender-land",
            severity=rules.slender_land(ratio),
            says=f"A land {mm(width_mm)} wide stands {mm(relief_mm)} high, {ratio:.1f} times its width; "
            f"up to {most:.0f} times is usual.",
            remedy=f"Lower the relief to {mm(most * width_mm)}, widen the land to {mm(limit_mm)}, or "
            f"{subject.mark_that_heals(width_mm, limit_mm=limit_mm)}.",
            at_mm=place(at),
            measured_mm=width_mm,
            limit_mm=limit_mm,
            length_mm=length_mm,
            would_mend=Mend(
                mark_width_mm=subject.width_that_heals(width_mm, limit_mm=limit_mm), relief_mm=most * width_mm
            ),
        )
        yield Found(width_mm / limit_mm, finding)


def _large(subject: Subject) -> Iterator[Found]:
    """Lands that hold a large disc; one finding a land, at the centre of the disc."""
    axis = subject.axis
    rows = np.flatnonzero(axis.in_ink & (2 * axis.high_mm > rules.LARGE_SOLID_MM))
    rows = rows[np.argsort(-axis.high_mm[rows], kind="stable")]
    _, first = np.unique(axis.part[rows], return_index=True)
    for row in rows[np.sort(first)].tolist():
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
