"""Findings about the iron as a whole: relief, margin, thread, reversal, and how the mark sits with its substrate."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from stampwright.base import Finding, Mend
from stampwright.base.tolerances import WIDTH_MM
from stampwright.catalogue import METALS, thread_named

from . import rules
from .found import Found, mm, place, too_narrow

if TYPE_CHECKING:
    from collections.abc import Iterator

    from .subject import Subject

_OPEN_FLOOR_STEP_MM = 0.05  # how closely the widest open floor is found; it only decides a note


def whole_findings(subject: Subject) -> Iterator[Found]:
    """All findings that concern no single stretch."""
    yield from _metal(subject)
    yield from _relief(subject)
    yield from _margin(subject)
    yield from _thread(subject)
    yield from _reversal(subject)
    yield from _fineness(subject)


def _metal(subject: Subject) -> Iterator[Found]:
    """A metal that must not get as hot as the print needs."""
    metal, substrate = subject.metal, subject.substrate
    limit = f"Do not heat {metal.name} above {metal.not_above_c:.0f} °C"
    if metal.not_above_c <= substrate.char_c:
        cannot = Finding(
            code="metal-too-cool",
            severity="stop",
            says=f"{limit}; {substrate.name} takes a print from {substrate.char_c:.0f} °C on.",
            remedy=_hotter(substrate.face_low_c),
            would_mend=Mend(metal=_hotter_metal(substrate.face_low_c)),
        )
        yield Found(metal.not_above_c / substrate.face_high_c, cannot)
    elif metal.not_above_c < substrate.face_low_c:
        pale = Finding(
            code="metal-runs-cool",
            severity="note",
            says=f"{limit}; {substrate.name} is usually branded from {substrate.face_low_c:.0f} °C on.",
            remedy=f"{_hotter(substrate.face_low_c)} With this one press longer.",
            would_mend=Mend(metal=_hotter_metal(substrate.face_low_c)),
        )
        yield Found(metal.not_above_c / substrate.face_low_c, pale)


def _hotter(needed_c: float) -> str:
    key = _hotter_metal(needed_c)
    return f"Take another metal, as {key}." if key else "No metal of the catalogue may be so hot."


def _hotter_metal(needed_c: float) -> str | None:
    """Of the metals in the catalogue that may be hot enough the coolest, by key."""
    fit = sorted((m.not_above_c, m.key) for m in METALS.values() if m.not_above_c >= needed_c)
    return fit[0][1] if fit else None


def _relief(subject: Subject) -> Iterator[Found]:
    relief_mm, substrate = subject.face.relief_mm, subject.substrate
    if not rules.is_below(relief_mm, substrate.relief_high_mm):
        return
    radius = shapely.maximum_inscribed_circle(subject.face.floor, tolerance=_OPEN_FLOOR_STEP_MM)
    open_mm = 2 * float(shapely.length(radius))
    need_mm = rules.relief_for(open_mm, low_mm=substrate.relief_low_mm, high_mm=substrate.relief_high_mm)
    if not rules.is_below(relief_mm, need_mm):
        return
    finding = Finding(
        code="shallow-relief",
        severity=rules.shallow_relief(relief_mm, least_mm=substrate.relief_low_mm),
        says=f"The relief of {mm(relief_mm)} is shallow for {substrate.name} and a floor open {mm(open_mm)} wide: "
        "the background scorches.",
        remedy=f"Cut {mm(need_mm)} deep, or keep the floor out of reach with a smaller head.",
        at_mm=place(shapely.get_coordinates(radius)[0].tolist()),
        measured_mm=relief_mm,
        limit_mm=need_mm,
        would_mend=Mend(relief_mm=need_mm),
    )
    yield Found(relief_mm / need_mm, finding)


def _margin(subject: Subject) -> Iterator[Found]:
    for notice in subject.face.left_out:
        share = notice.ink_share or 0.0
        finding = Finding(
            code="outside-margin",
            severity=rules.outside_margin(share),
            says=notice.says,
            remedy=notice.remedy,
            area_mm2=share * float(subject.face.ink.area) / (1 - share) if 0 < share < 1 else None,
        )
        yield Found(1.0 - share, finding)


def _thread(subject: Subject) -> Iterator[Found]:
    hole = subject.hole
    if hole is None:
        return
    need_mm = rules.FULL_THREAD_DIAMETERS * thread_named(hole.thread).major_mm
    if hole.full_thread_mm >= need_mm - WIDTH_MM:
        return
    diameters = hole.full_thread_mm / need_mm * rules.FULL_THREAD_DIAMETERS
    short_mm = need_mm - hole.full_thread_mm
    finding = Finding(
        code="hole-too-deep",
        severity=rules.short_thread(diameters),
        says=f"The head leaves {mm(max(hole.full_thread_mm, 0.0))} of full {hole.thread} thread, {diameters:.2f} "
        f"diameters; one diameter, {mm(need_mm)}, would have to go deeper than the wall under the floor allows.",
        remedy=f"Take a head {mm(short_mm)} thicker, a finer thread, or a tap with a shorter lead.",
        measured_mm=hole.full_thread_mm,
        limit_mm=need_mm,
        would_mend=Mend(thickness_mm=subject.job.head.thickness_mm + short_mm),
    )
    yield Found(max(diameters, 0.0), finding)


def _reversal(subject: Subject) -> Iterator[Found]:
    if subject.face.reversed or subject.face.mirror_symmetric:
        return
    yield Found(
        0.5,
        Finding(
            code="not-reversed",
            severity="warning",
            says="The face is not reversed, and the mark is not its own mirror image: it prints the wrong way round.",
            remedy="Set placement.reverse to true, unless the artwork is already drawn reversed.",
            would_mend=Mend(reverse=True),
        ),
    )


def _fineness(subject: Subject) -> Iterator[Found]:
    """One note when the finest width, within the job's limits, is below what is usual for the substrate."""
    limits, substrate, widths = subject.job.limits, subject.substrate, subject.widths
    for what, width_mm, limit_mm, usual_mm in (
        ("land", widths.land_min_mm, limits.land_mm, substrate.land_warn_mm),
        ("gap", widths.gap_min_mm, max(limits.gap_mm, subject.rack.passes_mm), substrate.gap_warn_mm),
    ):
        if width_mm is None or rules.is_below(width_mm, limit_mm) or not rules.is_below(width_mm, usual_mm):
            continue
        yield too_narrow(
            subject,
            "finer-than-usual",
            "note",
            says=f"The finest {what} is {mm(width_mm)} wide; on {substrate.name} {mm(usual_mm)} is usual.",
            remedy="Try it on a scrap first, or",
            width_mm=width_mm,
            limit_mm=usual_mm,
        )
