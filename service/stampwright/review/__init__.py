"""Stage 8, review: where this iron will disappoint, by how much, with which cutter, and what would mend it."""

from .char import char_spread_mm
from .face import review_face
from .faithful import faithful_shares
from .report import Corner, CutterReach, Review, Shut, WidthBin
from .uncut import uncut_by

__all__ = [
    "Corner",
    "CutterReach",
    "Review",
    "Shut",
    "WidthBin",
    "char_spread_mm",
    "faithful_shares",
    "review_face",
    "uncut_by",
]
