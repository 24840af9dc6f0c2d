"""What a job may cost, counted in calls and vertices instead of seconds: the same on every machine.

The bounds are what was needed when they were last looked at, and a fifth more. Whoever needs more changes them with a
reason, whoever needs less lowers them.
"""

import collections
import sys

import numpy as np
import pytest
import shapely
from manifold3d import CrossSection

from stamped import MARKS
from stampwright.cutting import settings
from stampwright.job import read_job
from stampwright.pipeline import make_solid, make_stamp, review_mark, solid_as_cut
from stampwright.plane import diagram, sections

HEAVY = ("buffer", "difference", "intersection", "union_all", "union", "constrained_delaunay_triangles")


@pytest.fixture
def effort(monkeypatch):
    """Calls of the heavy functions of GEOS and conversions to Clipper2, vertices that go in; points asked about.

    Diagrams constructed too, and ways to run a cutter reckoned out in every number.
    """
    spent = collections.Counter()

    def counted(name, function):
        def call(*arguments, **options):
            spent["calls"] += 1
            spent["vertices"] += sum(
                int(shapely.get_num_coordinates(given).sum()) for given in arguments[:2] if is_geometry(given)
            )
            return function(*arguments, **options)

        monkeypatch.setattr(shapely, name, call)

    contains = shapely.contains_xy

    def asked(area, x, y=None):
        spent["points"] += np.size(x) if y is not None else len(x)
        return contains(area, x, y)

    def section(rings, *rule):
        spent["calls"] += 1
        spent["vertices"] += sum(len(ring) for ring in rings)
        return CrossSection(rings, *rule)

    class Counted(diagram.Pyvoronoi):
        def Construct(self):  # noqa: N802  the library's name
            spent["diagrams"] += 1
            return super().Construct()

    class Bench(settings.Bench):
        def run(self, *arguments):
            spent["ways to run"] += 1
            return super().run(*arguments)

    settings.settle.cache_clear()
    monkeypatch.setattr(settings, "Bench", Bench)
    for name in HEAVY:
        counted(name, getattr(shapely, name))
    monkeypatch.setattr(shapely, "contains_xy", asked)
    monkeypatch.setattr(diagram, "Pyvoronoi", Counted)
    monkeypatch.setattr(sections, "CrossSection", section)
    return spent


def is_geometry(given):
    return bool(shapely.is_geometry(given).all())


def done(operation, name, **more):
    return operation(MARKS[name].svg, read_job(MARKS[name].job | more))


def test_a_solid_alone_needs_no_diagram(effort):
    done(make_solid, "skep")
    assert effort["diagrams"] == 0


@pytest.mark.parametrize("operation", [review_mark, make_stamp])
def test_one_diagram_serves_review_plan_and_solid(effort, operation):
    done(operation, "skep")
    assert effort["diagrams"] == 1


SLOPING = {
    "drafted": {"relief": {"draft_deg": 5}},
    "as cut by a pointed cutter": {"cutters": ["flat-3.175", "pointed-20"], "solid": "as_cut"},
}


@pytest.mark.parametrize("more", SLOPING.values(), ids=SLOPING)
def test_it_serves_sloping_walls_too(effort, more):
    stamp = done(make_stamp, "skep", **more)
    heights = stamp.solid.vertices[:, 2]
    assert np.any((heights < 0) & (heights > -stamp.face.relief_mm))
    assert effort["diagrams"] == 1


@pytest.mark.parametrize("more", SLOPING.values(), ids=SLOPING)
def test_it_serves_the_solid_as_cut_beside_it(effort, more):
    """But beside sloping walls, where what is left joins the lands: theirs is another outline."""
    stamp = done(make_stamp, "skep", **more | {"solid": "as_drawn"})
    assert solid_as_cut(stamp).kind == "as_cut"
    assert effort["diagrams"] == (2 if stamp.job.relief.draft_deg else 1)


BOUNDS = [
    (make_solid, "skep", {"calls": 14, "vertices": 7_100, "points": 0}),
    (review_mark, "skep", {"calls": 10, "vertices": 3_800, "points": 460}),
    (review_mark, "comb", {"calls": 17, "vertices": 2_000, "points": 80}),
    (make_stamp, "skep", {"calls": 180, "vertices": 97_500, "points": 281_000, "ways to run": 60}),
    (make_stamp, "comb", {"calls": 62, "vertices": 18_200, "points": 76_500, "ways to run": 50}),
]
"""Operation, mark, what it may cost; painting at a ninth of the chord error, where shapes may cross, among it."""


@pytest.mark.parametrize(("operation", "name", "bounds"), BOUNDS)
def test_no_job_asks_more_of_geos_and_clipper_than_it_did(effort, operation, name, bounds):
    done(operation, name)
    assert {what: effort[what] for what in bounds if effort[what] > bounds[what]} == {}


STEPS = [
    (make_solid, "skep", 11_700),
    (review_mark, "skep", 23_700),
    (review_mark, "comb", 19_200),
    (review_mark, "hourglass", 11_400),
    (make_stamp, "skep", 199_400),
    (make_stamp, "comb", 81_800),
]
"""Operation, mark, and how many functions it may call: of a small mark nothing but calls takes time."""


@pytest.mark.parametrize(("operation", "name", "most"), STEPS)
def test_no_job_calls_more_functions_than_it_did(operation, name, most):
    done(operation, name)  # what is looked up once a process is no part of a job
    settings.settle.cache_clear()
    called = collections.Counter()
    before = sys.getprofile()
    sys.setprofile(lambda _frame, event, _of: called.update([event]))
    try:
        done(operation, name)
    finally:
        sys.setprofile(before)
    assert called["call"] + called["c_call"] <= most
