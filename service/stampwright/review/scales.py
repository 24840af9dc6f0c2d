"""From which width of the mark the verdict is ready: one axis answers for every size, as sizes and limits trade places.

The mark scaled by s, judged by a limit or a cutter, is the mark as it is, judged by the limit or the cutter over s.
Widths come up to their limits once and for all; the share of outline that prints where it was drawn may fall back now
and then, when a notch grows until the cutter enters it, so a size counts only if all larger ones hold as well.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright.base.tolerances import WIDTH_MM

from . import rules
from .char import char_spread_mm
from .faithful import moved_mm, outline_mm
from .uncut import uncut_by

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stampwright.base import Finding

    from .subject import Subject

_GRID_RATIO = 1.25  # step of the sizes that are tried first
_LARGEST = 10.0  # up to this scale at least; and four times the scale at which all widths hold
_PRECISION = 0.005  # the answer is right within 1 %: half of that for the search

OF_THE_JOB = frozenset({"shallow-relief", "outside-margin", "hole-too-deep", "not-reversed", "metal-too-cool"})
"""Findings that no size of the mark mends: relief, head and thread are the job's."""


def least_faithful_width_mm(subject: Subject, findings: Iterable[Finding]) -> float | None:
    """Width of the mark from which upward the verdict is ready with these cutters; None when no size is [mm].

    Only the mark grows: relief, limits, cutters and substrate stay, and the head grows along.
    """
    lasting = any(f.code in OF_THE_JOB and f.severity != "note" for f in findings)
    if lasting or not subject.rack.any_is_deep:
        return None
    start = _where_widths_hold(subject)
    scale = _where_outline_holds(subject, start)
    return None if scale is None else subject.width_mm * scale


def _where_widths_hold(subject: Subject) -> float:
    """Scale at which the least land and the least gap come up to every limit that is more than a note."""
    limits, widths, relief_mm = subject.job.limits, subject.widths, subject.face.relief_mm
    sure_mm = 2 * char_spread_mm(subject.metal, subject.substrate)[0] + rules.CHAR_CLEARANCE_MM
    land_mm = max(limits.land_mm - WIDTH_MM, relief_mm / rules.SLENDER_WARNING)
    gap_mm = max(limits.gap_mm, subject.rack.passes_mm, sure_mm) - WIDTH_MM
    gap_mm = max(gap_mm, relief_mm / rules.DEEP_WARNING)
    pairs = ((land_mm, widths.land_min_mm), (gap_mm, widths.gap_min_mm))
    return max(limit_mm / least_mm for limit_mm, least_mm in pairs if least_mm)


def _where_outline_holds(subject: Subject, start: float) -> float | None:
    """Least scale, not below `start`, from which upward enough of the outline prints where it was drawn."""
    largest = max(_LARGEST, 4 * start)
    scales = [start]
    while scales[-1] < largest:
        scales.append(scales[-1] * _GRID_RATIO)
    held = None
    for scale in reversed(scales):  # from the top: the first size that fails ends it
        if not _holds(subject, scale):
            break
        held = scale
    if held is None or held == start:
        return held
    low, high = held / _GRID_RATIO, held
    while high / low > 1 + _PRECISION:
        middle = (low * high) ** 0.5
        low, high = (low, middle) if _holds(subject, middle) else (middle, high)
    return high


def _holds(subject: Subject, scale: float) -> bool:
    limits, axis = subject.job.limits, subject.axis
    radius_mm, deviation_mm = subject.rack.finest.face_mm / scale, limits.deviation_mm / scale
    moved = moved_mm(axis, uncut_by(axis, radius_mm), deviation_mm=deviation_mm)
    return 1 - moved / outline_mm(axis) >= limits.faithful
