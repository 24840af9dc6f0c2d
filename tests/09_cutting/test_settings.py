"""How cutters run: against common practice on a light mill, and against the limits themselves."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cut_faces import clover, plan_of
from stampwright.catalogue import CUTTERS, METALS
from stampwright.cutting import milling
from stampwright.cutting.plan import LOAD_BAND
from stampwright.cutting.settings import RUB_MM, Bench, Overload, finishing, roughing, settle, slotting
from stampwright.job import Job, Machine

BRASS = METALS["brass-c36000"]
LIGHT_MILL = Machine(max_rpm=10_000, max_feed_mm_per_min=305, max_force_n=20)

# A small brass head, relief 1.27 mm, on a light desktop mill: common practice, no source.
# cutter, spindle rpm, feed mm/min, radial engagement mm, axial depth mm
PRACTICE = [
    ("flat-3.175", 10_000, 305, 0.51, 0.64),
    ("flat-1.588", 10_000, 305, 0.25, 0.51),
    ("flat-0.794", 10_000, 254, 0.25, 0.46),
]


def within_a_factor_of_two(value, of):
    return of / 2 <= value <= 2 * of


def stub(key):
    """The cutter in its short form, length of cut 2 D: the choice for a relief of 1.27 mm."""
    return dataclasses.replace(CUTTERS[key], length_of_cut_mm=2 * CUTTERS[key].diameter_mm)


@pytest.mark.parametrize(("key", "rpm", "feed", "ae_mm", "ap_mm"), PRACTICE)
def test_a_light_mill_runs_within_a_factor_of_two_of_common_practice(key, rpm, feed, ae_mm, ap_mm):
    setting = settle(stub(key), roughing(1.27), metal=BRASS, machine=LIGHT_MILL)
    assert within_a_factor_of_two(setting.rpm, rpm)
    assert within_a_factor_of_two(setting.feed_mm_per_min, feed)
    assert within_a_factor_of_two(setting.ae_mm, ae_mm)
    assert within_a_factor_of_two(setting.ap_mm, ap_mm)
    assert within_a_factor_of_two(setting.removal_mm3_per_min, ae_mm * ap_mm * feed)


@pytest.mark.parametrize(("key", "rpm", "feed", "ae_mm", "ap_mm"), PRACTICE)
def test_a_common_long_cutter_differs_from_practice_in_removal_only_and_for_stress(key, rpm, feed, ae_mm, ap_mm):
    setting = settle(CUTTERS[key], roughing(1.27), metal=BRASS, machine=LIGHT_MILL)
    pairs = [(setting.rpm, rpm), (setting.feed_mm_per_min, feed), (setting.ae_mm, ae_mm), (setting.ap_mm, ap_mm)]
    assert all(within_a_factor_of_two(ours, theirs) for ours, theirs in pairs)
    slow = not within_a_factor_of_two(setting.removal_mm3_per_min, ae_mm * ap_mm * feed)
    assert not slow or "stress" in setting.cut_down_by


def test_the_plan_says_why_a_long_cutter_differs_from_practice_and_which_would_not():
    """Practice removes 254 x 0.25 x 0.46 mm³/min with 0.794 mm; with edges of 3 D stress allows 0.37 of it."""
    job = Job(machine=LIGHT_MILL)
    _, plan = plan_of(clover(), job, relief_mm=1.27)
    rest = next(op for op in plan.operations if op.kind == "rest_rough" and op.cutter == "flat-0.794")
    removal = rest.feed_mm_per_min * rest.radial_engagement_mm * rest.axial_depth_mm
    assert removal < 254 * 0.25 * 0.46 / 2
    assert "held back by stress in the cutter" in rest.why
    assert "its edges are 2.4 mm long: the same cutter with 1.59 mm would bear" in rest.why


def test_the_band_of_loads_holds_the_published_cutting_forces_of_brass():
    """Energy per volume at a chip of 0.25 mm: 0.68 to 2.27 kN/mm² over four tables (Machinery's Handbook, from memory,
    a data handbook, a textbook table); ours by Kienzle is 1.02."""
    ours = milling.specific_force_n_mm2(0.25, kc11_n_mm2=BRASS.kc11_n_mm2, mc=BRASS.mc) / 1000
    low, high = LOAD_BAND
    assert ours == pytest.approx(1.02, abs=0.01)
    assert low * ours < 0.68
    assert high * ours > 2.27


machines = st.builds(
    Machine,
    max_rpm=st.floats(4000, 60_000),
    max_feed_mm_per_min=st.floats(150, 4000),
    spindle_power_w=st.floats(20, 1000),
    max_force_n=st.floats(2, 200),
    runout_mm=st.floats(0, 0.02),
)
duties = st.sampled_from([roughing(1.0), slotting(1.0, width_mm=0.5), finishing(1.0)])
flats = st.sampled_from([cutter for cutter in CUTTERS.values() if cutter.shape == "flat"])


@given(flats, duties, machines, st.sampled_from(sorted(METALS)))
def test_no_setting_breaks_a_limit(cutter, duty, machine, metal):
    setting = settle(cutter, duty, metal=METALS[metal], machine=machine)
    if isinstance(setting, Overload):
        assert setting.check in {"force", "power", "deflection", "stress", "rubbing"}
        return
    assert setting.rpm <= machine.max_rpm
    assert setting.feed_mm_per_min <= machine.max_feed_mm_per_min * (1 + 1e-9)
    assert setting.force_n <= machine.max_force_n
    assert setting.power_w <= machine.spindle_power_w
    assert setting.deflection_mm <= duty.bend_mm
    assert setting.stress_mpa <= milling.STRESS_LIMIT_MPA
    assert setting.chip_mm >= RUB_MM * (1 - 1e-6)
    assert setting.passes * setting.ap_mm == pytest.approx(duty.depth_mm)


@given(flats, duties, machines, st.sampled_from(sorted(METALS)))
def test_no_cut_that_holds_removes_more_than_the_one_chosen(cutter, duty, machine, metal):
    """Every number of passes, stepover and feed, one by one."""
    bench = Bench(cutter, duty, METALS[metal], machine)
    removed = [
        run.removal_mm3_per_min
        for passes in bench.pass_counts()
        for width in map(bench.width, bench.stepovers())
        for steps in width.feeds
        if not bench.exceeded(run := bench.run(passes, width, width.slowed_mm(steps)))
    ]
    chosen = settle(cutter, duty, metal=METALS[metal], machine=machine)
    if isinstance(chosen, Overload):
        assert chosen.check == "length_of_cut" or not removed
    else:
        assert chosen.removal_mm3_per_min == max(removed)


@given(flats, st.floats(3, 50), st.floats(1.1, 4))
def test_a_stronger_machine_never_removes_less(cutter, force, times):
    weak, strong = (Machine(max_force_n=bears) for bears in (force, force * times))
    slow = settle(cutter, roughing(1.0), metal=BRASS, machine=weak)
    fast = settle(cutter, roughing(1.0), metal=BRASS, machine=strong)
    assert isinstance(slow, Overload) or fast.removal_mm3_per_min >= slow.removal_mm3_per_min * (1 - 1e-9)


def test_what_held_a_setting_back_is_named():
    setting = settle(CUTTERS["flat-3.175"], roughing(1.27), metal=BRASS, machine=LIGHT_MILL)
    assert set(setting.cut_down_by) >= {"feed", "force"}


def test_a_slot_goes_half_as_deep():
    strong = Machine(max_force_n=1000)
    cutter = CUTTERS["flat-3.175"]
    side = settle(cutter, roughing(1.5), metal=BRASS, machine=strong)
    slot = settle(cutter, slotting(1.5, width_mm=cutter.diameter_mm), metal=BRASS, machine=strong)
    assert slot.ap_mm <= side.ap_mm
    assert slot.ap_mm <= cutter.diameter_mm / 4


@pytest.mark.parametrize(
    ("machine", "check"),
    [
        (Machine(max_force_n=0.5), "force"),
        (Machine(spindle_power_w=0.01), "power"),
        (Machine(max_feed_mm_per_min=20), "rubbing"),
    ],
)
def test_a_cutter_that_cannot_be_held_fails_by_the_name_of_the_check(machine, check):
    failed = settle(CUTTERS["flat-0.794"], roughing(1.27), metal=BRASS, machine=machine)
    assert isinstance(failed, Overload)
    assert failed.check == check


def test_a_thin_cutter_hung_far_out_fails_by_bending():
    whip = dataclasses.replace(CUTTERS["flat-0.5"], overhang_mm=60.0, shank_mm=0.5)
    assert settle(whip, roughing(1.27), metal=BRASS, machine=Machine()).check == "deflection"


def test_a_relief_beyond_the_length_of_cut_fails_with_both_numbers():
    failed = settle(CUTTERS["flat-0.4"], roughing(1.3), metal=BRASS, machine=Machine())
    assert failed.check == "length_of_cut"
    assert "1.2 mm" in failed.says
    assert "1.3 mm" in failed.says


def test_runout_costs_a_small_cutter_more():
    true, wobbling = Machine(runout_mm=0.0), Machine(runout_mm=0.01)
    for key in ("flat-0.5", "flat-0.4"):
        rates = [
            settle(CUTTERS[key], roughing(1.0), metal=BRASS, machine=m).removal_mm3_per_min for m in (true, wobbling)
        ]
        assert rates[1] < 0.8 * rates[0]
