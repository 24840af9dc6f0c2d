"""The plan keeps its promises: its grounds are the floor, its order is a machinist's, its reasons are said."""

import dataclasses
import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cut_faces import HOLE, clover, disc, face_of, plan_of
from stampwright.base import JobError
from stampwright.catalogue import CUTTERS, METALS
from stampwright.cutting import plan_cutting
from stampwright.cutting.plan import Operation
from stampwright.job import Head, Job, Limits, Machine, Relief
from stampwright.plane import Closings, medial_axis

RACK = tuple(CUTTERS[key] for key in ("flat-3.175", "flat-1.588", "flat-0.794"))


@pytest.fixture(scope="module")
def planned():
    return plan_of(clover())


def floor_of(face):
    return shapely.difference(face.head, face.ink)


def test_what_the_operations_clear_and_what_stays_uncut_are_the_floor(planned):
    face, plan = planned
    together = shapely.union_all([*plan.cleared, plan.left_uncut])
    assert shapely.area(shapely.symmetric_difference(together, floor_of(face))) < 1e-3


def test_no_ground_is_cleared_twice(planned):
    face, plan = planned
    assert sum(ground.area for ground in plan.cleared) + plan.left_uncut_mm2 == pytest.approx(
        floor_of(face).area, abs=1e-3
    )


def test_what_stays_uncut_is_the_closing_by_the_last_cutter_less_the_ink(planned):
    face, plan = planned
    closing = Closings(face.ink).closed(CUTTERS[plan.cutters[-1]].diameter_mm / 2)
    assert plan.left_uncut_mm2 == pytest.approx(closing.area - face.ink.area, abs=1e-3)


def test_a_square_counter_keeps_four_corners_less_a_disc():
    square = shapely.difference(shapely.box(-8, -8, 8, 8), shapely.box(-4, -4, 4, 4))
    _, plan = plan_of(square, Job(cutters=(CUTTERS["flat-2.0"],)))
    chords_mm2 = 2 * math.pi * 1.0 * 0.001  # the four arcs are flattened within 0.001 mm
    assert plan.left_uncut_mm2 == pytest.approx((4 - math.pi) * 1.0**2, abs=chords_mm2)  # plane geometry: (4 − π) r²


tenths = st.integers(-140, 140), st.integers(-90, 90), st.integers(6, 40)
blobs = st.lists(st.tuples(*tenths), min_size=1, max_size=7)


@settings(max_examples=25, deadline=None)
@given(blobs)
def test_the_grounds_are_the_floor_whatever_the_mark(discs):
    face, plan = plan_of(shapely.union_all([disc(x / 10, y / 10, radius / 10) for x, y, radius in discs]))
    together = shapely.union_all([*plan.cleared, plan.left_uncut])
    assert shapely.area(shapely.symmetric_difference(together, floor_of(face))) < 1e-3


def test_one_ground_for_each_operation_on_the_face(planned):
    _, plan = planned
    on_face = [operation for operation in plan.operations if operation.side == "face"]
    assert [operation.cleared_area_mm2 for operation in on_face] == pytest.approx(
        [ground.area for ground in plan.cleared]
    )


def test_the_back_comes_first_and_edges_last(planned):
    _, plan = planned
    kinds = [operation.kind for operation in plan.operations]
    assert kinds[:5] == ["face", "drill", "countersink", "tap", "face"]
    assert kinds[5] == "rough"
    assert kinds[-1] == "break_edge"
    assert kinds.index("wall") > max(i for i, kind in enumerate(kinds) if kind in {"rough", "rest_rough", "slot"})


def test_each_cutter_roughs_then_levels_its_floor_and_the_walls_come_after(planned):
    _, plan = planned
    kinds = [operation.kind for operation in plan.operations if operation.side == "face"]
    roughs = [i for i, kind in enumerate(kinds) if kind in {"rough", "rest_rough"}]
    assert [kinds[i + 1] for i in roughs] == ["floor"] * len(roughs)
    assert kinds.index("wall") > max(roughs) + 1
    assert kinds.index("bore") > kinds.index("wall")


