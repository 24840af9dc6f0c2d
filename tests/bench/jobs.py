"""The whole job and its stages over the least that any program on these libraries must do, in the same run; its memory.

All in seconds of the processor.

The floor, straight-line code: svgelements parses the path, manifold3d unites it, earcut triangulates lands and floor,
numpy-stl writes them with their walls. What a general-purpose CAD library takes from the same drawing to an STL is
measured too where an environment of its own holds `build123d`, over the kernel of Open CASCADE: it is no dependency of
the project, and wants other versions of what are.
"""

import io
import json
import math
import statistics
import subprocess
import sys
import tempfile
import time
from importlib.metadata import distribution
from pathlib import Path

import mapbox_earcut
import numpy as np
import shapely
import svgelements
from fontTools import ttLib
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from manifold3d import CrossSection, FillRule
from reviewing import emblem, tiled
from stl import mesh

from stampwright.base import stopwatch
from stampwright.cutting.settings import settle
from stampwright.job import read_job
from stampwright.pipeline import lay, make_solid, make_stamp, review_mark
from stampwright.solid import stl_bytes

HERE = Path(__file__).parent
ENVIRONMENT = ".corpora/cad"
CAD = HERE.parents[1] / ENVIRONMENT / "bin" / "python"
ROUNDS = 7
FEW_ROUNDS, MANY_VERTICES = 3, 10_000  # beyond so many vertices a round takes seconds
MOST_PLANNED = 50_000  # segments; the plan of more takes minutes, and is left out
MOST_FUSED = 20_000  # vertices; of 23,000 the kernel makes nothing within six minutes
RELIEF_MM, THICKNESS_MM = 1.5, 19.0
RACK = ["flat-3.175", "flat-1.588", "flat-0.794", "flat-0.4"]
BARS = {"stl": 1.5, "solid and review": 4, "with the plan": 12}
"""Times over the floor that are aimed at."""
KB_A_VERTEX, POWER, KERNEL = 4, 1.15, 150
"""Aims: peak memory at most, growth of each stage at most, a CAD kernel's time over that of the STL at least."""
QUICK = ("artwork", "layout", "plane", "review", "solid")


def small_lands():
    """300 hexagons, as a mark of many small lands is."""
    turns = np.linspace(0, 2 * np.pi, 7)[:-1]
    corners = np.column_stack([np.cos(turns), np.sin(turns)])
    at = np.array([(1.8 * i, 1.8 * j) for i in range(20) for j in range(15)])
    return shapely.multipolygons(shapely.polygons(0.7 * corners[None] + at[:, None]))


def marks():
    """Path data of six marks by name: four sizes, many small lands, much text."""
    wedge = shapely.intersection(emblem(), shapely.box(-8, -8, 0, 0))
    areas = {"200 vertices": wedge, "2,000 vertices": emblem(), "20,000 vertices": tiled(3)}
    areas |= {"100,000 vertices": tiled(6), "300 small lands": small_lands()}
    return {name: path_of(area) for name, area in areas.items()} | {"much text": text_path()}


def path_of(area):
    """Path data of an area, to 0.1 µm."""
    rings = [ring for part in shapely.get_parts(area) for ring in (part.exterior, *part.interiors)]
    return " ".join("M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in ring.coords[:-1]) + "Z" for ring in rings)


def text_path():
    """Eight lines of text as outlines, quadratic curves as the font has them."""
    glyphs = ttLib.TTFont(distribution("ziafont").locate_file("ziafont/fonts/DejaVuSans.ttf"))
    letters, names, em = glyphs.getGlyphSet(), glyphs.getBestCmap(), glyphs["head"].unitsPerEm
    pen = SVGPathPen(letters)
    for row in range(8):
        at = 0.0
        for letter in "Honey of the upper valley, taken by hand":
            glyph = letters[names[ord(letter)]]
            glyph.draw(TransformPen(pen, (4 / em, 0, 0, -4 / em, at, 6 * row)))
            at += glyph.width * 4 / em
    return pen.getCommands()


def svg_of(data):
    """A drawing of the path alone, a millimetre a unit, and the half side of a square head around it."""
    x0, y0, x1, y1 = svgelements.Path(data).bbox()
    view = f"{x0 - 1} {y0 - 1} {x1 - x0 + 2} {y1 - y0 + 2}"
    size = f'width="{x1 - x0 + 2}mm" height="{y1 - y0 + 2}mm"'
    drawing = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{view}"><path fill-rule="evenodd" d="{data}"/></svg>'
    )
    return drawing.encode(), max(x1 - x0, y1 - y0) / 2 + 5


