"""Stage 4, read the artwork: bytes in, ink in millimetres out, with what was repaired and what was left out."""

from .limits import MOST_FONTS
from .mark import Mark, faults
from .read import read_artwork
from .sniff import recognised

__all__ = ["MOST_FONTS", "Mark", "faults", "read_artwork", "recognised"]
