"""What a job may cost, counted in calls and vertices instead of seconds: the same on every machine.

The bounds are what was needed when they were last looked at, and a fifth more. Whoever needs more changes them with a
reason, whoever needs less lowers them.
"""

import collections

import pytest
import shapely

from stamped import MARKS
from stampwright.job import read_job
from stampwright.pipeline import make_solid, make_stamp, review_mark
from stampwright.plane import diagram

HEAVY = ("buffer", "difference", "intersection", "union_all", "union", "constrained_delaunay_triangles")


@pytest.fixture
def effort(monkeypatch):
    """Calls of the heavy functions of GEOS, vertices that go into them, and diagrams that are constructed."""
    spent = collections.Counter()

    def counted(name, function):
        def call(*arguments, **options):
            spent["calls"] += 1
            spent["vertices"] += sum(
                int(shapely.get_num_coordinates(given).sum()) for given in arguments[:2] if is_geometry(given)
            )
            return function(*arguments, **options)

        monkeypatch.setattr(shapely, name, call)

    class Counted(diagram.Pyvoronoi):
        def Construct(self):  # noqa: N802  the library's name
            spent["diagrams"] += 1
            return super().Construct()

    for name in HEAVY:
        counted(name, getattr(shapely, name))
    monkeypatch.setattr(diagram, "Pyvoronoi", Counted)
    return spent


def is_geometry(given):
    return bool(shapely.is_geometry(given).all())


def done(operation, name):
    operation(MARKS[name].svg, read_job(MARKS[name].job))


def test_a_solid_alone_needs_no_diagram(effort):
    done(make_solid, "skep")
    assert effort["diagrams"] == 0


@pytest.mark.parametrize("operation", [review_mark, make_stamp])
def test_one_diagram_serves_review_plan_and_solid(effort, operation):
    done(operation, "skep")
    assert effort["diagrams"] == 1


BOUNDS = [
    (make_solid, "skep", 7, 6_500),
    (review_mark, "skep", 16, 7_000),
    (review_mark, "comb", 3, 1_100),
    (make_stamp, "skep", 1_580, 1_580_000),
    (make_stamp, "comb", 330, 334_000),
]
"""Operation, mark, calls, vertices."""


@pytest.mark.parametrize(("operation", "name", "calls", "vertices"), BOUNDS)
def test_no_job_asks_more_of_geos_than_it_did(effort, operation, name, calls, vertices):
    done(operation, name)
    assert effort["calls"] <= calls
    assert effort["vertices"] <= vertices