def test_roughing_and_the_floor_pass_come_to_the_relief_together(planned):
    face, plan = planned
    for rough, floor in pairwise(plan.operations):
        if floor.kind == "floor":
            depths = [operation.passes * operation.axial_depth_mm for operation in (rough, floor)]
            assert depths[1] == pytest.approx(0.13)  # as much as on the walls: common practice, no source
            assert sum(depths) == pytest.approx(face.relief_mm)


def test_cutters_come_in_order_of_size_and_none_twice(planned):
    _, plan = planned
    sizes = [CUTTERS[key].diameter_mm for key in plan.cutters]
    assert sizes == sorted(set(sizes), reverse=True)


def test_every_cutter_of_the_rack_is_used_or_passed_over_with_a_reason():
    _, plan = plan_of(clover(), Job(cutters=tuple(CUTTERS.values())))
    assert set(plan.cutters) | set(plan.passed_over) == set(CUTTERS)
    assert not set(plan.cutters) & set(plan.passed_over)
    assert all(plan.passed_over.values())


def test_steps_count_from_one_and_every_operation_says_why(planned):
    _, plan = planned
    assert [operation.step for operation in plan.operations] == list(range(1, len(plan.operations) + 1))
    assert all(operation.why for operation in plan.operations)


def test_the_total_is_all_operations_and_the_changes_of_tool(planned):
    _, plan = planned
    _, hasty = plan_of(clover(), Job(machine=Machine(tool_change_min=0.0)), hole=None)
    assert hasty.total_min == pytest.approx(sum(operation.time_min for operation in hasty.operations))
    assert plan.total_min > sum(operation.time_min for operation in plan.operations)


def test_all_metal_of_the_relief_is_taken_once(planned):
    face, plan = planned
    in_floor = {"rough", "rest_rough", "floor", "slot", "wall", "bore"}
    removed = sum(operation.removed_mm3 for operation in plan.operations if operation.kind in in_floor)
    assert removed == pytest.approx((floor_of(face).area - plan.left_uncut_mm2) * face.relief_mm, rel=1e-6)


def test_numbers_leave_as_plain_python(planned):
    _, plan = planned
    numbers = [getattr(op, field.name) for op in plan.operations for field in dataclasses.fields(Operation)]
    assert {type(number) for number in numbers} <= {int, float, str, type(None)}


def test_a_gap_between_the_cutter_and_the_cutter_with_its_stock_is_a_slot(planned):
    _, plan = planned
    slot = next(operation for operation in plan.operations if operation.kind == "slot")
    # once down the middle of the gap between the bars, 0.9 x 15 mm; what stands on both sides goes with the walls
    assert slot.cleared_area_mm2 == pytest.approx(CUTTERS[slot.cutter].diameter_mm * 15, rel=0.02)
    assert slot.axial_depth_mm <= CUTTERS[slot.cutter].diameter_mm / 4


def test_a_round_counter_is_bored(planned):
    _, plan = planned
    bore = next(operation for operation in plan.operations if operation.kind == "bore")
    assert bore.cleared_area_mm2 == pytest.approx(math.pi * 0.6**2, rel=2e-3)


def test_the_last_cutter_is_the_largest_that_holds_the_limits():
    block = shapely.box(-10, -6, 10, 6)
    _, plan = plan_of(block)
    assert plan.cutters == ("flat-3.175",)
    assert all("finer than this mark asks" in plan.passed_over[key] for key in ("flat-1.588", "flat-0.794"))


def test_a_gap_that_a_small_cutter_opens_is_not_left_to_a_large_one():
    _, plan = plan_of(shapely.union(shapely.box(-10, -6, 0, 6), shapely.box(1.2, -6, 10, 6)))
    assert plan.cutters[-1] == "flat-0.794"


def test_where_no_cutter_holds_the_limits_the_smallest_is_last_and_says_so():
    comb = shapely.union_all([shapely.box(x, -8, x + 0.6, 8) for x in (-3.0, -1.9, -0.8, 0.3)])
    _, plan = plan_of(comb, Job(limits=Limits(faithful=1.0)))
    wall = next(operation for operation in plan.operations if operation.kind == "wall")
    assert wall.cutter == "flat-0.794"
    assert "the smallest of the rack" in wall.why


def test_a_cutter_that_does_not_earn_its_change_stays_in_its_drawer():
    _, plan = plan_of(clover(), Job(machine=Machine(tool_change_min=600.0)))
    assert len(plan.cutters) == 1
    assert "does not earn its change" in plan.passed_over["flat-3.175"]


