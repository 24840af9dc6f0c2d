"""The whole sheet: temperatures within the metal's limits, times with their band, cautions that fit the job."""

import dataclasses
import json
import re

import pytest

from branded import solved, used
from stampwright.base import JobError
from stampwright.base.sources import SOURCES
from stampwright.catalogue import METALS, SUBSTRATES
from stampwright.heat.body import Body
from stampwright.job import Head, Rod, ThreadChoice
from stampwright.solid import plan_hole

PAIRS = [(metal, substrate) for metal in METALS for substrate in ("oak-white", "pine-white", "leather-veg-tanned")]
HEADS = (Head(), Head(width_mm=12.0, height_mm=12.0))
each_pair = pytest.mark.parametrize(("metal", "substrate"), PAIRS)


def _codes(sheet):
    return [caution.code for caution in sheet.cautions]


@each_pair
def test_no_metal_is_heated_above_its_limit_nor_any_work_above_its_band(metal, substrate):
    low_c, high_c = used(metal=metal, substrate=substrate).face_target_c
    assert low_c < high_c <= min(METALS[metal].not_above_c, SUBSTRATES[substrate].face_high_c)


@each_pair
def test_a_sheet_can_be_written_as_json_and_has_no_number_that_is_none(metal, substrate):
    sheet = used(metal=metal, substrate=substrate)
    assert json.dumps(dataclasses.asdict(sheet), allow_nan=False)
    assert "np." not in repr(sheet)


def test_a_brass_head_for_oak_works_between_hardwood_heat_and_the_annealing_of_brass():
    """399 to 454 °C for hardwood (common practice, no source), capped at 425 °C (C36000 data sheets)."""
    assert used().face_target_c == (399.0, 425.0)


def test_leather_is_branded_much_cooler_than_wood():
    assert used(substrate="leather-veg-tanned").face_target_c == (163.0, 204.0)


def test_aluminium_cannot_brand_oak_and_the_sheet_says_so_first():
    sheet = used(metal="aluminium-6061")
    assert _codes(sheet)[0] == "metal-too-cool"
    assert (sheet.prints_per_heat, sheet.char_depth_mm) == (0, 0.0)
    assert used(metal="aluminium-6061", substrate="leather-veg-tanned").prints_per_heat > 0


def test_copper_runs_cool_on_oak_and_the_sheet_says_so():
    assert _codes(used(metal="copper-c11000"))[0] == "metal-runs-cool"


def test_heat_up_lies_in_a_band_of_two_and_a_half():
    """0.10 to 0.25 of a hand torch enters a small part: common practice, no source."""
    sheet = used()
    soon_s, late_s = sheet.heat_up_range_s
    assert soon_s < sheet.heat_up_s < late_s
    assert late_s / soon_s == pytest.approx(2.5, rel=0.15)


def test_the_time_is_that_of_a_balance_of_the_whole_block():
    """Own solution for 38 x 28 x 19 mm: 171.6 g, 20 216 mm³, 4636 mm², 0.15 of 1916 W, to 425 °C."""
    head = Body(0.17163, 380.0, 4.636e-3, 2.0216e-5, 115.0, 0.6)
    heat_up_s, _ = solved(head, 0.15 * 1915.8, 20.0, until_c=425.0)
    assert used().heat_up_s == pytest.approx(heat_up_s, rel=1e-3)


def test_the_energy_covers_at_least_what_the_metal_holds():
    """38 x 28 x 19 mm of brass, by hand: 171.6 g x 380 J/(kg K) x 405 K = 26.4 kJ."""
    assert 26.4e3 < used().energy_j < 1.2 * 26.4e3


def test_a_stronger_torch_is_quicker():
    assert used(torch_w=3000.0).heat_up_s < used().heat_up_s < used(torch_w=1500.0).heat_up_s


