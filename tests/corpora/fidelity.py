"""How far a reading strays from one twenty times finer, and what its painter's tree saves, on published drawings."""

import itertools
import time

import numpy as np
import shapely
from compare import FACE_MM, read
from manifold3d import CrossSection

from stampwright.artwork.ink import Painter, painted_over
from stampwright.artwork.notices import Log
from stampwright.artwork.svg.document import parse_document
from stampwright.artwork.svg.walk import Walk
from stampwright.base import StampwrightError

CHORD_MM = 0.005
FINER = 20


def strays(data):
    """Hausdorff distance of a drawing's outline to a finer reading of it, in chord errors; None when it is refused.

    Above one where layers cross at a small angle: the tip between them moves by the chord error over the angle's sine.
    """
    try:
        coarse, fine = (read(data, chord) for chord in (CHORD_MM, CHORD_MM / FINER))
    except StampwrightError:
        return None
    x0, y0, x1, y1 = fine.ink.bounds
    lines = [shapely.boundary(mark.ink) for mark in (coarse, fine)]
    scale = FACE_MM / max(x1 - x0, y1 - y0)
    return max(_farthest(a, b) for a, b in itertools.permutations(lines)) * scale / CHORD_MM


def _farthest(line, other):
    """Largest distance from points along a line, its corners among them, to the other."""
    shapely.prepare(other)
    dense = shapely.segmentize(line, max_segment_length=line.length / 5000)
    return float(shapely.distance(shapely.points(shapely.get_coordinates(dense)), other).max())


def layers_of(data):
    """Painted shapes of a drawing, in order."""
    document = parse_document(data)
    return Walk(document, Log(frozenset(), document.place_of), "dark").drawing().shapes


def one_by_one(shapes):
    """Time of covering layer by layer over that of the painter's tree, on the same areas; and both inks [px²]."""
    painter = Painter(sagitta_px=0.05)
    with np.errstate(all="ignore"):
        areas = [(shape.adds, painter.area(shape)) for shape in shapes]
    sum(area.num_vert() for _, area in areas)  # the engine is lazy: now it has worked
    start = time.perf_counter()
    ink = CrossSection()
    for adds, area in areas:
        ink = ink + area if adds else ink - area
    plain = ink.area()
    middle = time.perf_counter()
    tree = painted_over(areas).area()
    return (middle - start) / (time.perf_counter() - middle), plain, tree


def percentiles(values):
    """p50, p95 and the largest."""
    return " / ".join(f"{value:.2f}" for value in np.percentile(values, [50, 95, 100]))
