"""Plain shapes with their thin lands grown, and what is read off them."""

import shapely

from stampwright.plane import medial_axis, on_grid, part_pinches, without_slivers
from stampwright.review.widths import Widths
from stampwright.thickening.grow import grow
from stampwright.thickening.want import wants_of


def laid(shape):
    """A shape as layout leaves it."""
    return part_pinches(without_slivers(on_grid(shape)))


def grown(shape, *, land_mm=0.5, gap_mm=0.5):
    """Ink of a shape before and after, each with its axis."""
    ink = laid(shape)
    axis = medial_axis(ink)
    made = grow(ink, axis, wants_of(axis, land_mm), gap_mm=gap_mm)
    return (ink, axis), (made.ink, made.axis) if made else (ink, axis)


def ink_of(shape, **limits):
    """The grown ink alone."""
    return grown(shape, **limits)[1][0]


def size(ink):
    """Width and height of the box of an area [mm]."""
    x0, y0, x1, y1 = ink.bounds
    return x1 - x0, y1 - y0


def least_land(ink):
    return Widths(medial_axis(ink)).land_min_mm


def least_gap(ink):
    return Widths(medial_axis(ink)).gap_min_mm


def bar(x0, y0, x1, y1):
    return shapely.box(x0, y0, x1, y1)


def bars(count, *, width, gap, length=10.0):
    """A grating of bars along x."""
    return shapely.union_all([bar(0, i * (width + gap), length, i * (width + gap) + width) for i in range(count)])


def ring(outer, inner, *, quad_segs=96):
    centre = shapely.Point(0, 0)
    return centre.buffer(outer, quad_segs=quad_segs) - centre.buffer(inner, quad_segs=quad_segs)