def test_free_changes_let_more_cutters_in():
    _, plan = plan_of(clover(), Job(machine=Machine(tool_change_min=0.0)))
    assert plan.cutters == ("flat-3.175", "flat-1.588", "flat-0.794")


def test_a_cutter_that_does_not_reach_is_passed_over_with_both_numbers():
    _, plan = plan_of(clover(), relief_mm=2.5)
    assert plan.passed_over["flat-0.794"] == "its length of cut is 2.4 mm, the relief 2.5 mm"


def test_a_relief_that_no_cutter_reaches_is_refused_with_numbers():
    with pytest.raises(JobError, match=r"relief is 12 mm.* 9.5 mm") as caught:
        plan_of(clover(), relief_mm=12.0)
    refusal = caught.value.refusals[0]
    assert (refusal.code, refusal.pointer) == ("relief-out-of-reach", "/job/cutters")


def test_a_rack_without_a_flat_cutter_is_refused():
    with pytest.raises(JobError, match="no flat cutter"):
        plan_of(clover(), Job(cutters=(CUTTERS["pointed-20"],)))


def test_a_machine_that_holds_no_cutter_is_refused_by_the_name_of_the_check():
    with pytest.raises(JobError, match="force is") as caught:
        plan_of(clover(), Job(machine=Machine(max_force_n=0.2)))
    assert caught.value.refusals[0].pointer == "/job/machine"


def test_a_pointed_cutter_sharpens_only_where_the_flat_one_leaves_too_much():
    coarse = (CUTTERS["flat-2.0"], CUTTERS["pointed-20"])
    _, plan = plan_of(clover(), Job(cutters=coarse))
    _, without = plan_of(clover(), Job(cutters=coarse[:1]))
    assert plan.cutters[-1] == "pointed-20"
    assert plan.left_uncut_mm2 < without.left_uncut_mm2
    _, fine = plan_of(clover(), Job(cutters=(*RACK, CUTTERS["pointed-20"])))
    assert "sharper than this mark asks" in fine.passed_over["pointed-20"]


def test_a_pointed_cutter_is_taken_for_the_gap_that_only_it_opens():
    """Two lands 1 mm apart over 1 mm: no flat cutter of the rack passes, the cone is 0.63 mm wide at the face."""
    left = shapely.union(shapely.box(-15, -10, -2, 10), shapely.box(-2, -0.5, -0.5, 0.5))
    lands = shapely.union(left, shapely.affinity.scale(left, -1, 1, origin=(0, 0)))
    rack = (*RACK[:2], CUTTERS["pointed-20"])
    _, plan = plan_of(lands, Job(cutters=rack))
    assert plan.cutters == ("flat-3.175", "pointed-20")  # the second flat one would open nothing either
    assert not plan.left_uncut.intersects(shapely.box(-0.4, -0.4, 0.4, 0.4))
    assert "it opens gaps that flat-3.175 leaves shut" in next(o.why for o in plan.operations if o.kind == "corner")


def test_a_pointed_cutter_rises_where_a_gap_is_too_narrow_for_full_depth():
    """Two bars 0.4 mm apart: a groove as long as they are, of the section (w² − tip²) / 4 tan(half angle)."""
    bars = shapely.union(shapely.box(6, -10, 8, 10), shapely.box(8.4, -10, 10.4, 10))
    square = shapely.difference(shapely.box(-12, -6, 0, 6), shapely.box(-10, -4, -2, 4))
    rack = (CUTTERS["flat-2.0"], CUTTERS["pointed-20"])
    _, plan = plan_of(shapely.union(bars, square), Job(cutters=rack))
    on_face = [operation for operation in plan.operations if operation.side == "face"]
    step, path = next((o, p) for o, p in zip(on_face, plan.paths, strict=True) if o.kind == "corner")
    middle = shapely.box(8.19, -9.9, 8.21, 9.9)
    assert shapely.length(shapely.intersection(path, middle)) == pytest.approx(19.8, abs=0.1)
    section_mm2 = (0.4**2 - 0.1**2) / (4 * math.tan(math.radians(10)))
    beside_mm3 = plan.cleared[-2].area * 1.5 / 2
    assert step.removed_mm3 - beside_mm3 == pytest.approx(20 * section_mm2, rel=0.03)
    assert "8 mm² of gaps too narrow" in step.why


