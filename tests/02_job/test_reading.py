"""A job is read as it is written: strict numbers, one unit, every fault at once with its place."""

from __future__ import annotations

import math

import pytest

from stampwright.base import JobError
from stampwright.catalogue import CUTTERS, METALS, SUBSTRATES, THREADS
from stampwright.job import Job, ThreadChoice, read_job

OWN_CUTTER = {
    "key": "own-1",
    "shape": "flat",
    "diameter": 1.2,
    "flutes": 2,
    "length_of_cut": 4,
    "shank": 3,
    "overhang": 12,
}


def faults(job):
    with pytest.raises(JobError) as caught:
        read_job(job)
    return {(refusal.pointer, refusal.code) for refusal in caught.value.refusals}


def test_an_empty_job_is_the_sensible_default():
    assert read_job({}) == Job()


def test_a_job_in_inches_is_the_same_job_in_millimetres():
    in_inches = {
        "units": "in",
        "head": {"width": 1.5, "height": 1},
        "machine": {"max_feed": 60},
        "limits": {"land": 0.02},
    }
    # 25.4 mm an inch, exact by the yard and pound agreement of 1959: 38.1, 25.4, 1524 and 0.508
    in_mm = {"head": {"width": 38.1, "height": 25.4}, "machine": {"max_feed": 1524}, "limits": {"land": 0.508}}
    assert read_job(in_inches) == read_job(in_mm)


def test_inches_reach_the_callers_own_cutters_and_the_fit():
    small = OWN_CUTTER | {"diameter": 0.05, "length_of_cut": 0.2, "shank": 0.125, "overhang": 0.5}
    job = read_job({"units": "in", "cutters": [small], "placement": {"fit": {"width": 1}}})
    assert (job.cutters[0].diameter_mm, job.cutters[0].shank_mm) == (1.27, 3.175)
    assert (job.placement.fit, job.placement.width_mm) == ("sized", 25.4)


def test_inches_leave_angles_powers_forces_and_times_alone():
    job = read_job({"units": "in", "placement": {"turn_deg": 10}, "machine": {"max_force_n": 20, "max_rpm": 9000}})
    assert (job.placement.turn_deg, job.machine.max_force_n, job.machine.max_rpm) == (10.0, 20.0, 9000.0)


def test_a_round_head_is_as_wide_as_high():
    head = read_job({"head": {"shape": "round", "diameter": 40}}).head
    assert (head.width_mm, head.height_mm, head.corner_radius_mm) == (40.0, 40.0, 0.0)


def test_no_hole_is_asked_for_with_null():
    assert read_job({"thread": None}).thread is None
    assert read_job({"thread": {"size": "M6x1"}}).thread == ThreadChoice("M6x1", "bottoming")


@pytest.mark.parametrize("key", METALS)
def test_every_metal_of_the_catalogue_can_be_asked_for(key):
    assert read_job({"metal": key}).metal == key


def test_the_catalogues_own_keys_are_understood():
    job = read_job({"cutters": list(CUTTERS), "substrate": list(SUBSTRATES)[-1], "thread": {"size": list(THREADS)[-1]}})
    assert [cutter.key for cutter in job.cutters] == list(CUTTERS)


@pytest.mark.parametrize("value", ["40", True, None, [], {}, "", "nan"])
def test_a_number_is_a_number(value):
    assert faults({"head": {"width": value}}) == {("/job/head/width", "wrong-type")}


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 10**400])
def test_a_number_is_finite(value):
    assert faults({"head": {"width": value}}) == {("/job/head/width", "not-finite")}


@pytest.mark.parametrize("value", [0, -1, 500.0001, 1e300])
def test_a_head_has_a_size_that_a_mill_can_hold(value):
    assert faults({"head": {"width": value}}) == {("/job/head/width", "out-of-range")}


def test_the_largest_that_is_allowed_is_allowed():
    job = read_job({"head": {"width": 500}, "use": {"rod": {"material": "s" * 64}}})
    assert (job.head.width_mm, job.use.rod.material) == (500.0, "s" * 64)


def test_corners_may_be_as_round_as_half_the_head():
    assert read_job({"head": {"width": 10, "height": 12, "corner_radius": 5}}).head.corner_radius_mm == 5.0
    assert faults({"head": {"width": 10, "height": 12, "corner_radius": 5.01}}) == {
        ("/job/head/corner_radius", "contradiction")
    }


def test_straight_walls_may_be_asked_for():
    assert read_job({"relief": {"draft_deg": 0}}).relief.draft_deg == 0.0


def test_a_count_is_whole_however_it_is_written():
    assert read_job({"cutters": [OWN_CUTTER | {"flutes": 3.0}]}).cutters[0].flutes == 3
    assert faults({"cutters": [OWN_CUTTER | {"flutes": 2.5}]}) == {("/job/cutters/0/flutes", "not-whole")}


