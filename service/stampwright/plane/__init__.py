"""Stage 3, the plane: the product's grid, booleans and fill rules, offsets, the medial axis. Areas in, areas out."""

from .along import Along, along, lines_between, radius_along, spaced
from .axis import ON_OUTLINE_MM, VERTICES, WALLS, Axis, joined, medial_axis
from .closings import Closings
from .diagram import Diagram, diagram_of
from .fits import RIB_DEG, entered, passable
from .grid import count_slivers, counters_of, on_grid, polygons_of, slivers_of, without_slivers
from .offset import SAGITTA_MM, grown, grown_mitred, quarter_segments
from .pieces import Pieces, pieces_below, strip_areas
from .pinches import count_pinches, part_pinches
from .sections import (
    SPECK_MM2,
    Rule,
    area_of,
    common,
    less,
    nested,
    outside,
    section_less,
    section_of,
    section_of_rings,
)
from .strips import Strips

__all__ = [
    "ON_OUTLINE_MM",
    "RIB_DEG",
    "SAGITTA_MM",
    "SPECK_MM2",
    "VERTICES",
    "WALLS",
    "Along",
    "Axis",
    "Closings",
    "Diagram",
    "Pieces",
    "Rule",
    "Strips",
    "along",
    "area_of",
    "common",
    "count_pinches",
    "count_slivers",
    "counters_of",
    "diagram_of",
    "entered",
    "grown",
    "grown_mitred",
    "joined",
    "less",
    "lines_between",
    "medial_axis",
    "nested",
    "on_grid",
    "outside",
    "part_pinches",
    "passable",
    "pieces_below",
    "polygons_of",
    "quarter_segments",
    "radius_along",
    "section_less",
    "section_of",
    "section_of_rings",
    "slivers_of",
    "spaced",
    "strip_areas",
    "without_slivers",
]
