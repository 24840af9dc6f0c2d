"""The block, the thread, the dangers, the quote."""

import dataclasses
import math

import pytest
import shapely

from cut_faces import HOLE, clover, plan_of
from stampwright.catalogue import CUTTERS, METALS
from stampwright.cutting import price_of
from stampwright.cutting.blank import ALLOWANCE_MM, blank_for
from stampwright.cutting.hole import thread_plan
from stampwright.job import Head, Job, Rates

BRASS = METALS["brass-c36000"]


@pytest.fixture(scope="module")
def plan():
    return plan_of(clover())[1]


def test_the_block_is_sawn_with_an_allowance_and_weighed():
    blank = blank_for(Head(), metal=BRASS, relief_mm=1.5, hole=HOLE)
    assert (blank.saw_width_mm, blank.saw_height_mm, blank.saw_thickness_mm) == (39, 29, 20)
    assert blank.mass_g == pytest.approx(3.9 * 2.9 * 2.0 * 8.49)  # cm³ x g/cm³, density of C36000


def test_a_round_head_is_a_slice_of_bar():
    head = Head(shape="round", width_mm=40, height_mm=40, corner_radius_mm=0)
    blank = blank_for(head, metal=BRASS, relief_mm=1.5, hole=None)
    assert blank.mass_g == pytest.approx(math.pi / 4 * 4.1**2 * 2.0 * 8.49)
    assert "bored to size" in blank.holding


def test_both_sides_are_faced_by_half_the_allowance(plan):
    skims = [operation for operation in plan.operations if operation.kind == "face"]
    assert [skim.side for skim in skims] == ["back", "face"]
    assert sum(skim.removed_mm3 for skim in skims) == pytest.approx(39 * 29 * ALLOWANCE_MM)


def test_facing_passes_over_all_of_the_sawn_side(plan):
    steps = [operation for operation in plan.operations if operation.side == "face"]
    skim, ways = next((step, way) for step, way in zip(steps, plan.paths, strict=False) if step.kind == "face")
    swept = shapely.buffer(ways, CUTTERS[skim.cutter].diameter_mm / 2)
    assert swept.covers(shapely.box(-39 / 2, -29 / 2, 39 / 2, 29 / 2))


def test_the_checklist_does_the_back_before_the_front(plan):
    text = " / ".join(plan.blank.checklist)
    assert text.index("drill #7 (5.105 mm)") < text.index("Turn the block over") < text.index("rough to 1.5 mm")


def test_the_checklist_writes_a_size_with_the_sign_of_multiplication(plan):
    assert any("38 × 28 mm" in line for line in plan.blank.checklist)


def test_an_edge_that_the_job_wants_broken_is_a_step_at_the_back_and_a_line_of_the_checklist():
    plan = plan_of(clover(), Job(head=Head(edge_break_mm=0.5)))[1]
    step = next(
        operation for operation in plan.operations if operation.kind == "break_edge" and operation.side == "back"
    )
    assert step.time_min > 1
    assert any("round the back, 0.5 mm at 45°" in line for line in plan.blank.checklist)
    assert "15.0 mm are gripped" in plan.blank.holding  # 19 less relief 1.5, 2 free, 0.5 of chamfer


def test_a_thin_head_warns_of_its_short_grip():
    blank = blank_for(Head(thickness_mm=6), metal=BRASS, relief_mm=1.5, hole=None)
    assert "less than half" in blank.holding


def test_a_quarter_inch_thread_as_the_tap_charts_have_it():
    """Internal minor 0.1959 in (UNC class 2B charts); #7 drill 75.4 % of 1.299 P (basis of Machinery's Handbook)."""
    thread = thread_plan(HOLE)
    assert thread.internal_minor_mm == pytest.approx(0.1959 * 25.4, abs=0.002)
    assert thread.percent_of_thread == pytest.approx(75.4, abs=0.1)
    assert thread.engagement_diameters == pytest.approx(1.5)


def test_leaded_brass_warns_of_lead_and_steel_does_not(plan):
    _, steel = plan_of(clover(), Job(metal="steel-1018"))
    assert "leaded-brass" in {caution.code for caution in plan.cautions}
    assert "leaded-brass" not in {caution.code for caution in steel.cautions}


def test_every_caution_has_a_source_and_local_codes_come_first(plan):
    assert all(caution.source for caution in plan.cautions)
    assert any("take precedence" in caution.says for caution in plan.cautions)


def test_the_quote_is_the_sum_of_its_rounded_lines(plan):
    price = price_of(plan, Rates(currency="EUR", per_hour=45, setup=20, metal_per_kg=14))
    metal, setup, work = price.items
    assert metal.amount == round(0.001 * plan.blank.mass_g * 14, 2)
    assert setup.amount == 20
    assert work.amount == pytest.approx(plan.total_min * 0.75, abs=0.005)
    assert price.total == pytest.approx(metal.amount + setup.amount + work.amount, abs=1e-9)


def test_a_quote_rounds_half_a_cent_up():
    halves = dataclasses.replace(plan_of(clover())[1], total_min=30.0)
    assert price_of(halves, Rates(per_hour=0.01, setup=0, metal_per_kg=0)).total == 0.01


def test_no_rates_no_price(plan):
    assert price_of(plan, None) is None