@pytest.mark.parametrize("value", [0, 1, "true", None])
def test_a_flag_is_true_or_false(value):
    assert faults({"placement": {"reverse": value}}) == {("/job/placement/reverse", "wrong-type")}


def test_unknown_fields_are_refused_by_name_at_every_depth():
    job = {"colour": 1, "head": {"depth": 3}, "use": {"rod": {"grip/end": 1}}, "cutters": [OWN_CUTTER | {"teeth": 2}]}
    assert faults(job) == {
        ("/job/colour", "unknown-field"),
        ("/job/head/depth", "unknown-field"),
        ("/job/use/rod/grip~1end", "unknown-field"),  # RFC 6901, section 3: / is written ~1
        ("/job/cutters/0/teeth", "unknown-field"),
    }


def test_all_faults_are_told_at_once():
    job = {"units": "cm", "metal": "tin", "head": {"width": "40"}, "relief": {"draft_deg": 46}, "cutters": ["saw"]}
    assert {pointer for pointer, _ in faults(job)} == {
        "/job/units",
        "/job/metal",
        "/job/head/width",
        "/job/relief/draft_deg",
        "/job/cutters/0",
    }


def test_an_unknown_metal_is_told_what_there_is():
    with pytest.raises(JobError, match="brass-c36000"):
        read_job({"metal": "Brass"})


@pytest.mark.parametrize("name", OWN_CUTTER)
def test_a_cutter_of_ones_own_needs_every_measure(name):
    cutter = {field: value for field, value in OWN_CUTTER.items() if field != name}
    assert faults({"cutters": [cutter]}) == {(f"/job/cutters/0/{name}", "missing")}


CONTRADICTIONS = [
    ({"head": {"shape": "round"}}, "/job/head/diameter", "missing"),
    ({"head": {"shape": "round", "diameter": 40, "width": 40}}, "/job/head/width", "contradiction"),
    ({"head": {"diameter": 40}}, "/job/head/diameter", "contradiction"),
    ({"head": {"width": 10, "corner_radius": 6}}, "/job/head/corner_radius", "contradiction"),
    ({"head": {"edge_break": 0.01}}, "/job/head/edge_break", "out-of-range"),
    ({"head": {"edge_break": 11}}, "/job/head/edge_break", "out-of-range"),
    ({"placement": {"fit": {"width": 10, "height": 10}}}, "/job/placement/fit", "contradiction"),
    ({"placement": {"fit": {}}}, "/job/placement/fit", "contradiction"),
    ({"placement": {"fit": {"width": 0}}}, "/job/placement/fit/width", "out-of-range"),
    ({"placement": {"fit": "fill"}}, "/job/placement/fit", "not-offered"),
    ({"placement": {"margin": 14}}, "/job/placement/margin", "contradiction"),
    ({"relief": {"height": 19}}, "/job/relief/height", "contradiction"),
    ({"relief": {"height": 0.009}}, "/job/relief/height", "out-of-range"),
    ({"cutters": []}, "/job/cutters", "out-of-range"),
    ({"cutters": ["flat-3.175", "flat-3.175"]}, "/job/cutters/1", "duplicate-cutter"),
    ({"cutters": [OWN_CUTTER | {"overhang": 3}]}, "/job/cutters/0/overhang", "contradiction"),
    ({"cutters": [OWN_CUTTER | {"tip": 0.1}]}, "/job/cutters/0/tip", "contradiction"),
    ({"cutters": [OWN_CUTTER | {"shape": "pointed"}]}, "/job/cutters/0/half_angle_deg", "missing"),
    ({"cutters": [3]}, "/job/cutters/0", "wrong-type"),
    ({"limits": {"faithful": 1.01}}, "/job/limits/faithful", "out-of-range"),
    ({"rates": {"currency": "euro"}}, "/job/rates/currency", "wrong-form"),
    ({"rates": {"currency": "EUR\n"}}, "/job/rates/currency", "wrong-form"),
    ({"use": {"rod": {"material": "s" * 65}}}, "/job/use/rod/material", "out-of-range"),
    ({"artwork": {"ignore": ["Text!"]}}, "/job/artwork/ignore/0", "wrong-form"),
    ([], "/job", "wrong-type"),
]


@pytest.mark.parametrize(("job", "pointer", "code"), CONTRADICTIONS)
def test_a_job_that_contradicts_itself_is_told_where(job, pointer, code):
    assert faults(job) == {(pointer, code)}


def test_refusals_come_in_the_same_order_each_time():
    with pytest.raises(JobError) as caught:
        read_job(dict.fromkeys("zyxwv", 1))
    assert [refusal.pointer for refusal in caught.value.refusals] == ["/job/v", "/job/w", "/job/x", "/job/y", "/job/z"]
