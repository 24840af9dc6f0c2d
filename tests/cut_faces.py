"""Faces for the tests of the cutting: plain shapes on a 38 x 28 mm head, and their plans."""

import shapely

from stampwright.catalogue import METALS, TAPS, THREADS
from stampwright.cutting import plan_cutting
from stampwright.job import Job
from stampwright.layout import Face
from stampwright.plane import Closings, medial_axis, on_grid
from stampwright.solid import Hole

HEAD = shapely.box(-19, -14, 19, 14)
QUARTER_INCH = THREADS["1/4-20 UNC"]
HOLE = Hole(
    thread=QUARTER_INCH.size,
    tap=TAPS["bottoming"].key,
    drill_mm=QUARTER_INCH.drill_mm,
    drill_name=QUARTER_INCH.drill_name,
    full_thread_mm=9.525,
    drilled_mm=13.335,
    point_mm=1.534,
    wall_mm=2.63,
    countersink_mm=6.6,
)


def disc(x, y, radius):
    return shapely.Point(x, y).buffer(radius, quad_segs=48)


def ring(x, y, outer, inner):
    return shapely.difference(disc(x, y, outer), disc(x, y, inner))


def clover():
    """Three rings round a bored eye, a bar 0.9 mm beside another, and a triangle with a sharp counter."""
    rings = [ring(-11, 3, 4, 2.9), ring(-5, 3, 4, 2.9), ring(-8, -4, 4, 2.9)]
    eye = ring(2, 8, 2, 0.6)
    bars = [shapely.box(1, -11, 2, 4), shapely.box(2.9, -11, 3.9, 4)]
    triangle = shapely.difference(
        shapely.Polygon([(6, -10), (16, -10), (11, 8)]), shapely.Polygon([(8, -8.7), (14, -8.7), (11, 3)])
    )
    return on_grid(shapely.union_all([*rings, eye, *bars, triangle]))


def face_of(ink, *, relief_mm=1.5, head=HEAD):
    return Face(on_grid(ink), head, relief_mm, scale=1.0, reversed=True, mirror_symmetric=False)


def plan_of(ink, job=None, *, relief_mm=1.5, hole=HOLE):
    job = job or Job()
    face = face_of(ink, relief_mm=relief_mm)
    axis = medial_axis(face.ink)
    closings = Closings(face.ink, axis)
    return face, plan_cutting(face, job, hole=hole, metal=METALS[job.metal], axis=axis, closings=closings)
