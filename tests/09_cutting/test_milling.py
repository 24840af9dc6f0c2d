"""Milling arithmetic against worked numbers, each worked by hand.

Formulas: Dietrich, Tschätsch, Praxis der Zerspanungstechnik, 2014; kc of leaded brass: VDI 3323 group 26; the
cantilever of any strength of materials.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from stampwright.cutting import milling

BRASS = {"kc11_n_mm2": 700.0, "mc": 0.27}


def test_a_1_mm_cutter_at_100_m_per_min_turns_31831_times():
    assert milling.spindle_rpm(100.0, 1.0) == pytest.approx(31_831, abs=1)


def test_an_eighth_inch_cutter_at_300_feet_per_min_turns_9167_times():
    speed = 300 * 12 * 25.4 / 1000
    assert milling.spindle_rpm(speed, 3.175) == pytest.approx(9167.3, abs=0.5)
    assert milling.cutting_speed_m_min(9167.3, 3.175) == pytest.approx(91.44, rel=1e-4)


def test_feed_and_removal_of_two_teeth():
    feed = milling.feed_mm_per_min(0.012, flutes=2, rpm=24_000)
    assert feed == pytest.approx(576)
    assert milling.removal_mm3_per_min(ae_mm=0.4, ap_mm=0.3, feed=feed) == pytest.approx(69.12)


def test_a_cut_of_a_tenth_of_the_diameter():
    assert math.degrees(milling.engagement_rad(0.10)) == pytest.approx(36.870, rel=1e-4)
    assert 0.020 * milling.chip_factor(0.10) == pytest.approx(0.012)
    assert milling.mean_chip_mm(0.020, ae_share=0.10) == pytest.approx(0.006216, rel=1e-3)


@pytest.mark.parametrize(
    ("ae_share", "mean", "greatest"),
    [(0.05, 0.22172, 0.43589), (0.25, 0.47746, 0.86603), (0.5, 0.63662, 1.0), (1.0, 0.63662, 1.0)],
)
def test_chip_over_feed_per_tooth(ae_share, mean, greatest):
    assert milling.mean_chip_mm(1.0, ae_share=ae_share) == pytest.approx(mean, rel=1e-3)
    assert milling.chip_factor(ae_share) == pytest.approx(greatest, rel=1e-3)


@pytest.mark.parametrize("ae_share", [0.05, 0.3, 0.49, 0.5, 0.8, 1.0])
def test_mean_and_greatest_chip_are_those_of_the_sine_along_the_arc(ae_share):
    arc = np.linspace(0, milling.engagement_rad(ae_share), 20_001)
    assert milling.mean_chip_mm(1.0, ae_share=ae_share) == pytest.approx(np.sin(arc).mean(), rel=1e-3)
    assert milling.chip_factor(ae_share) == pytest.approx(np.sin(arc).max(), rel=1e-6)


def test_specific_force_of_leaded_brass():
    assert milling.specific_force_n_mm2(0.006216, **BRASS) == pytest.approx(2759.6, abs=1)


def test_the_force_law_is_not_asked_about_chips_below_two_micrometres():
    assert milling.specific_force_n_mm2(0.0001, **BRASS) == milling.specific_force_n_mm2(0.002, **BRASS)


def test_a_light_side_cut_in_brass():
    feed = milling.feed_mm_per_min(0.020, flutes=2, rpm=24_000)
    removal = milling.removal_mm3_per_min(ae_mm=0.1, ap_mm=0.5, feed=feed)
    chip = milling.mean_chip_mm(0.020, ae_share=0.1)
    kc = milling.specific_force_n_mm2(chip, **BRASS)
    power = milling.power_w(removal, kc)
    assert (feed, removal) == pytest.approx((960, 48))
    assert power == pytest.approx(2.208, rel=1e-3)
    assert milling.torque_nmm(power, 24_000) == pytest.approx(0.878, rel=1e-3)
    assert milling.tooth_force_n(chip, ap_mm=0.5, kc=kc) == pytest.approx(8.577, rel=1e-3)
    assert milling.teeth_in_cut(2, ae_share=0.1) == pytest.approx(0.2048, rel=1e-3)


def test_a_slot_in_brass():
    chip = milling.mean_chip_mm(0.01, ae_share=1.0)
    kc = milling.specific_force_n_mm2(chip, **BRASS)
    power = milling.power_w(milling.removal_mm3_per_min(ae_mm=1.0, ap_mm=0.2, feed=480.0), kc)
    at_peak = milling.specific_force_n_mm2(0.01, **BRASS)
    assert (chip, kc, power) == pytest.approx((0.006366, 2741.9, 4.387), rel=1e-3)
    assert milling.torque_nmm(power, 24_000) == pytest.approx(1.746, rel=1e-3)
    assert milling.tooth_force_n(chip, ap_mm=0.2, kc=kc) == pytest.approx(3.491, rel=1e-3)
    assert milling.tooth_force_n(0.01, ap_mm=0.2, kc=at_peak) == pytest.approx(4.854, rel=1e-3)


def test_power_is_teeth_in_cut_times_force_times_speed():
    chip = milling.mean_chip_mm(0.01, ae_share=0.3)
    kc = milling.specific_force_n_mm2(chip, **BRASS)
    one_tooth = milling.tooth_force_n(chip, ap_mm=0.2, kc=kc)
    speed = milling.cutting_speed_m_min(24_000, 1.0)
    both_ways = one_tooth * milling.teeth_in_cut(2, ae_share=0.3) * speed / 60
    assert milling.power_w(milling.removal_mm3_per_min(ae_mm=0.3, ap_mm=0.2, feed=480.0), kc) == pytest.approx(
        both_ways
    )


@pytest.mark.parametrize(("fluted_mm", "expected_mm"), [(0.8, 0.02984), (1.0, 0.01222)])
def test_a_plain_cantilever_bends_as_the_beam_equation_says(fluted_mm, expected_mm):
    bend = milling.deflection_mm(5.0, reach_mm=6.0, fluted_mm=fluted_mm, overhang_mm=6.0, shank_mm=3.175)
    assert milling.second_moment_mm4(0.8) == pytest.approx(0.020106, rel=1e-3)
    assert bend == pytest.approx(expected_mm, rel=1e-3)


def test_a_cantilever_in_two_sections():
    bend = milling.deflection_mm(5.0, reach_mm=3.0, fluted_mm=0.8, overhang_mm=12.0, shank_mm=3.175)
    assert bend == pytest.approx(0.004677, rel=1e-3)
    assert milling.bending_stress_mpa(5.0, lever_mm=3.0, fluted_mm=0.8) == pytest.approx(298.4, rel=1e-3)


def test_the_stepped_cantilever_agrees_with_the_beam_equation_integrated():
    def bend_along(x, state):
        stiffness = milling.CARBIDE_MODULUS_MPA * milling.second_moment_mm4(0.8 if x > 9.0 else 3.175)
        return [state[1], 5.0 * (12.0 - x) / stiffness]

    tip = solve_ivp(bend_along, (0, 12), [0, 0], max_step=0.02, rtol=1e-8, atol=1e-12).y[0, -1]
    closed = milling.deflection_mm(5.0, reach_mm=3.0, fluted_mm=0.8, overhang_mm=12.0, shank_mm=3.175)
    assert closed == pytest.approx(tip, rel=2e-3)


def test_a_ramp():
    assert milling.ramp_mm(0.5, 3.0) == pytest.approx(9.541, rel=1e-3)
