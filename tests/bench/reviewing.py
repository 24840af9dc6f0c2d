"""The review as ratios in one run: to bare openings of the ink, to the bare construction of its diagram; its growth."""

import math
import statistics
import time

import numpy as np
import shapely
from pyvoronoi import Pyvoronoi
from shapely.affinity import scale, translate

from stampwright.base.tolerances import GRID_PER_MM
from stampwright.catalogue import CUTTERS, SUBSTRATES
from stampwright.job import Head, Job
from stampwright.layout import Face
from stampwright.plane import Closings, medial_axis, on_grid
from stampwright.plane.diagram import walls_of
from stampwright.review import review_face

RACK = tuple(CUTTERS[key] for key in ("flat-3.175", "flat-1.588", "flat-0.794", "flat-0.4"))
RELIEF_MM = 1.5  # the least that oak asks for: with less no size of the mark helps, and none is searched
ROUNDS, MANY_ROUNDS, FEW_VERTICES = 7, 41, 500  # a mark of few vertices takes milliseconds


def emblem():
    """A ring of seals round a comb: about 2,000 vertices, 36 mm wide."""
    rim = shapely.Point(0, 0).buffer(18, quad_segs=64) - shapely.Point(0, 0).buffer(16.8, quad_segs=64)
    cells = [_cell(1.9 * (i + j / 2), 1.9 * j * math.sqrt(3) / 2) for i in range(-4, 5) for j in range(-4, 5)]
    comb = [cell for cell in cells if shapely.Point(0, 0).distance(cell) < 6]
    turns = np.linspace(0, 2 * math.pi, 24, endpoint=False)
    seals = [translate(_flower(), 13.4 * math.cos(turn), 13.4 * math.sin(turn)) for turn in turns]
    return on_grid(shapely.union_all([rim, *comb, *seals]))


def _cell(x, y):
    corners = [(x + 0.95 * math.cos(a), y + 0.95 * math.sin(a)) for a in np.linspace(0, 2 * math.pi, 7)[:-1] + 0.3]
    return shapely.Polygon(corners) - scale(shapely.Polygon(corners), 0.6, 0.6)


def _flower():
    a = np.linspace(0, 2 * math.pi, 56, endpoint=False)
    return shapely.Polygon(np.column_stack([np.cos(a), np.sin(a)]) * (1.1 + 0.35 * np.cos(5 * a))[:, None])


def tiled(across, down=None):
    """So many emblems across and down: what a mark of many vertices is like."""
    one = emblem()
    tiles = [translate(one, 37 * i, 37 * j) for i in range(across) for j in range(down or across)]
    return on_grid(scale(shapely.union_all(tiles), 0.9, 0.9, origin=(0, 0)))


def plain():
    """The smallest marks there are, by name."""
    square, disc = shapely.box(-6, -6, 6, 6), shapely.Point(0, 0).buffer(3, quad_segs=8)
    sides = np.linspace(0, 2 * math.pi, 7)[:-1]
    hexagon = shapely.Polygon(8 * np.column_stack([np.cos(sides), np.sin(sides)]))
    shapes = {"square": square, "window": square - shapely.box(-2, -2, 2, 2), "nut": hexagon - disc, "ring": _ring()}
    return {name: on_grid(shape) for name, shape in shapes.items()}


def _ring():
    return shapely.Point(0, 0).buffer(8) - shapely.Point(0, 0).buffer(6)


def reviewed(ink):
    """Axis, closings and review, as the pipeline makes them."""
    x0, y0, x1, y1 = ink.bounds
    half = max(abs(x0), abs(y0), abs(x1), abs(y1)) + 5
    head = Head(width_mm=2 * half, height_mm=2 * half, corner_radius_mm=0.0)
    face = Face(ink, shapely.box(-half, -half, half, half), RELIEF_MM, 1.0, reversed=True, mirror_symmetric=False)
    job = Job(head=head, cutters=RACK)
    axis, closings = medial_axis(ink), Closings(ink)
    return review_face(face, job, hole=None, substrate=SUBSTRATES["oak-white"], axis=axis, closings=closings)


def openings(ink):
    """One bare opening of the floor a cutter: the ink grown and shrunk again, 16 chords a quarter."""
    for cutter in RACK:
        shapely.buffer(shapely.buffer(ink, cutter.diameter_mm / 2, quad_segs=16), -cutter.diameter_mm / 2, quad_segs=16)


def construction(ink):
    """The bare construction of the diagram, nothing read from it."""
    diagram = Pyvoronoi(1)
    for segment in np.rint(walls_of(ink)[0] * GRID_PER_MM).astype(np.int64).tolist():
        diagram.AddSegment(segment)
    diagram.Construct()


def timed(work, ink):
    """Seconds of one go."""
    start = time.perf_counter()
    work(ink)
    return time.perf_counter() - start


def ratios(ink, rounds=ROUNDS):
    """Medians of paired rounds: the review's seconds, over one bare opening a cutter, over bare constructions."""
    reviewed(ink)
    pairs = [(timed(reviewed, ink), timed(openings, ink), timed(construction, ink)) for _ in range(rounds)]
    review = statistics.median(r for r, _, _ in pairs)
    return review, statistics.median(r / o for r, o, _ in pairs), statistics.median(r / c for r, _, c in pairs)


def report(marks):
    """A line a mark, then the growth between the emblem and the largest; returns seconds by vertices, and growth."""
    marks = plain() | marks | {"nine emblems": tiled(3), "36 emblems": tiled(6)}
    print("mark                 vertices  review ms  x openings  x constructions")  # noqa: T201  a report
    seconds = {}
    for name, ink in marks.items():
        vertices = int(shapely.get_num_coordinates(ink))
        rounds = MANY_ROUNDS if vertices < FEW_VERTICES else ROUNDS if vertices < 10_000 else 3
        review, by_opening, by_construction = ratios(ink, rounds)
        seconds[vertices] = review
        line = f"{name:20s} {vertices:9d} {1e3 * review:10.1f} {by_opening:11.1f} {by_construction:16.1f}"
        print(line, flush=True)  # noqa: T201
    small, large = (min(seconds, key=lambda n: abs(n - near)) for near in (2_000, 100_000))
    grown = seconds[large] / seconds[small] / (large * math.log(large) / (small * math.log(small)))
    print(f"growth from {small} to {large} vertices: {grown:.2f} n log n")  # noqa: T201
    return {"seconds": seconds, "growth": grown}
