"""Many findings at once, the same answer each time, and marks of every shape."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import scale, translate

from faces import job_with, reviewed
from stampwright.base import SEVERITY_RANK

DOT = shapely.box(0, 0, 0.3, 0.3)


def dots(across, down):
    return shapely.MultiPolygon(
        [translate(DOT, i - across / 2, j - down / 2) for i in range(across) for j in range(down)]
    )


def test_of_ten_thousand_findings_the_worst_two_hundred_are_told_and_the_rest_counted():
    review = reviewed(dots(100, 50), job_with(head_mm=140.0), head_mm=140.0)
    told = [f.code for f in review.findings]
    assert len(told) == 200
    counted = {code: many + told.count(code) for code, many in review.findings_left_out.items()}
    assert counted["speck"] == counted["slender-land"] == 5000
    ranks = [SEVERITY_RANK[f.severity] for f in review.findings]
    assert ranks == sorted(ranks, reverse=True)


def test_few_findings_leave_none_out():
    assert reviewed(dots(3, 2)).findings_left_out == {}


def drawing(seed):
    random = np.random.default_rng(seed)
    strokes = [shapely.LineString(random.uniform(-9, 9, (4, 2))).buffer(random.uniform(0.1, 1)) for _ in range(4)]
    return shapely.union_all(strokes)


def test_the_same_face_gives_the_same_review():
    assert reviewed(drawing(3)) == reviewed(drawing(3))


@settings(max_examples=15)
@given(st.integers(0, 2**32 - 1))
def test_mirroring_a_face_mirrors_its_review(seed):
    here, there = reviewed(drawing(seed)), reviewed(scale(drawing(seed), -1, 1, origin=(0, 0)))
    assert there.verdict == here.verdict
    for a, b in zip(here.cutters, there.cutters, strict=True):
        assert abs(a.uncut_area_mm2 - b.uncut_area_mm2) < 1e-2
        assert abs(a.faithful_share - b.faithful_share) < 1e-3


@settings(max_examples=25)
@given(st.integers(0, 2**32 - 1))
def test_any_drawing_gets_plain_numbers_on_its_head(seed):
    review = reviewed(drawing(seed))
    for finding in review.findings:
        assert finding.at_mm is None or all(type(x) is float and abs(x) <= 30 for x in finding.at_mm)
        numbers = (finding.measured_mm, finding.limit_mm, finding.length_mm, finding.area_mm2, finding.angle_deg)
        assert all(n is None or (type(n) is float and np.isfinite(n)) for n in numbers)
        assert finding.says.endswith(".")
        assert finding.remedy.endswith(".")