def document_for(half):
    """The job of every mark as it is sent: four cutters, its true size, a square head."""
    head = {"width": 2 * half, "height": 2 * half, "corner_radius": 0, "thickness": THICKNESS_MM}
    return {"head": head, "placement": {"fit": "actual_size"}, "relief": {"height": RELIEF_MM}, "cutters": RACK}


def job_for(half):
    """The same as it is read."""
    return read_job(document_for(half))


def floor_stl(data, half):
    """The least: parse, unite, triangulate, write. No hole, no grid, no check."""
    rings = []
    for part in svgelements.Path(data).as_subpaths():
        segments = list(part)
        points = [np.array(segments[0].end)]
        for segment in segments[1:]:
            steps = 1 if isinstance(segment, svgelements.Line | svgelements.Close) else 8
            points += [np.array(segment.point(k / steps)) for k in range(1, steps + 1)]
        rings.append(np.array(points))
    ink = CrossSection(rings, FillRule.EvenOdd)
    (x0, y0, x1, y1), square = ink.bounds(), CrossSection.square((2 * half, 2 * half), center=True)
    ink = ink.translate((-(x0 + x1) / 2, -(y0 + y1) / 2)).mirror((1, 0))
    triangles = [*_faces(ink, 0.0), *_faces(square - ink, -RELIEF_MM), *_walls(ink, 0.0, -RELIEF_MM)]
    triangles += [*_walls(square, -RELIEF_MM, -THICKNESS_MM), *(t[:, ::-1] for t in _faces(square, -THICKNESS_MM))]
    solid = mesh.Mesh(np.zeros(sum(map(len, triangles)), dtype=mesh.Mesh.dtype))
    solid.vectors = np.concatenate(triangles)
    out = io.BytesIO()
    solid.save("floor", fh=out)
    return out.getvalue()


def _faces(section, z):
    found = []
    for piece in section.decompose():
        rings = piece.to_polygons()
        points = np.concatenate(rings)
        corners = mapbox_earcut.triangulate_float64(points, np.cumsum([len(ring) for ring in rings]).astype(np.uint32))
        flat = points[corners].reshape(-1, 3, 2)
        found.append(np.concatenate([flat, np.full((*flat.shape[:2], 1), z)], axis=2))
    return found


def _walls(section, top, foot):
    found = []
    for ring in section.to_polygons():
        ends = np.roll(ring, -1, axis=0)
        a, b = (np.column_stack([points, np.full(len(points), top)]) for points in (ring, ends))
        c, d = (np.column_stack([points, np.full(len(points), foot)]) for points in (ring, ends))
        found += [np.stack([a, c, b], axis=1), np.stack([b, c, d], axis=1)]
    return found


def timed(work):
    """Seconds of the processor that one go takes: other work of the machine does not count."""
    start = time.process_time()
    work()
    return time.process_time() - start


class _Spent(dict):
    """Laps of a stopwatch in seconds of the processor; what lies between two stages counts to the later one."""

    def __init__(self):
        super().__init__()
        self._last = time.process_time()

    def __setitem__(self, stage, _seconds):
        now = time.process_time()
        super().__setitem__(stage, self.get(stage, 0.0) + now - self._last)
        self._last = now


def one_round(data, svg, half, job):
    """Seconds of the floor, of the STL alone, and of each stage of the whole job."""
    settle.cache_clear()  # what each cutter bears is reckoned anew, as for a job that is asked once
    seconds = {"floor": timed(lambda: floor_stl(data, half)), "stl": timed(lambda: stl_bytes(make_solid(svg, job)))}
    with stopwatch(_Spent()) as laps:
        if data.count("L") < MOST_PLANNED:
            make_stamp(svg, job)
        else:
            review_mark(svg, job)
    if "solid" not in laps:
        with stopwatch(_Spent()) as more:
            make_solid(svg, job)
        laps["solid"] = more["solid"]
    seconds |= laps
    seconds["solid and review"] = sum(laps[name] for name in QUICK)
    if "cutting" in laps:
        seconds["with the plan"] = seconds["solid and review"] + laps["cutting"]
    return seconds


def measured(name, data):
    """Medians of paired rounds: seconds by what, and their ratio to the floor of the same round; peaks by stage."""
    svg, half = svg_of(data)
    job = job_for(half)
    vertices = int(shapely.get_num_coordinates(lay(svg, job).face.ink))
    one_round(data, svg, half, job)
    rounds = [one_round(data, svg, half, job) for _ in range(ROUNDS if vertices < MANY_VERTICES else FEW_ROUNDS)]
    seconds = {what: statistics.median(one[what] for one in rounds) for what in rounds[0]}
    ratios = {what: statistics.median(one[what] / one["floor"] for one in rounds) for what in seconds}
    return {"vertices": vertices, "seconds": seconds, "ratios": ratios, "peaks_mb": in_fresh_process("peaks", name)}


