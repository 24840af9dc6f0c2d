"""Findings about the ground between lands: narrow gaps, filled counters, deep gaps, char bridges."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stampwright.base import Finding, Mend
from stampwright.base.tolerances import WIDTH_MM

from . import rules
from .char import char_spread_mm
from .found import Found, mm, place
from .rack import flat_that_passes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from .subject import Subject
    from .widths import Stretches


def gap_findings(subject: Subject) -> Iterator[Found]:
    """All findings about gaps and counters."""
    passes_mm, least_mm = subject.rack.passes_mm, subject.job.limits.gap_mm
    found = subject.widths.below(max(passes_mm, least_mm), in_ink=False)
    found = found.where(~found.is_tip)
    filled = found.is_whole & is_counter(subject)[found.part] & (found.widest_mm < passes_mm - WIDTH_MM)
    yield from _filled(subject, found.where(filled))
    narrow = found.where(~filled)
    yield from _narrow(subject, narrow.where(narrow.width_mm < max(passes_mm, least_mm) - WIDTH_MM))
    yield from _deep(subject)
    yield from _char(subject)


def is_counter(subject: Subject) -> NDArray[np.bool_]:
    """Parts of the axis, (p,), that are floor wholly enclosed by one land: all their walls are of one ring."""
    axis = subject.axis
    ring, part = axis.ring[axis.site].ravel(), np.repeat(axis.part, 2)
    least, most = np.full(len(axis.part_open), len(axis.ring)), np.full(len(axis.part_open), -1)
    np.minimum.at(least, part, ring)
    np.maximum.at(most, part, ring)
    in_ink = np.zeros(len(axis.part_open), dtype=bool)
    in_ink[axis.part[axis.in_ink]] = True
    return np.asarray((least == most) & ~axis.part_open & ~in_ink)


def _cutter_for(subject: Subject, width_mm: float) -> str:
    """What would open a gap so wide: a cutter of the catalogue, or its diameter when there is none."""
    key = flat_that_passes(width_mm, relief_mm=subject.face.relief_mm)
    return f"cut it with {key}" if key else f"use a cutter of at most {mm(width_mm)} that reaches the floor"


def _filled(subject: Subject, counters: Stretches) -> Iterator[Found]:
    passes_mm, finest = subject.rack.passes_mm, subject.rack.finest_says
    rows = zip(counters.widest_mm.tolist(), counters.area_mm2.tolist(), counters.at.tolist(), strict=True)
    for width_mm, area_mm2, at in rows:
        finding = Finding(
            code="filled-counter",
            severity="warning",
            says=f"A counter of {area_mm2:.2f} mm² takes a disc of {mm(width_mm)} at most, and "
            f"{finest} needs {mm(passes_mm)}: it stays solid and prints dark.",
            remedy=f"Open the counter to {mm(passes_mm)}, {_cutter_for(subject, width_mm)}, or "
            f"{subject.mark_that_heals(width_mm, limit_mm=passes_mm)}.",
            at_mm=place(at),
            measured_mm=width_mm,
            limit_mm=passes_mm,
            area_mm2=area_mm2,
            would_mend=_opened(subject, width_mm, limit_mm=passes_mm),
        )
        yield Found(width_mm / passes_mm, finding)


def _narrow(subject: Subject, gaps: Stretches) -> Iterator[Found]:
    passes_mm, least_mm, finest = subject.rack.passes_mm, subject.job.limits.gap_mm, subject.rack.finest_says
    rows = zip(gaps.width_mm.tolist(), gaps.length_mm.tolist(), gaps.at.tolist(), strict=True)
    for width_mm, length_mm, at in rows:
        closed = rules.is_below(width_mm, passes_mm)
        limit_mm = least_mm if rules.is_below(width_mm, least_mm) else passes_mm
        reason = (
            f"{finest} needs {mm(passes_mm)}: its walls print as one"
            if closed
            else f"the limit is {mm(least_mm)}, so smoke and char will close it"
        )
        heals_mm = max(passes_mm, least_mm)
        finding = Finding(
            code="narrow-gap",
            severity="warning",
            says=f"A gap is only {mm(width_mm)} wide over {mm(length_mm)}, and {reason}.{_valley(subject, width_mm)}",
            remedy=f"Widen it to {mm(heals_mm)}, "
            + (f"{_cutter_for(subject, width_mm)}, " if closed else "")
            + f"or {subject.mark_that_heals(width_mm, limit_mm=heals_mm)}.",
            at_mm=place(at),
            measured_mm=width_mm,
            limit_mm=limit_mm,
            length_mm=length_mm,
            would_mend=_opened(subject, width_mm, limit_mm=heals_mm, by_cutter=not rules.is_below(width_mm, least_mm)),
        )
        yield Found(width_mm / limit_mm, finding)


def _opened(subject: Subject, width_mm: float, *, limit_mm: float, by_cutter: bool = True) -> Mend:
    """A larger mark, or a cutter that passes."""
    key = flat_that_passes(width_mm, relief_mm=subject.face.relief_mm) if by_cutter else None
    return Mend(mark_width_mm=subject.width_that_heals(width_mm, limit_mm=limit_mm), cutter=key)


def _valley(subject: Subject, width_mm: float) -> str:
    """Where sloping walls meet before the floor: how deep the gap really is."""
    foot_mm, relief_mm = subject.rack.foot_mm, subject.face.relief_mm
    if width_mm >= 2 * foot_mm:
        return ""
    return f" Its walls meet {mm(relief_mm * width_mm / (2 * foot_mm))} below the face, not at {mm(relief_mm)}."


def _deep(subject: Subject) -> Iterator[Found]:
    rack, relief_mm = subject.rack, subject.face.relief_mm
    if not rack.any_is_deep:
        yield _no_cutter_is_deep(subject)
        return
    yield from _too_short(subject)
    limit_mm = relief_mm / rules.DEEP_NOTE
    for width_mm, length_mm, at in _passed(subject, limit_mm):
        ratio = relief_mm / width_mm
        finding = Finding(
            code="deep-gap",
            severity=rules.deep_gap(ratio),
            says=f"A gap {mm(width_mm)} wide is {mm(relief_mm)} deep, {ratio:.1f} times its width; "
            f"{rules.DEEP_NOTE:.0f} to {rules.DEEP_WARNING:.0f} times is what a small cutter bears.",
            remedy=f"Lower the relief to {mm(rules.DEEP_NOTE * width_mm)}, or "
            f"{subject.mark_that_heals(width_mm, limit_mm=limit_mm)}.",
            at_mm=place(at),
            measured_mm=width_mm,
            limit_mm=limit_mm,
            length_mm=length_mm,
            would_mend=Mend(
                mark_width_mm=subject.width_that_heals(width_mm, limit_mm=limit_mm),
                relief_mm=rules.DEEP_NOTE * width_mm,
            ),
        )
        yield Found(width_mm / limit_mm, finding)


def _too_short(subject: Subject) -> Iterator[Found]:
    """Finer cutters that could open more, were they long enough."""
    rack, relief_mm = subject.rack, subject.face.relief_mm
    for judged in rack.too_short:
        reach_mm = judged.cutter.length_of_cut_mm
        finding = Finding(
            code="deep-gap",
            severity="note",
            says=f"{judged.cutter.key} cuts {mm(reach_mm)} deep and the relief is {mm(relief_mm)}: gaps below "
            f"{mm(rack.passes_mm)} cannot be opened to the floor.",
            remedy=f"Lower the relief to {mm(reach_mm)}, or take a longer cutter of {mm(2 * judged.face_mm)}.",
            measured_mm=reach_mm,
            limit_mm=relief_mm,
            would_mend=Mend(relief_mm=reach_mm),
        )
        yield Found(reach_mm / relief_mm, finding)


def _no_cutter_is_deep(subject: Subject) -> Found:
    relief_mm = subject.face.relief_mm
    longest = max((j.cutter for j in subject.rack.judged), key=lambda c: c.length_of_cut_mm)
    finding = Finding(
        code="deep-gap",
        severity="stop",
        says=f"No cutter of the rack reaches the floor: the relief is {mm(relief_mm)}, the longest, {longest.key}, "
        f"cuts {mm(longest.length_of_cut_mm)} deep.",
        remedy=f"Lower the relief to {mm(longest.length_of_cut_mm)}, or add a cutter that cuts {mm(relief_mm)} deep.",
        measured_mm=longest.length_of_cut_mm,
        limit_mm=relief_mm,
        would_mend=Mend(relief_mm=longest.length_of_cut_mm),
    )
    return Found(longest.length_of_cut_mm / relief_mm, finding)


def _char(subject: Subject) -> Iterator[Found]:
    least_mm, most_mm = char_spread_mm(subject.metal, subject.substrate)
    sure_mm, limit_mm = (2 * spread_mm + rules.CHAR_CLEARANCE_MM for spread_mm in (least_mm, most_mm))
    for width_mm, length_mm, at in _passed(subject, limit_mm):
        severity = rules.char_bridge(width_mm, sure_mm=sure_mm)
        finding = Finding(
            code="char-bridge",
            severity=severity,
            says=f"A gap {mm(width_mm)} wide {'will' if severity == 'warning' else 'may'} char shut: char creeps "
            f"{mm(least_mm)} to {mm(most_mm)} past each edge on {subject.substrate.name}.",
            remedy=f"Keep gaps at {mm(limit_mm)}, or print cooler and shorter; else "
            f"{subject.mark_that_heals(width_mm, limit_mm=limit_mm)}.",
            at_mm=place(at),
            measured_mm=width_mm,
            limit_mm=limit_mm,
            length_mm=length_mm,
            would_mend=Mend(mark_width_mm=subject.width_that_heals(width_mm, limit_mm=limit_mm)),
        )
        yield Found(width_mm / limit_mm, finding)


def _passed(subject: Subject, limit_mm: float) -> Iterator[tuple[float, float, list[float]]]:
    """Width, length and place of the gaps below a limit that the finest cutter does open."""
    passes_mm = subject.rack.passes_mm - WIDTH_MM
    if limit_mm <= passes_mm:
        return
    found = subject.widths.below(limit_mm, in_ink=False, from_mm=passes_mm)
    chosen = found.where(~found.is_tip & (found.width_mm >= passes_mm) & (found.width_mm < limit_mm - WIDTH_MM))
    yield from zip(chosen.width_mm.tolist(), chosen.length_mm.tolist(), chosen.at.tolist(), strict=True)
