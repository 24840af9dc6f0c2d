"""Stage 6, thicken it: lands too thin to last grow to the least width, and gaps stay open."""

from .growth import GrownPlace, Growth, Outcome
from .thicken import Thickened, thicken

__all__ = ["GrownPlace", "Growth", "Outcome", "Thickened", "thicken"]
