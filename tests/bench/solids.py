"""The solid as ratios in one run: straight, drafted and as cut over the bare triangulation; its growth; its memory."""

import math
import statistics
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import shapely
from reviewing import emblem, tiled

from stampwright.catalogue import CUTTERS
from stampwright.job import Head
from stampwright.layout import Face
from stampwright.plane import Closings, diagram_of, on_grid, polygons_of
from stampwright.solid import Sharpened, build_solid

ROUNDS = 7
RELIEF_MM = 1.5
DRAFT_DEG = 10
POINTED, FLAT_MM = CUTTERS["pointed-20"], 0.397
BARS = {"straight": 4, "drafted": 20, "drafted in a job": 20, "as cut": 25, "pointed": 25, "pointed in a job": 25}
"""Over the bare triangulation, at 2,000 vertices; `pointed` is as cut with a pointed cutter after the flats; in a job
the diagram of the outlines is there already, made for the review."""
CUT = ("as cut", "pointed")
MOST_MB = 1000  # at 100,000 vertices


def face_of(ink):
    """A face around the ink, and its head."""
    x0, y0, x1, y1 = ink.bounds
    half = max(abs(x0), abs(y0), abs(x1), abs(y1)) + 5
    head = Head(width_mm=2 * half, height_mm=2 * half, corner_radius_mm=0.0)
    outline = shapely.box(-half, -half, half, half)
    return Face(ink, outline, RELIEF_MM, 1.0, reversed=True, mirror_symmetric=False), head


def makers(ink, *, as_cut=True, in_job=True):
    """What is timed, by name: the bare triangulation of lands and floor first, then the solids, without hole."""
    face, head = face_of(ink)
    floor = shapely.difference(face.head, ink)
    build = partial(build_solid, face, head=head, hole=None, density_kg_m3=8490)
    diagram = diagram_of(ink) if in_job else None
    work = {
        "bare": lambda: [shapely.constrained_delaunay_triangles(area) for area in (ink, floor)],
        "straight": build,
        "drafted": partial(build, draft_deg=DRAFT_DEG),
        "drafted in a job": partial(build, draft_deg=DRAFT_DEG, diagram=diagram),
    }
    if not as_cut:
        return work
    closings = Closings(ink)
    left, by_flats = (
        polygons_of(shapely.difference(closings.closed(radius_mm), ink))
        for radius_mm in (POINTED.radius_at_mm(RELIEF_MM), FLAT_MM)
    )
    sharpened = Sharpened(by_flats, POINTED)
    return work | {
        "as cut": partial(build, left_uncut=by_flats),
        "pointed": partial(build, left_uncut=left, sharpened=sharpened),
        "pointed in a job": partial(build, left_uncut=left, sharpened=sharpened, diagram=diagram),
    }


def timed(work):
    """Seconds of the processor for one go."""
    start = time.process_time()
    work()
    return time.process_time() - start


def measured(ink, *, rounds=ROUNDS):
    """Medians of paired rounds: seconds by name, and their ratio to the bare triangulation of the same round."""
    work = makers(ink)
    pairs = [{name: timed(one) for name, one in work.items()} for _ in range(rounds)]
    seconds = {name: statistics.median(pair[name] for pair in pairs) for name in work}
    return seconds, {
        name: statistics.median(pair[name] / pair["bare"] for pair in pairs) for name in work if name != "bare"
    }


def peak_mb(kind):
    """Peak memory of a fresh process that builds one solid of 125,832 vertices; "bare" only triangulates.

    Both solids as cut come after the bench's own closings, some 300 MB.
    """
    ink = "tiled(7)"
    code = (
        f"import sys; from pathlib import Path; sys.path[:0] = {sys.path[:2]!r}\n"
        f"from solids import makers, tiled\nmakers({ink}, as_cut={kind in CUT}, in_job=False)[{kind!r}]()\n"
        "told = dict(line.split(':', 1) for line in Path('/proc/self/status').read_text().splitlines())\n"
        "print(int(told['VmHWM'].split()[0]) / 1024)"  # the usage of a child begins with what its parent had
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, cwd=Path(__file__).parent)  # noqa: S603  ours
    return float(done.stdout)


def report(marks):
    """A line a mark, then growth and memory; returns the figures."""
    marks = {"half an emblem": on_grid(shapely.intersection(emblem(), shapely.box(-20, -20, 0, 20)))} | marks
    marks |= {f"{across**2} emblems": tiled(across) for across in (3, 5, 7, 10)}
    say("x bare, both drafted and pointed also as in a job, where the diagram is there already")
    say("mark                 vertices   bare ms  straight  drafted   in job   as cut  pointed   in job")
    figures = {name: line(name, ink) for name, ink in marks.items()}
    small = next(iter(figures.values()))
    for kind, most in BARS.items():
        large = [each for each in figures.values() if kind in each["seconds"]][-1]
        n, m = small["vertices"], large["vertices"]
        grown = large["seconds"][kind] / small["seconds"][kind] / (m * math.log(m) / (n * math.log(n)))
        say(f"{kind}: growth from {n} to {m} vertices {grown:.2f} n log n; at most {most} x bare at 2,000")
    memory = {kind: peak_mb(kind) for kind in ("bare", "straight", "drafted", *CUT)}
    shown = ", ".join(f"{kind} {mb:.0f}" for kind, mb in memory.items())
    say(f"peak memory at 125,832 vertices, at most {MOST_MB} MB at 100,000: {shown}")
    return {"marks": figures, "peak_mb": memory}


def line(name, ink):
    """Measure one mark and print it."""
    vertices = int(shapely.get_num_coordinates(ink))
    seconds, ratios = measured(ink, rounds=ROUNDS if vertices < 10_000 else 3 if vertices < 100_000 else 1)
    shown = "".join(f"{ratio:9.1f}" for ratio in ratios.values())
    say(f"{name:20s} {vertices:9d} {1e3 * seconds['bare']:9.1f} {shown}")
    return {"vertices": vertices, "seconds": seconds, "ratios": ratios}


def say(text):
    """Print at once: a run takes minutes."""
    print(text, flush=True)  # noqa: T201  a report
