"""What the hot face does to the work: interface, scorch, heat drawn, pressure, prints a heat."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy.integrate import solve_ivp
from scipy.special import erf

from branded import BRASS, WORKED
from stampwright.catalogue import SUBSTRATES
from stampwright.heat.contact import impression_j_mm2, interface_c, scorch_depth_mm
from stampwright.heat.pressing import Rhythm, char_spread_mm, press_force_n, print_j, prints_per_heat

WALNUT = SUBSTRATES["walnut-black"]
TYPICAL = dataclasses.replace(WALNUT, effusivity_w_sqrts_m2k=390.0, crush_mpa=None)  # the wood of the worked figures


def test_the_effusivity_of_brass_is_the_root_of_its_three_values():
    """sqrt(115 x 8490 x 380), by hand: 19 262."""
    assert BRASS.effusivity_w_sqrts_m2k == pytest.approx(19262, abs=1)


def test_the_face_of_a_brass_head_hardly_feels_the_wood():
    """Two half spaces in contact (Incropera and DeWitt, chapter 5.7): within 2 % of the face."""
    touching = interface_c(400.0, 20.0, face_effusivity=19262.0, work_effusivity=390.0)
    assert touching == pytest.approx(392.5, abs=0.1)
    assert touching > 0.98 * 400


# Depth of the 250 °C line [mm] for a surface at 350, 400, 450 °C, α 0.16 mm²/s, after 1, 3, 5, 10 s: by hand with
# tables of the inverse error function.
SCORCH = {350: (0.220, 0.382, 0.493, 0.697), 400: (0.292, 0.506, 0.654, 0.925), 450: (0.351, 0.608, 0.785, 1.110)}


@pytest.mark.parametrize("surface_c", SCORCH)
def test_wood_scorches_as_deep_as_the_table_says(surface_c):
    depths = [
        scorch_depth_mm(s, surface_c=surface_c, char_c=250.0, work_c=20.0, diffusivity_mm2_s=0.16)
        for s in (1, 3, 5, 10)
    ]
    assert depths == pytest.approx(SCORCH[surface_c], abs=0.001)


@given(some.floats(0.5, 15), some.floats(280, 480))
def test_at_the_scorch_depth_the_half_space_has_the_charring_temperature(seconds, surface_c):
    """The error function solution put back: T = Ts + (T0 − Ts) erf(x / 2 sqrt(α t))."""
    depth = scorch_depth_mm(seconds, surface_c=surface_c, char_c=250.0, work_c=20.0, diffusivity_mm2_s=0.15)
    there = surface_c + (20.0 - surface_c) * erf(depth / (2 * math.sqrt(0.15 * seconds)))
    assert there == pytest.approx(250.0, abs=1e-6)


def test_a_finite_slab_of_wood_scorches_as_deep():
    """Independent: the heat equation on a grid of 0.02 mm, stepped by scipy; 400 °C for 3 s gives 0.506 mm."""
    step, inner = 0.02, np.full(300, 20.0)

    def rate(_, t):
        padded = np.concatenate([[400.0], t, [20.0]])
        return 0.16 * np.diff(padded, 2) / step**2

    profile = solve_ivp(rate, (0, 3), inner, method="LSODA", lband=1, uband=1).y[:, -1]
    depths = step * np.arange(1, 301)
    assert np.interp(-250.0, -profile, depths) == pytest.approx(0.506, abs=0.005)


def test_a_face_cooler_than_charring_leaves_no_char():
    assert scorch_depth_mm(5, surface_c=200.0, char_c=250.0, work_c=20.0, diffusivity_mm2_s=0.16) == 0.0


def test_one_impression_takes_its_heat_and_cools_the_head_by_three_kelvin():
    """By hand: 2 x 390 x 380 sqrt(3 / π) = 0.290 J/mm²; 400 mm² take 115.9 J, 3.02 K from the block of 38.31 J/K."""
    drawn = impression_j_mm2(3.0, effusivity=390.0, warmed_by_k=380.0)
    assert drawn == pytest.approx(0.2896, abs=5e-5)
    assert 400 * drawn == pytest.approx(115.9, abs=0.1)
    assert 400 * drawn / WORKED.capacity_j_k == pytest.approx(3.02, abs=0.01)


def test_a_print_takes_a_fifth_more_for_the_moisture():
    """Common practice, no source."""
    taken = print_j(TYPICAL, face_c=400.0, dwell_s=3.0, land_mm2=400.0)
    assert taken == pytest.approx(1.2 * 115.9, abs=0.2)


def _lost_w(at_c):
    return 10 * 3.15e-3 * (at_c - 20) + 0.6 * 5.670374e-8 * 3.15e-3 * ((at_c + 273.15) ** 4 - 293.15**4)


def _printed(low_c, face_c, handling_s):
    """Independent: the heat balance in steps of 5 ms; for 3 s of print 1.2 e ΔT / sqrt(π t) flows into the wood."""
    prints, step_s = 0, 5e-3
    while True:
        for _ in range(round(handling_s / step_s)):
            face_c -= step_s * _lost_w(face_c) / 38.31
        if face_c < low_c:
            return prints
        prints, rise_k = prints + 1, face_c - 20
        for n in range(600):
            drawn_w = 1.2 * 390 * rise_k / math.sqrt(math.pi * (n + 0.5) * step_s) * 400e-6
            face_c -= step_s * (_lost_w(face_c) + drawn_w) / 38.31


@pytest.mark.parametrize("low_c", [330.0, 350.0, 380.0, 395.0])
@pytest.mark.parametrize("handling_s", [3.0, 8.0, 15.0])
def test_as_many_prints_as_a_balance_in_small_steps_says(low_c, handling_s):
    """The handling costs more than the prints: 15 s cool the block by 12 to 14 K, a print on 400 mm² by 4 K."""
    rhythm = Rhythm(handling_s=handling_s, dwell_s=3.0)
    counted = prints_per_heat(WORKED, TYPICAL, window_c=(low_c, 430.0), rhythm=rhythm, land_mm2=400.0)
    assert counted == _printed(low_c, 430.0, handling_s)


def test_slow_hands_make_no_print():
    rhythm = Rhythm(handling_s=120.0, dwell_s=3.0)
    assert prints_per_heat(WORKED, TYPICAL, window_c=(380.0, 430.0), rhythm=rhythm, land_mm2=400.0) == 0


@given(some.floats(0, 60), some.floats(0, 60), some.floats(10, 900))
def test_slower_hands_never_make_more_prints(first_s, second_s, land_mm2):
    quick, slow = (
        prints_per_heat(WORKED, TYPICAL, window_c=(380.0, 430.0), rhythm=Rhythm(s, 3.0), land_mm2=land_mm2)
        for s in sorted((first_s, second_s))
    )
    assert quick >= slow


def test_the_force_of_half_a_megapascal_on_400_square_millimetres_is_200_newtons():
    """F = p A, by hand; the usual band is 0.2 to 1.0 MPa."""
    assert press_force_n(TYPICAL, land_mm2=400.0) == pytest.approx((80.0, 400.0))
    assert sum(press_force_n(TYPICAL, land_mm2=333.333)) / 2 == pytest.approx(200.0, abs=0.1)


def test_no_force_crushes_the_fibres():
    tender = dataclasses.replace(TYPICAL, crush_mpa=0.7)
    assert press_force_n(tender, land_mm2=100.0) == pytest.approx((20.0, 70.0))


def test_char_creeps_sideways_less_than_it_goes_deep():
    """Plane conduction past an edge (400 °C, 3 s, 250 °C line): 0.14 mm sideways for 0.51 mm of depth."""
    low, high = char_spread_mm(0.506)
    assert low == pytest.approx(0.14, abs=0.005)
    assert high == 0.506
