"""What an order form may ask the customer about: the ink is as drawn, and perhaps not as meant. A hint changes nothing.

The bounds are chosen so that published icon sets raise no false alarm: measured on 300 icons of three sets and on flags
and emoji, recall on spoilt copies of the same (`python3 tests corpora` prints what the sets raise).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import Notice, numbered
from stampwright.base.quantities import MM_PER_CSS_PX
from stampwright.plane import area_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from manifold3d import CrossSection
    from numpy.typing import NDArray

    from .display import Pen, Piece, Shape
    from .paths import Path

PLATE_SPAN = 0.9  # of the ink's box, both ways, that a plate covers at least
PLATE_DARK = 0.5  # of the plate that is ink at least
PLATE_SOLID = 0.95  # of its convex hull that a plate fills at least: bars, discs and shields, not clover leaves
PLATE_LIGHT = 0.03  # of the plate that lies under visible light paint at least: paint, not holes
SPECK_SHARE = 0.005  # of the ink that specks hold at most
SPECK_SHRINKS = 0.1  # of the ink's width or height that would be won without them
OPEN_GAP = 0.02  # of an outline's own diagonal that its open ends lie apart at most
OPEN_SEGMENTS = 3  # that such an outline has at least


def plate_of(ink: shapely.MultiPolygon) -> shapely.Polygon | None:
    """The piece of ink with its holes filled that lies under the whole mark, if one does."""
    lands = shapely.get_parts(ink)
    boxes = shapely.bounds(lands)
    sizes, whole = boxes[:, 2:] - boxes[:, :2], _around(boxes)
    for land in lands[(sizes >= PLATE_SPAN * (whole[2:] - whole[:2])).all(axis=1)]:
        plate = shapely.polygons(shapely.get_exterior_ring(land))
        area = shapely.area(plate)
        if shapely.area(land) >= PLATE_DARK * area and area >= PLATE_SOLID * shapely.area(shapely.convex_hull(plate)):
            return plate
    return None


def dark_plate(ink: shapely.MultiPolygon, light_px: Callable[[], CrossSection]) -> list[Notice]:
    """Hint at a light mark on a dark plate. `light_px` paints what is seen of the light paint, only when asked."""
    plate = plate_of(ink)
    if plate is None:
        return []
    light = area_of(light_px().scale((MM_PER_CSS_PX, MM_PER_CSS_PX)))
    seen = shapely.area(shapely.intersection(light, plate)) / shapely.area(plate)
    if seen < PLATE_LIGHT:
        return []
    says = f"The mark looks light on a dark plate: {seen:.0%} of the plate lies under light paint."
    remedy = 'If the light part is the mark, give artwork.ink "light".'
    return [Notice("dark-plate", says, remedy, bounds_mm=_box(shapely.bounds(plate)), ink_share=_share(plate, ink))]


def stray_specks(ink: shapely.MultiPolygon) -> list[Notice]:
    """Hint at the smallest pieces whose absence would let the mark come out larger."""
    lands = shapely.get_parts(ink)
    areas = shapely.area(lands)
    order = np.argsort(areas, kind="stable")
    count = int(np.searchsorted(np.cumsum(areas[order]), SPECK_SHARE * areas.sum(), side="right"))
    if not 0 < count < len(lands):
        return []
    boxes = shapely.bounds(lands)
    rest, whole = _around(boxes[order[count:]]), _around(boxes)
    won = 1 - (rest[2:] - rest[:2]) / (whole[2:] - whole[:2])
    if won.max() < SPECK_SHRINKS:
        return []
    specks = boxes[order[:count]]
    specks = specks[(specks[:, :2] < rest[:2]).any(axis=1) | (specks[:, 2:] > rest[2:]).any(axis=1)]
    because = f"because of {numbered(len(specks), 'speck')} outside it"
    says = f"The mark is {won.max():.0%} smaller on the head than it could be, {because}."
    remedy = "Delete in the drawing what is no part of the mark."
    share = float(areas[order[:count]].sum() / areas.sum())
    return [Notice("stray-speck", says, remedy, count=len(specks), bounds_mm=_box(_around(specks)), ink_share=share)]


def open_outlines(shapes: Sequence[Shape], place_of: Callable[[Piece], str]) -> list[Notice]:
    """Hint at stroked outlines whose ends all but meet."""
    filled = {id(shape.element) for shape in shapes if not shape.pen}
    found: dict[int, Shape] = {}
    for shape in shapes:
        if shape.pen and shape.adds and id(shape.element) not in filled and _almost_closed(shape.pen, shape.path):
            found.setdefault(id(shape.element), shape)
    if not found:
        return []
    first = next(iter(found.values()))
    says = f"The ends of {numbered(len(found), 'outline')} come close without meeting: a gap will print."
    remedy = "Where a closed outline is meant, close it in the drawing."
    return [Notice("open-outline", says, remedy, element=place_of(first.element), count=len(found))]


def _almost_closed(pen: Pen, path: Path) -> bool:
    for first, stop, closed in path.subpaths:
        if closed or stop - first <= OPEN_SEGMENTS:
            continue
        gap = math.dist(path.nodes[first], path.nodes[stop - 1])
        hidden = 0.0 if pen.cap == "butt" else pen.width  # the caps meet in the gap
        xs, ys = zip(*path.nodes[first:stop], strict=True)
        if hidden < gap < OPEN_GAP * math.hypot(max(xs) - min(xs), max(ys) - min(ys)):
            return True
    return False


def _around(boxes: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])


def _box(bounds: NDArray[np.float64]) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = bounds.tolist()
    return x0, y0, x1, y1


def _share(plate: shapely.Polygon, ink: shapely.MultiPolygon) -> float:
    return float(shapely.area(shapely.intersection(plate, ink)) / shapely.area(ink))
