"""Stage 7, build the solid: a face and a head become one closed, oriented mesh with its threaded hole."""

from .build import build_solid
from .hole import plan_hole
from .sharpened import Sharpened
from .solid import Hole, Solid
from .stl import stl_bytes
from .threemf import threemf_bytes

__all__ = ["Hole", "Sharpened", "Solid", "build_solid", "plan_hole", "stl_bytes", "threemf_bytes"]
