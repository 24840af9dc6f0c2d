"""The rod against the textbook fin, and its bare length against scipy's solver of the boundary value problem."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy.integrate import solve_bvp
from scipy.special import erfc

from branded import BRASS, used
from stampwright.base import JobError
from stampwright.catalogue import METALS, THREADS
from stampwright.heat.fin import BRIGHT, Fin, arrival_s
from stampwright.heat.rod import RODS, loosening_mm, plan_rod, safe_length_mm
from stampwright.job import Rod

STAINLESS = Fin(6.35, 16.2)


def _grip_c(fin, root_c, length_mm):
    """Independent: k d/4 T'' = h (T − 20) + ε σ (T⁴ − 293.15⁴), T(0) = root, T'(L) = 0, by collocation."""
    over = 4 / (fin.conductivity_w_mk * fin.diameter_mm / 1000)

    def slope(_, t):
        return np.vstack([t[1], over * (10 * t[0] + BRIGHT * 5.670374e-8 * ((t[0] + 293.15) ** 4 - 293.15**4))])

    x = np.linspace(0, length_mm / 1000, 40)
    rise, m = root_c - 20, math.sqrt(over * 15)
    guess = np.vstack([rise * np.exp(-m * x), -m * rise * np.exp(-m * x)])
    solved = solve_bvp(slope, lambda a, b: np.array([a[0] - rise, b[1]]), x, guess, tol=1e-6)
    return float(solved.y[0, -1]) + 20


def _linear_mm(fin, tip_share):
    """Length at which an insulated end stands at that share of the root, with a film of 20 and nothing else."""
    return fin.bare_length_mm(400.0, grip_c=20 + 380 * tip_share, emissivity=0.0, film_w_m2k=20.0)


@pytest.mark.parametrize(("conductivity", "m", "share"), [(51.9, 15.580, 0.018667), (52.0, 15.565, 0.018751)])
def test_a_mild_steel_rod_cools_along_its_length_like_the_textbook_fin(conductivity, m, share):
    """Incropera and DeWitt, chapter 3.6, by hand: h 20, 0.3 m, tip over base 1/cosh(m L)."""
    fin = Fin(6.35, conductivity)
    assert fin.parameter_per_m == pytest.approx(m, abs=0.001)
    assert _linear_mm(fin, share) == pytest.approx(300.0, abs=0.05)


def test_that_rod_draws_ten_watts_from_a_hot_head():
    """By hand for a root of 400 °C: 9.73 W."""
    assert Fin(6.35, 51.9).drawn_w(400.0, length_mm=300.0) == pytest.approx(9.73, abs=0.01)


def test_a_stainless_rod_is_cool_within_a_hand_s_breadth():
    """By hand: m 27.887 /m, tip over base 4.653e-4 after 0.3 m, 48 °C after 93.5 mm of a long rod."""
    assert STAINLESS.parameter_per_m == pytest.approx(27.887, abs=0.003)
    assert _linear_mm(STAINLESS, 4.653e-4) == pytest.approx(300.0, abs=0.05)
    assert STAINLESS.endless_reach_mm(400.0, limit_c=48.0) == pytest.approx(93.5, abs=0.1)


# Where a very long rod of h 20 has fallen from 400 to 48 °C, quarter and three eighths of an inch [mm]: by hand.
REACH = {"stainless-304": (93.5, 114.5), "steel-1018": (167.6, 205.2), "brass-c36000": (249, 305)}


@pytest.mark.parametrize("material", REACH)
def test_heat_reaches_as_far_along_a_long_rod_as_worked_out_by_hand(material):
    reach = [Fin(d, METALS[material].conductivity_w_mk).endless_reach_mm(400.0, limit_c=48.0) for d in (6.35, 9.525)]
    assert reach == pytest.approx(REACH[material], rel=2e-3)


def test_heat_reaches_114_millimetres_of_mild_steel_in_a_minute():
    """Half space (Incropera and DeWitt, chapter 5.7): 4 sqrt(α t), 4 x 28.5 mm, where erfc(2) = 0.4678 % arrives."""
    seconds = arrival_s(4 * 28.534, diffusivity_mm2_s=13.57)
    assert seconds == pytest.approx(60, abs=0.1)
    assert erfc(4 * 28.534 / (2 * math.sqrt(13.57 * seconds))) == pytest.approx(0.004678, abs=1e-5)


@given(some.floats(4, 16), some.floats(14, 120), some.floats(150, 525), some.floats(60, 400))
def test_the_grip_is_as_warm_as_the_solver_of_the_rod_says(diameter_mm, conductivity, root_c, length_mm):
    fin = Fin(diameter_mm, conductivity)
    assert fin.grip_c(root_c, length_mm=length_mm) == pytest.approx(_grip_c(fin, root_c, length_mm), abs=0.3)


