"""How far a reading strays from one twenty times finer, and what its painter's tree saves, on published drawings."""

import time
from typing import NamedTuple
from unittest import mock

import numpy as np
import shapely
from compare import FACE_MM, read
from manifold3d import CrossSection

from stampwright.artwork.ink import Painter, painted_over
from stampwright.artwork.limits import LIMITS
from stampwright.artwork.notices import Log
from stampwright.artwork.svg.document import parse_document
from stampwright.artwork.svg.walk import Walk
from stampwright.base import StampwrightError
from stampwright.base.tolerances import DUST_MM2, SLIVER_MM2
from stampwright.plane import without_slivers

CHORD_MM = 0.005
FINER = 20
_BOUNDLESS = 1e12


class Strayed(NamedTuple):
    """Largest distance of a drawing's outline from a finer reading of it, in chord errors: anywhere, and off hairs."""

    anywhere: float
    off_hairs: float


def strays(data):
    """How far a drawing strays from a reading twenty times finer; None when it is refused.

    Each outline is looked for in the other reading as it is before slivers are dropped: what is just too small in one
    may be just large enough in the other, or hang on its neighbour by a thread. A hair is where ink or ground is
    narrower than three chord errors, as between boundaries that cross at a small angle: its tip moves by the chord
    error over the sine of half that angle, whatever the chord error is.
    """
    try:
        with mock.patch("stampwright.artwork.read.SLIVER_MM2", DUST_MM2):
            wholes = read(data, CHORD_MM).ink, _finely(data)
    except StampwrightError:
        return None
    x0, y0, x1, y1 = wholes[1].bounds
    chord = CHORD_MM * max(x1 - x0, y1 - y0) / FACE_MM
    coarse, fine = (without_slivers(each, below_mm2=SLIVER_MM2 * (chord / CHORD_MM) ** 2) for each in wholes)
    found = [
        _distances(shapely.boundary(one), shapely.boundary(whole))
        for one, whole in zip((coarse, fine), wholes[::-1], strict=True)
        if not one.is_empty
    ]
    if not found:
        return None
    points, away = (np.concatenate(part) for part in zip(*found, strict=True))
    far = away > chord
    off = ~shapely.intersects(_hairs((coarse, fine), 1.5 * chord), points[far]) if far.any() else far[far]
    return Strayed(away.max() / chord, np.concatenate([away[~far], away[far][off]]).max() / chord)


def _finely(data):
    """The finer reading, whatever it costs: within the limits of the service it would be painted less finely."""
    unbounded = {name: LIMITS[name]._replace(most=_BOUNDLESS) for name in ("points", "beside", "crossings")}
    with mock.patch.dict(LIMITS, unbounded):
        return read(data, CHORD_MM / FINER).ink


def _distances(line, other):
    """Points along a line, its corners among them, and their distances to the other."""
    shapely.prepare(other)
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(line, max_segment_length=line.length / 5000)))
    return points, shapely.distance(points, other)


def _hairs(areas, half):
    """Where areas, or the ground between, hold no disc of radius `half`."""
    hairs = []
    for area in areas:
        opened, closed = (shapely.buffer(shapely.buffer(area, by), -1.02 * by) for by in (-half, half))
        hairs += [shapely.difference(area, opened), shapely.difference(closed, area)]
    around = shapely.union_all(shapely.buffer(hairs, half / 30))
    shapely.prepare(around)
    return around


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
