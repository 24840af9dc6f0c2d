"""Stage 8, review: where this iron will disappoint, by how much, with which cutter, and what would mend it."""

from .char import char_spread_mm
from .face import review_face
from .report import Corner, CutterReach, Review, Shut, WidthBin

__all__ = ["Corner", "CutterReach", "Review", "Shut", "WidthBin", "char_spread_mm", "review_face"]
