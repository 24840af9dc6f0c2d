"""Stage 4, read the artwork: SVG bytes in, ink in millimetres out, with what was repaired and what was left out."""

from .mark import Mark, faults
from .read import read_artwork

__all__ = ["Mark", "faults", "read_artwork"]
