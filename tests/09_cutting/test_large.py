"""What keeps large marks quick and small in memory: cells that find the nearest, areas asked piece by piece."""

import gc
import weakref

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cut_faces import clover, plan_of
from stampwright.cutting import engagement, laying, sequence
from stampwright.cutting.clip import side_by_side
from stampwright.cutting.filed import Filed
from stampwright.job import Job

seeds = st.integers(0, 2**32 - 1)


@given(seeds, st.integers(1, 400))
def test_cells_find_the_nearest_as_a_look_at_all_does(seed, count):
    """Against GEOS's distance from a point to each box; some boxes are points, some as large as half the field."""
    random = np.random.default_rng(seed)
    low = random.uniform(-20, 20, (count, 2))
    boxes = np.hstack([low, low + random.choice([0.0, 0.5, 20.0], (count, 1)) * random.uniform(0, 1, (count, 2))])
    filed = Filed(boxes)
    inside = np.flatnonzero(random.uniform(size=count) < 0.7)
    for thing in range(count):
        filed.add(thing)
    for thing in np.setdiff1d(np.arange(count), inside).tolist():
        filed.take(thing)
    place = shapely.Point(*random.uniform(-25, 25, 2))
    away = np.sort(shapely.distance(place, shapely.box(*boxes[inside].T)))
    found = list(filed.nearest(place.x, place.y))
    assert {thing for _, thing in found} <= set(inside.tolist())
    assert len(found) >= min(len(inside), 5)
    assert [mm for mm, _ in found] == pytest.approx(away[: len(found)].tolist())


@given(seeds, st.integers(1, 60))
def test_an_area_asked_piece_by_piece_gives_the_same_answers(seed, at_once):
    random = np.random.default_rng(seed)
    holes = shapely.union_all(
        shapely.buffer(shapely.points(random.uniform(0, 30, (40, 2))), random.uniform(0.5, 2, 40))
    )
    area, points = shapely.difference(shapely.box(0, 0, 30, 30), holes), random.uniform(-1, 31, (120, 2))
    near = np.zeros(len(points), dtype=bool)
    for some, piece in side_by_side(area, np.tile(points, 2), 1.0, at_once=at_once):
        near[some] = shapely.dwithin(piece, shapely.points(points[some]), 1.0)
    assert np.array_equal(near, shapely.dwithin(area, shapely.points(points), 1.0))


def test_a_plan_does_not_depend_on_how_much_is_asked_at_once(monkeypatch):
    _, whole = plan_of(clover(), Job())
    monkeypatch.setattr(engagement, "_SIDE_BY_SIDE", 50)
    monkeypatch.setattr(laying, "_SIDE_BY_SIDE", 2)
    _, parts = plan_of(clover(), Job())
    assert [operation.time_min for operation in parts.operations] == [op.time_min for op in whole.operations]
    assert all(a.equals_exact(b, 0.0) for a, b in zip(parts.paths, whole.paths, strict=True))


def test_the_regions_of_a_plan_go_with_it_and_wait_for_no_collector(monkeypatch):
    grounds = []

    class Watched(sequence.Ground):
        def __init__(self, *arguments, **more):
            super().__init__(*arguments, **more)
            grounds.append(weakref.ref(self))

    monkeypatch.setattr(sequence, "Ground", Watched)
    gc.disable()
    try:
        plan_of(clover(), Job())
        assert [ground() for ground in grounds] == [None]
    finally:
        gc.enable()
