"""How much each finding matters: every threshold and every severity of the review, in one place, with its reason.

The limits of the job (least land and gap, deviation, faithful share) belong to the caller; those below are the trade's.
`note`: good to know. `warning`: the print will differ from the drawing. `stop`: not worth cutting as it is.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright.base.tolerances import WIDTH_MM

if TYPE_CHECKING:
    from stampwright.base import Severity

MOST_LISTED = 200  # findings told one by one; beyond, a reader is better served by counts

THINNEST_LAND_MM = 0.2
"""Least line an engraving shop takes for hot-stamping dies, which are lower than ours and driven by a press
[die-artwork-rules]: a thinner wall of an iron is not worth cutting."""

SLENDER_NOTE, SLENDER_NOTE_DRAFTED, SLENDER_WARNING = 3.0, 5.0, 5.0
"""Height of a land over its width: up to 3 for straight walls, up to 5 with a draft of 10° or more [common-practice].
Beyond 5 the wall bends under the cutter and under the press."""
DRAFT_THAT_STIFFENS_DEG = 10.0

LONGEST_CUT_DIAMETERS, FINEST_SOLD_MM = 5.0, 0.1
"""Flat cutters are sold with edges of up to five diameters, and down to a tenth of a millimetre [common-practice]."""

DEEP_NOTE, DEEP_WARNING = 3.0, 4.0
"""Depth of a gap over its width: 3 to 4 [common-practice]; a small cutter reaches no deeper without chatter."""

LARGE_SOLID_MM = 9.5
"""Widest face the rules for hand-held irons name, 3/8 in [stockmen-iron-size]: larger solids burn unevenly and trap
gas [common-practice]. Never more than a note: it is how the mark is meant."""

CHAR_CLEARANCE_MM = 0.2  # ground that should stay bright between the char of two lands [common-practice]

OPEN_FLOOR_SPANS = (6.0, 18.0)
"""Widths of open floor, mm, between which the relief should rise from the substrate's least to its greatest: the wood
swells into wide ground and scorches there. Common practice, no source for the figures."""

CUT_OFF_STOP_SHARE = 0.05  # ink cut off at the margin: more than this is a letter or a stroke; our choice

FULL_THREAD_DIAMETERS, SHORT_THREAD_DIAMETERS = 1.0, 0.5
"""Full thread in brass under a light handle: one diameter at least [common-practice]; below half of it the rod rocks
loose when the head is hot."""


def is_below(width_mm: float, limit_mm: float) -> bool:
    """Tell whether a width is below a limit by more than what widths are measured to."""
    return width_mm < limit_mm - WIDTH_MM


def thin_land(width_mm: float) -> Severity:
    """Thin lands burn through and bend: a warning; thinner than any die is made: a stop."""
    return "stop" if is_below(width_mm, THINNEST_LAND_MM) else "warning"


def slender_land(slenderness: float) -> Severity:
    """A warning only beyond what a drafted wall would bear."""
    return "warning" if slenderness > SLENDER_WARNING else "note"


def deep_gap(depth_ratio: float) -> Severity:
    """A note between 3 and 4 times the width, a warning beyond."""
    return "warning" if depth_ratio > DEEP_WARNING else "note"


def char_bridge(width_mm: float, *, sure_mm: float) -> Severity:
    """A warning where even the least spread closes the gap, a note where only the greatest does."""
    return "warning" if is_below(width_mm, sure_mm) else "note"


def rounded_corner(*, share: float, least_share: float) -> Severity:
    """Make of rounded corners a note, or a warning when too little of the outline prints where it was drawn.

    Alone a corner is never more than a note: its residual does not shrink with the size of the mark.
    """
    return "warning" if share < least_share else "note"


def shallow_relief(relief_mm: float, *, least_mm: float) -> Severity:
    """Below the least of the substrate the background scorches; above it, only wide floors do."""
    return "warning" if is_below(relief_mm, least_mm) else "note"


def outside_margin(ink_share: float) -> Severity:
    """What is cut off does not print."""
    return "stop" if ink_share > CUT_OFF_STOP_SHARE else "warning"


def short_thread(diameters: float) -> Severity:
    """A rod on less than one diameter of thread works loose; on less than half it does not hold."""
    return "stop" if diameters < SHORT_THREAD_DIAMETERS else "warning"


def relief_for(open_floor_mm: float, *, low_mm: float, high_mm: float) -> float:
    """Relief that keeps the background from scorching over a floor so wide [mm]."""
    narrow, wide = OPEN_FLOOR_SPANS
    share = min(max((open_floor_mm - narrow) / (wide - narrow), 0.0), 1.0)
    return low_mm + share * (high_mm - low_mm)
