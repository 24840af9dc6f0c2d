"""Stage 5, lay it out: the ink comes to the head, fitted, turned, and reversed in the one place that reverses."""

from .face import Face
from .fit import scale_for
from .place import field_within, lay_out

__all__ = ["Face", "field_within", "lay_out", "scale_for"]