class _Peaks(dict):
    """Laps of a stopwatch that note the highest memory of each stage instead of its time [MB above the start]."""

    def __init__(self):
        super().__init__()
        self._start = _peak_mb()

    def __setitem__(self, stage, _seconds):
        super().__setitem__(stage, max(self.get(stage, 0.0), _peak_mb() - self._start))


def _peak_mb():
    """The highest resident memory since this was last asked (proc(5): VmHWM, and what a 5 in clear_refs does)."""
    status = Path("/proc/self/status").read_text()
    Path("/proc/self/clear_refs").write_text("5")
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


def peaks(name):
    """Peak memory of each stage, and of the whole job, above that of a process that has done a small job."""
    svg, half = svg_of(marks()["200 vertices"])
    make_stamp(svg, job_for(half))
    data = marks()[name]
    svg, half = svg_of(data)
    _peak_mb()
    found = _Peaks()
    with stopwatch(found):
        (make_stamp if data.count("L") < MOST_PLANNED else review_mark)(svg, job_for(half))
    return dict(found) | {"whole": max(found.values())}


def kernel(name):
    """Seconds that a CAD library takes for the same block, by step.

    Raises ArithmeticError when what it makes is another block: a shortcut would not be worth comparing with.
    """
    svg, half = svg_of(marks()[name])
    with tempfile.NamedTemporaryFile(suffix=".svg") as drawing:
        drawing.write(svg)
        drawing.flush()
        asked = [CAD, HERE / "kernel.py", drawing.name, str(half), str(RELIEF_MM), str(THICKNESS_MM)]
        made = json.loads(subprocess.run(asked, check=True, capture_output=True).stdout)  # noqa: S603  ours
    ink = shapely.area(lay(svg, job_for(half)).face.ink)
    if not math.isclose(made["volume_mm3"], 4 * half**2 * (THICKNESS_MM - RELIEF_MM) + ink * RELIEF_MM, rel_tol=1e-5):
        raise ArithmeticError(name)
    return made["seconds"]


def in_fresh_process(what, name):
    """What one of the functions here finds for one mark, in a process of its own."""
    code = f"import sys, json; sys.path[:0] = {sys.path[:2]!r}\nimport jobs\nprint(json.dumps(jobs.{what}({name!r})))"
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, cwd=HERE)  # noqa: S603  ours
    return json.loads(done.stdout.splitlines()[-1])


def growth(figures, what):
    """Exponent of the time of one stage between the emblem and the largest mark."""
    small = figures["2,000 vertices"]
    large = next(figures[name] for name in ("100,000 vertices", "20,000 vertices") if what in figures[name]["seconds"])
    return math.log(large["seconds"][what] / small["seconds"][what]) / math.log(large["vertices"] / small["vertices"])


def report(_marks):
    """A line a mark and what is measured, then growth; returns the figures."""
    figures = {}
    for name, data in marks().items():
        found = figures[name] = measured(name, data)
        say(f"{name}: {found['vertices']} vertices, floor {1e3 * found['seconds']['floor']:.1f} ms")
        for what, ratio in found["ratios"].items():
            peak = found["peaks_mb"].get(what)
            bar = f"  at most {BARS[what]}" if what in BARS else ""
            held = f"  peak {peak:.0f} MB" if peak is not None else ""
            say(f"    {what:18s} {1e3 * found['seconds'][what]:10.1f} ms {ratio:8.1f} x{held}{bar}")
        kilobytes = 1024 * found["peaks_mb"]["whole"] / found["vertices"]
        say(f"    the whole job peaks at {kilobytes:.1f} kB a vertex, at most {KB_A_VERTEX}")
    for what in (*QUICK, "cutting"):
        say(f"{what}: grows with the power {growth(figures, what):.2f} of the vertices, at most {POWER}")
    if CAD.exists():
        for name, found in figures.items():
            if found["vertices"] > MOST_FUSED:
                continue
            steps = found["kernel_s"] = kernel(name)
            times = sum(steps.values()) / found["seconds"]["stl"]
            spent = ", ".join(f"{step} {seconds:.2f}" for step, seconds in steps.items())
            say(f"{name}: the CAD kernel takes {times:.0f} x the STL ({spent} s); at least {KERNEL}")
    else:
        say(f"no CAD kernel to compare with: `python3 -m venv {ENVIRONMENT}`, and build123d by its pip, brings one")
    return figures


def say(text):
    """Print at once: a run takes minutes."""
    print(text, flush=True)  # noqa: T201  a report
