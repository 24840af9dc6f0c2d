"""Findings about the ground between lands: narrow gaps, filled counters, deep gaps, char bridges."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from stampwright.base import Finding, Mend
from stampwright.base.tolerances import WIDTH_MM

from . import rules
from .found import Found, mm, too_narrow
from .rack import flat_that_passes, is_sold
from .widths import Below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from .subject import Subject
    from .widths import Stretch, Stretches


def gap_limits(subject: Subject) -> tuple[Below, Below, Below]:
    """Below what gaps are asked for: what job and cutter need; of those the cutter opens, what depth and char need."""
    passes_mm = subject.rack.passes_mm
    open_mm = passes_mm - WIDTH_MM
    return (
        Below(max(passes_mm, subject.job.limits.gap_mm), in_ink=False),
        Below(subject.face.relief_mm / rules.DEEP_NOTE, in_ink=False, from_mm=open_mm),
        Below(_char_mm(subject)[1], in_ink=False, from_mm=open_mm),
    )


def gap_findings(subject: Subject, narrow: Stretches, deep: Stretches, charring: Stretches) -> Iterator[Found]:
    """All findings about gaps and counters; the three kinds of stretches lie below the `gap_limits`."""
    passes_mm, (of_gap, of_depth, of_char) = subject.rack.passes_mm, gap_limits(subject)
    narrow = narrow.where(~narrow.is_tip)
    filled = narrow.is_whole & subject.axis.part_is_counter[narrow.part] & (narrow.widest_mm < passes_mm - WIDTH_MM)
    yield from (_filled(subject, counter) for counter in narrow.where(filled).each())
    narrow = narrow.where(~filled & (narrow.width_mm < of_gap.limit_mm - WIDTH_MM))
    yield from (_narrow(subject, gap) for gap in narrow.each())
    if subject.rack.any_is_deep:
        yield from _too_short(subject)
        yield from (_deep(subject, gap) for gap in _opened(deep, of_depth).each())
    else:
        yield _no_cutter_is_deep(subject)
    yield from (_char(subject, gap) for gap in _opened(charring, of_char).each())


def _opened(gaps: Stretches, limit: Below) -> Stretches:
    """Of the gaps below a limit those that the finest cutter does open."""
    return gaps.where(~gaps.is_tip & (gaps.width_mm >= limit.from_mm) & (gaps.width_mm < limit.limit_mm - WIDTH_MM))


def _cutter_for(subject: Subject, width_mm: float) -> str:
    """What would open a gap so wide: a cutter of the catalogue, or the diameter of one that is sold; else nothing."""
    relief_mm = subject.face.relief_mm
    if key := flat_that_passes(width_mm, relief_mm=relief_mm):
        return f" cut it with {key},"
    if is_sold(width_mm, relief_mm=relief_mm):
        return f" use a cutter of at most {mm(width_mm)} that reaches the floor,"
    return ""


def _filled(subject: Subject, counter: Stretch) -> Found:
    passes_mm, width_mm = subject.rack.passes_mm, counter.widest_mm
    stays = f"{_grooved(subject, width_mm)} it stays solid and prints dark"
    return too_narrow(
        subject,
        "filled-counter",
        "warning",
        says=f"A counter of {counter.area_mm2:.2f} mm² takes a disc of {mm(width_mm)} at most, and "
        f"{subject.rack.finest_says} needs {mm(passes_mm)}{stays}.",
        remedy=f"Open the counter to {mm(passes_mm)},{_cutter_for(subject, width_mm)} or",
        width_mm=width_mm,
        limit_mm=passes_mm,
        at=counter.at,
        area_mm2=counter.area_mm2,
        mend=partial(Mend, cutter=flat_that_passes(width_mm, relief_mm=subject.face.relief_mm)),
    )


def _narrow(subject: Subject, gap: Stretch) -> Found:
    passes_mm, least_mm, width_mm = subject.rack.passes_mm, subject.job.limits.gap_mm, gap.width_mm
    closed, below_limit = rules.is_below(width_mm, passes_mm), rules.is_below(width_mm, least_mm)
    heals_mm, grooved = max(passes_mm, least_mm), _grooved(subject, width_mm)
    reason = (
        f"{subject.rack.finest_says} needs {mm(passes_mm)}{grooved} its walls print as one"
        if closed
        else f"the limit is {mm(least_mm)}, so smoke and char will close it"
    )
    return too_narrow(
        subject,
        "narrow-gap",
        "warning",
        says=f"A gap is only {mm(width_mm)} wide over {mm(gap.length_mm)}, and {reason}.{_valley(subject, width_mm)}",
        remedy=f"Widen it to {mm(heals_mm)},{_cutter_for(subject, width_mm) if closed else ''} or",
        width_mm=width_mm,
        limit_mm=least_mm if below_limit else passes_mm,
        heals_mm=heals_mm,
        at=gap.at,
        length_mm=gap.length_mm,
        mend=partial(
            Mend, cutter=None if below_limit else flat_that_passes(width_mm, relief_mm=subject.face.relief_mm)
        ),
    )


def _valley(subject: Subject, width_mm: float) -> str:
    """Where sloping walls meet before the floor: how deep the gap really is."""
    foot_mm, relief_mm = subject.rack.foot_mm, subject.face.relief_mm
    if width_mm >= 2 * foot_mm:
        return ""
    return f" Its walls meet {mm(relief_mm * width_mm / (2 * foot_mm))} below the face, not at {mm(relief_mm)}."


def _grooved(subject: Subject, width_mm: float) -> str:
    """How deep a pointed cutter can go, put to that, into a gap or counter that is too narrow for full depth."""
    deepest = subject.rack.grooves_deepest(width_mm)
    deep_mm = deepest.grooved_mm(width_mm)
    if not 0.0 < deep_mm < subject.face.relief_mm or subject.rack.foot_mm > 0.0:
        return ":"
    who = "it" if deepest is subject.rack.finest else deepest.cutter.key
    return f" for full depth: rising, {who} can groove the ground {mm(deep_mm)} deep, else"


def _deep(subject: Subject, gap: Stretch) -> Found:
    relief_mm, lower_mm = subject.face.relief_mm, rules.DEEP_NOTE * gap.width_mm
    ratio = relief_mm / gap.width_mm
    return too_narrow(
        subject,
        "deep-gap",
        rules.deep_gap(ratio),
        says=f"A gap {mm(gap.width_mm)} wide is {mm(relief_mm)} deep, {ratio:.1f} times its width; "
        f"{rules.DEEP_NOTE:.0f} to {rules.DEEP_WARNING:.0f} times is what a small cutter bears.",
        remedy=f"Lower the relief to {mm(lower_mm)}, or",
        width_mm=gap.width_mm,
        limit_mm=relief_mm / rules.DEEP_NOTE,
        at=gap.at,
        length_mm=gap.length_mm,
        mend=partial(Mend, relief_mm=lower_mm),
    )


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


def _char_mm(subject: Subject) -> tuple[float, float]:
    """Widths of a gap below which char closes it: at its least spread, so surely, and at its greatest [mm]."""
    least_mm, most_mm = subject.char_spread_mm
    return 2 * least_mm + rules.CHAR_CLEARANCE_MM, 2 * most_mm + rules.CHAR_CLEARANCE_MM


def _char(subject: Subject, gap: Stretch) -> Found:
    least_mm, most_mm = subject.char_spread_mm
    sure_mm, limit_mm = _char_mm(subject)
    severity = rules.char_bridge(gap.width_mm, sure_mm=sure_mm)
    return too_narrow(
        subject,
        "char-bridge",
        severity,
        says=f"A gap {mm(gap.width_mm)} wide {'will' if severity == 'warning' else 'may'} char shut: char creeps "
        f"{mm(least_mm)} to {mm(most_mm)} past each edge on {subject.substrate.name}.",
        remedy=f"Keep gaps at {mm(limit_mm)}, or print cooler and shorter; else",
        width_mm=gap.width_mm,
        limit_mm=limit_mm,
        at=gap.at,
        length_mm=gap.length_mm,
    )
