"""Stage 5, lay it out: the ink comes to the head, fitted, turned, and reversed in the one place that reverses."""

from .face import Face
from .fit import scale_for
from .head import outline_of
from .place import field_within, lay_out

__all__ = ["Face", "field_within", "lay_out", "outline_of", "scale_for"]