def test_a_torch_too_weak_for_the_head_is_refused_with_the_one_that_will_do():
    with pytest.raises(JobError) as refused:
        used(torch_w=300.0)
    (reason,) = refused.value.refusals
    assert (reason.code, reason.pointer) == ("torch-too-weak", "/job/use/torch_w")
    enough_w = float(re.search(r"take one of (\d+) W", reason.detail)[1])
    assert used(torch_w=enough_w + 1).heat_up_range_s[1] < 3600


def test_a_flame_that_misses_the_head_is_refused():
    with pytest.raises(JobError, match="share-too-small at /job/use/torch_share"):
        used(torch_share=1e-9)


def test_a_large_head_gets_a_larger_torch_when_none_is_given():
    large = used(head=Head(width_mm=150.0, height_mm=100.0), land_mm=70.0)
    watts = float(re.search(r"Heat with (\d+) W", " ".join(large.steps))[1])
    assert watts > 1916
    assert large.heat_up_range_s[1] < 3600
    with pytest.raises(JobError, match="torch-too-weak"):  # and no larger than it must be, in steps of 100 W
        used(head=Head(width_mm=150.0, height_mm=100.0), land_mm=70.0, torch_w=watts - 100)


def test_a_press_is_advised_beyond_200_newtons_only():
    """Common practice, no source."""
    assert "arbor press" in " ".join(used(land_mm=20.0).steps)
    assert "arbor press" in " ".join(used(land_mm=14.2).steps)  # 1.0 MPa on 14.2² mm² is 202 N, on 14² 196 N
    assert "arbor press" not in " ".join(used(land_mm=14.0).steps)


def test_the_gap_between_flame_and_first_print_is_said():
    assert any("wait 10 s" in step for step in used().steps)


def test_the_step_for_the_joint_says_by_how_much_the_hole_outgrows_the_rod():
    """By hand: (20.5 − 12) µm/(m K) x 405 K x 6.35 mm = 0.022 mm; brass on brass opens by nothing."""
    assert "hot, the hole grows 0.022 mm wider than the rod" in used().steps[0]
    assert "grows" not in used(rod=Rod(material="brass-c36000")).steps[0]


def test_a_head_without_a_hole_has_no_rod_to_screw_home():
    sheet = used(with_hole=False)
    assert sheet.rod.engagement_mm is None
    assert not any("Screw the rod home" in step for step in sheet.steps)


def test_the_rod_is_held_by_the_full_thread_of_the_hole():
    hole = plan_hole(ThreadChoice(), head=Head(), relief_mm=1.5)
    assert used().rod.engagement_mm == hole.full_thread_mm


def test_uneven_heat_is_told_in_degrees_for_a_block_and_in_words_for_a_head_too_small_for_its_flame():
    """0.15 of 1916 W, by hand: 287.4 x 0.019 / (2 x 115 x 1064e-6) = 22.3 K; over 144e-6 m² it would be 165."""
    block, small = (next(step for step in used(head=head, land_mm=6.0).steps if "wait" in step) for head in HEADS)
    assert "may be 22 °C hotter" in block
    assert "runs far ahead" in small
    assert "°C" not in small


def test_lead_and_zinc_concern_brass_only():
    brass_only = {"leaded-brass", "zinc-fume", "hot-brass-is-weak"}
    assert brass_only <= set(_codes(used()))
    assert not brass_only & set(_codes(used(metal="steel-1018")))


def test_leather_has_its_own_caution():
    assert "chrome-leather" in _codes(used(substrate="leather-veg-tanned"))
    assert "chrome-leather" not in _codes(used())


@each_pair
def test_every_sheet_defers_to_local_codes_and_leaves_animals_out(metal, substrate):
    says = " ".join(caution.says for caution in used(metal=metal, substrate=substrate).cautions)
    assert "licensed practitioner take precedence" in says
    assert "not for animals" in says


def test_every_caution_says_where_it_is_from_in_full():
    references = {source.reference for source in SOURCES.values()}
    for caution in used().cautions:
        assert any(reference in caution.source for reference in references)


def test_the_same_job_gives_the_same_sheet():
    assert used(land_mm=17.3) == used(land_mm=17.3)
