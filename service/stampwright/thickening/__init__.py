"""Stage 6, thicken it: lands too thin to last grow to the least width, and gaps stay open."""

from .growth import GrownPlace, Growth, Outcome, enough_mm
from .thicken import Thickened, thicken

__all__ = ["GrownPlace", "Growth", "Outcome", "Thickened", "enough_mm", "thicken"]
