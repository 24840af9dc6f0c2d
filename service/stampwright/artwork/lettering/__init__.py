"""Text of an SVG, set in the fonts that came with it. What is heavy behind is loaded with the first font sent."""

from .choice import Fonts
from .letterer import Letterer

__all__ = ["Fonts", "Letterer"]