@given(some.floats(4, 16), some.sampled_from(list(RODS)), some.floats(163, 525))
def test_the_recommended_length_keeps_the_hand_below_the_limit_by_both_rules(diameter_mm, material, root_c):
    fin = Fin(diameter_mm, METALS[material].conductivity_w_mk)
    length_mm = safe_length_mm(fin, hot_c=root_c)
    assert length_mm >= 1.5 * fin.endless_reach_mm(root_c, limit_c=48.0)
    assert _grip_c(fin, root_c, length_mm) <= 48.0 + 0.1


@pytest.mark.parametrize("material", RODS)
def test_a_rod_is_chosen_from_thread_and_head(material):
    rod = used(rod=Rod(material=material)).rod
    assert rod.diameter_mm == THREADS["1/4-20 UNC"].major_mm
    assert rod.grip_c <= rod.touch_limit_c == 48.0
    assert f"{rod.bare_length_mm:g} mm of bare rod keeps the grip" in rod.says


def test_stainless_needs_little_more_than_half_the_length_of_mild_steel():
    """sqrt(16.2 / 52) = 0.56, by hand."""
    lengths = [used(rod=Rod(material=m)).rod.bare_length_mm for m in ("stainless-304", "steel-1018")]
    assert lengths[0] / lengths[1] == pytest.approx(0.56, abs=0.03)


def test_a_rod_that_is_too_short_is_told_so_with_the_length_that_would_do():
    rod = used(rod=Rod(bare_length_mm=120.0)).rod
    assert rod.bare_length_mm == 120.0
    assert rod.grip_c > 100
    assert "120 mm of bare rod is too short" in rod.says
    assert "Take 275 mm" in rod.says


def test_a_rod_thinner_than_its_thread_is_told_so():
    assert "5 mm is too thin for the thread 1/4-20 UNC" in used(rod=Rod(diameter_mm=5.0)).rod.says
    assert "too thin" not in used(rod=Rod(diameter_mm=6.35)).rod.says
    free = plan_rod(Rod(diameter_mm=5.0), thread=None, hole=None, hot_c=425.0)
    assert "too thin" not in free.says
    assert free.engagement_mm is None


def test_the_rod_says_how_long_the_grip_stays_cold():
    """Half space, 4 sqrt(α t) as above: (200 / 4)² / 14.06 mm²/s are 178 s; α = 52 / (7870 x 470), by hand."""
    says = used(rod=Rod(bare_length_mm=200.0)).rod.says
    assert "stays at room temperature for the first 3.0 min" in says


def test_a_rod_of_wood_is_refused_with_what_rods_are_made_of():
    with pytest.raises(JobError) as refused:
        used(rod=Rod(material="oak-white"))
    (reason,) = refused.value.refusals
    assert (reason.code, reason.pointer) == ("unknown-rod-material", "/job/use/rod/material")
    assert all(material in reason.detail for material in RODS)


def test_a_brass_head_works_loose_on_a_steel_rod_when_hot():
    """By hand: (20.5 − 12) µm/(m K) x 380 K x 6.35 mm = 0.02051 mm."""
    opened = loosening_mm(6.35, head=BRASS, rod=METALS["steel-1018"], warmer_by_k=380.0)
    assert opened == pytest.approx(0.02051, abs=1e-5)


def test_a_brass_rod_stays_as_tight_as_it_was():
    assert loosening_mm(6.35, head=BRASS, rod=BRASS, warmer_by_k=380.0) == 0.0


def test_a_quarter_inch_rod_is_screwed_into_a_bore_of_7_32_inch():
    """5.2 to 5.6 mm for a 1/4-20 thread in hardwood: common practice, no source."""
    rod = used().rod
    assert rod.handle_bore_mm == pytest.approx((5.2, 5.6), abs=0.05)
    assert rod.handle_bore_mm[0] < 7 / 32 * 25.4 < rod.handle_bore_mm[1]
    assert rod.handle_depth_mm == pytest.approx(8 * 6.35)
    assert "Bore the hardwood handle 5.2 to 5.6 mm wide and 51 mm deep, and cut its thread" in rod.says


def test_a_rod_thicker_than_its_thread_is_glued_in():
    """0.3 to 0.8 mm wider than the rod: common practice, no source."""
    rod = used(rod=Rod(diameter_mm=8.0)).rod
    assert rod.handle_bore_mm == pytest.approx((8.3, 8.8))
    assert "glue it in" in rod.says
