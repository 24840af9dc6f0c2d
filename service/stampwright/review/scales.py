"""From which width of the mark the verdict is ready: one axis answers for every size, as sizes and limits trade places.

The mark scaled by s, judged by a limit or a cutter, is the mark as it is, judged by the limit or the cutter over s.
Widths come up to their limits once and for all; the share of outline that prints where it was drawn may fall back now
and then, when a notch grows until the cutter enters it, so a size counts only if all larger ones hold as well.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.tolerances import WIDTH_MM

from . import rules

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from stampwright.base import Finding

    from .subject import Subject

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

_GRID_RATIO = 1.25  # step of the sizes that are tried first
_LARGEST, _FURTHER = 10.0, 4.0  # up to this scale at least, and so many times the scale at which all widths hold
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
    sure_mm = 2 * subject.char_spread_mm[0] + rules.CHAR_CLEARANCE_MM
    land_mm = max(limits.land_mm - WIDTH_MM, relief_mm / rules.SLENDER_WARNING)
    gap_mm = max(limits.gap_mm, subject.rack.passes_mm, sure_mm) - WIDTH_MM
    gap_mm = max(gap_mm, relief_mm / rules.DEEP_WARNING)
    pairs = ((land_mm, widths.land_min_mm), (gap_mm, widths.gap_min_mm))
    return max(limit_mm / least_mm for limit_mm, least_mm in pairs if least_mm)


def _where_outline_holds(subject: Subject, start: float) -> float | None:
    """Least scale, not below `start`, from which upward enough of the outline prints where it was drawn."""
    held = _held_down_to(subject, _tried_first(start))
    if held is None or held == start:
        return held
    ratio, parts = _GRID_RATIO, _parts(subject.shares.at_once)
    while ratio > 1 + _PRECISION:
        ratio **= 1 / parts
        held = _held_down_to(subject, held / ratio ** np.arange(1.0, parts)) or held
    return held


def _tried_first(start: float) -> Floats:
    """The coarse sizes, falling down to `start`."""
    steps = math.ceil(math.log(max(_LARGEST / start, _FURTHER), _GRID_RATIO))
    return np.asarray(start * _GRID_RATIO ** np.arange(steps, -1.0, -1.0))


def asked_first(subject: Subject) -> Floats:
    """Radii and deviations, (2, q), that the search begins with; none where nothing is searched for."""
    if not subject.rack.any_is_deep:
        return np.zeros((2, 0))
    return _scaled(subject, _tried_first(_where_widths_hold(subject)))


def _held_down_to(subject: Subject, scales: Floats) -> float | None:
    """Of falling scales the last before the first that fails; None when that is the first of all."""
    held, at_once = 0, subject.shares.at_once
    for few in np.split(scales, np.arange(at_once, len(scales), at_once)):
        failed = np.flatnonzero(~_holds(subject, few))
        held += int(failed[0]) if len(failed) else len(few)
        if len(failed):
            break
    return float(scales[held - 1]) if held else None


def _parts(at_once: int) -> int:
    """Into how many parts a step is cut each time, 8, 4 or 2: the answer is of the same 64 in the end."""
    return 8 if at_once >= 7 else 4 if at_once >= 3 else 2


def _holds(subject: Subject, scales: Floats) -> Bools:
    """Whether enough of the outline prints where it was drawn, at each scale (q,)."""
    return np.greater_equal(subject.shares.of(_scaled(subject, scales)), subject.job.limits.faithful)


def _scaled(subject: Subject, scales: Floats) -> Floats:
    """Radius and deviation, (2, q), that tell of the mark as it is what is asked at each scale (q,)."""
    return np.stack([subject.rack.finest.face_mm / scales, subject.job.limits.deviation_mm / scales])
