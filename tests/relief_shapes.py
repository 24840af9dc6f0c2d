"""Marks, heads and faces for tests of layout and solid, made of shapely shapes; lengths in mm."""

from __future__ import annotations

import dataclasses
import math
import os

import numpy as np
import shapely

from stampwright.artwork.mark import Mark
from stampwright.catalogue import substrate_named
from stampwright.job import Head, Job, Placement
from stampwright.layout import Face, lay_out
from stampwright.plane import on_grid, part_pinches, polygons_of

EXAMPLES = int(os.environ.get("STAMPWRIGHT_TEST_EXAMPLES", "200"))
"""Random reliefs per law: 200 as a rule; 2,000 by `STAMPWRIGHT_TEST_EXAMPLES=2000 python3 tests`."""

OAK = substrate_named("oak-white")

# The letter F as an SVG has it: y down, stem at the left, both arms to the right, the upper one longer.
LETTER_F = "M 0 0 H 12 V 3 H 3 V 7 H 9 V 10 H 3 V 20 H 0 Z"
F_CORNERS = [(0, 0), (12, 0), (12, 3), (3, 3), (3, 7), (9, 7), (9, 10), (3, 10), (3, 20), (0, 20)]


def disc(radius, *, at=(0.0, 0.0), quarter=64):
    return shapely.Point(at).buffer(radius, quad_segs=quarter)


def ring(outer, inner, *, at=(0.0, 0.0), quarter=64):
    return shapely.difference(disc(outer, at=at, quarter=quarter), disc(inner, at=at, quarter=quarter))


def regular_polygon_area(radius, corners):
    return corners / 2 * radius**2 * math.sin(2 * math.pi / corners)


def mark_of(area):
    area = polygons_of(area)
    return Mark("svg", (100.0, 100.0), area)


def letter_f():
    return mark_of(shapely.Polygon(F_CORNERS))


def laid(area, *, head=None, substrate=OAK, job=None, **placement):
    job = job or Job()
    job = dataclasses.replace(job, head=head or job.head, placement=Placement(**placement))
    return lay_out(area if isinstance(area, Mark) else mark_of(area), job, substrate)


def face_of(area, *, head=None, relief_mm=1.5):
    """A face whose ink is given as it stands on the head."""
    outline = laid(disc(1), head=head or Head()).head
    ink = part_pinches(on_grid(area))
    return Face(ink, outline, relief_mm, 1.0, reversed=True, mirror_symmetric=False)


def scattered(seed, *, count=12, turn_deg=0.0):
    """Overlapping, touching, nested shapes on a coarse lattice, so that edges and points coincide often; turned."""
    dice = np.random.default_rng(seed)
    area = shapely.Polygon()
    for _ in range(count):
        x, y = dice.integers(-12, 12), dice.integers(-8, 8)
        size = int(dice.integers(1, 6))
        shape = dice.choice(3)
        piece = (
            shapely.box(x, y, x + size, y + size)
            if shape == 0
            else shapely.Polygon([(x, y), (x + size, y), (x, y + size)])
            if shape == 1
            else disc(size, at=(x, y), quarter=3)
        )
        area = shapely.difference(area, piece) if dice.random() < 0.35 else shapely.union(area, piece)
    area = shapely.affinity.rotate(shapely.intersection(area, shapely.box(-16, -11, 16, 11)), turn_deg, origin=(0, 0))
    # turning rounds each vertex: once in thousands of heaps that crosses two edges over
    return polygons_of(area if shapely.is_valid(area) else shapely.buffer(area, 0))