def _bars_apart(gap_mm):
    """Two bars so far apart, and a slot wide enough for every cutter."""
    return shapely.union_all([shapely.box(6 + x, -10, 8 + x, 10) for x in (0, 2 + gap_mm, 7)])


@pytest.mark.parametrize("rack", [("flat-0.794", "pointed-60"), ("flat-0.794", "pointed-20")], ids=["wide", "fine"])
def test_a_pointed_cutter_earns_its_change_by_a_groove_where_flat_ones_leave_a_gap_shut(rack):
    """0.7 mm apart: a flat one of 0.794 mm does not pass, a cone of 60° goes 0.52 mm deep, one of 20° to the floor."""
    _, plan = plan_of(_bars_apart(0.7), Job(cutters=tuple(CUTTERS[key] for key in rack)))
    step = next(o for o in plan.operations if o.kind == "corner")
    assert (step.cutter, plan.cutters) == (rack[1], rack)
    if rack[1] == "pointed-60":
        half_deg, tip_mm = CUTTERS[rack[1]].half_angle_deg, CUTTERS[rack[1]].tip_mm
        section_mm2 = (0.7**2 - tip_mm**2) / (4 * math.tan(math.radians(half_deg)))
        assert step.removed_mm3 == pytest.approx(20 * section_mm2, rel=0.05)
        assert step.cleared_area_mm2 == 0
        assert "14 mm² of gaps too narrow for full depth, so that their walls do not print as one" in step.why
        assert plan.left_uncut_mm2 == plan.left_by_flats.area


def test_a_groove_too_shallow_to_keep_walls_apart_is_not_cut():
    """0.6 mm apart a cone of 60° goes 0.43 mm deep."""
    rack = ("flat-0.794", "pointed-60")
    _, plan = plan_of(_bars_apart(0.6), Job(cutters=tuple(CUTTERS[key] for key in rack)))
    assert plan.cutters == rack[:1]
    assert "its cone has a radius of" in plan.passed_over["pointed-60"]


def test_sloping_walls_are_said_to_want_a_cutter_that_is_not_planned():
    _, sloping = plan_of(clover(), Job(relief=Relief(draft_deg=10.0)))
    _, upright = plan_of(clover())
    (said,) = [caution.says for caution in sloping.cautions if caution.code == "draft"]
    assert "the cone of a pointed cutter is not modelled beside sloping walls" in said
    assert "these operations alone do not make it" in said
    assert "draft" not in {caution.code for caution in upright.cautions}


def test_a_head_without_a_hole_is_not_drilled():
    _, plan = plan_of(clover(), hole=None)
    assert plan.thread is None
    assert not {"drill", "tap"} & {operation.kind for operation in plan.operations}
    assert "tapping" not in {caution.code for caution in plan.cautions}


def test_the_same_face_gives_the_same_plan():
    first, second = plan_of(clover())[1], plan_of(clover())[1]
    assert first.operations == second.operations
    assert shapely.equals_exact(first.left_uncut, second.left_uncut)


def test_a_round_head_is_planned_from_its_round_edge():
    head = disc(0, 0, 20)
    ink = shapely.difference(disc(0, 0, 15), disc(0, 0, 12))
    job = Job(head=Head(shape="round", width_mm=40, height_mm=40, corner_radius_mm=0))
    face = face_of(ink, head=head)
    plan = plan_cutting(
        face, job, hole=None, metal=METALS[job.metal], axis=medial_axis(face.ink), closings=Closings(face.ink)
    )
    assert sum(ground.area for ground in plan.cleared) + plan.left_uncut_mm2 == pytest.approx(
        floor_of(face).area, abs=1e-3
    )
    skims = [operation for operation in plan.operations if operation.kind == "face"]
    assert sum(skim.removed_mm3 for skim in skims) == pytest.approx(math.pi / 4 * 41**2 * 1.0)


def test_the_hole_of_the_plan_is_the_hole_of_the_solid(planned):
    _, plan = planned
    assert (plan.thread.drilled_mm, plan.thread.full_thread_mm) == (HOLE.drilled_mm, HOLE.full_thread_mm)
