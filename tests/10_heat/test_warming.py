"""Heat-up and cooling of the worked block, by hand, by the closed form, and by scipy's solver of the heat balance."""

import dataclasses
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as some

from branded import BRASS, WORKED, lossless, solved
from stampwright.heat.body import gradient_k, soak_s
from stampwright.heat.losses import convection_w, radiation_w
from stampwright.heat.torch import burner_w


def test_a_block_of_brass_holds_38_joules_a_kelvin():
    """Density 8490, 25 x 25 x 19 mm, 380 J/(kg K): by hand."""
    assert WORKED.mass_kg == pytest.approx(8490 * 11875e-9, rel=1e-4)
    assert WORKED.capacity_j_k == pytest.approx(38.31, abs=0.005)


def test_without_losses_heat_up_is_m_c_rise_over_power():
    """By hand: 0.10082 x 380 x 380 / 300 = 48.53 s."""
    assert lossless(WORKED).heat_up_s(300.0, to_c=400.0) == pytest.approx(48.53, abs=0.01)


def test_with_a_linear_loss_heat_up_follows_the_logarithm():
    """Incropera and DeWitt, chapter 5: −(m c / h A) ln(1 − h A ΔT / P) = 51.69 s for h 30."""
    closed = -(38.31 / (30 * 3.15e-3)) * math.log(1 - 30 * 3.15e-3 * 380 / 300)
    heated = lossless(WORKED, film_w_m2k=30.0).heat_up_s(300.0, to_c=400.0)
    assert heated == pytest.approx(closed, rel=1e-4)
    assert heated == pytest.approx(51.69, abs=0.05)


def test_with_film_and_radiation_heat_up_takes_50_8_seconds():
    """h 10, emissivity 0.6, 20 to 400 °C, 300 W: integrated by an ODE solver beforehand."""
    assert WORKED.heat_up_s(300.0, to_c=400.0) == pytest.approx(50.8, abs=0.2)


def test_a_block_at_400_degrees_loses_33_watts():
    """By hand: 10 x 3.15e-3 x 380 = 11.97 W and 0.6 σ 3.15e-3 (673.15⁴ − 293.15⁴) = 21.21 W."""
    assert convection_w(3.15e-3, at_c=400.0, film_w_m2k=10.0) == pytest.approx(11.97, abs=0.005)
    assert radiation_w(3.15e-3, at_c=400.0, emissivity=0.6) == pytest.approx(21.21, abs=0.005)
    assert WORKED.loss_w(400.0) == pytest.approx(33.18, abs=0.01)


@pytest.mark.parametrize(("at_c", "kw_m2"), [(400.0, 6.7), (500.0, 11.9)])
def test_what_the_floor_radiates_on_the_wood(at_c, kw_m2):
    """By hand, emissivity 0.6; wood ignites at 12 ± 2 kW/m² (Bartlett and others, Fire Technology 55)."""
    assert radiation_w(1.0, at_c=at_c, emissivity=0.6) / 1e3 == pytest.approx(kw_m2, abs=0.05)


def test_cooling_from_425_to_345_takes_100_seconds():
    """h 10, emissivity 0.6: 100.3 s, about 0.8 K/s in still air."""
    assert WORKED.cooled_c(425.0, after_s=100.3) == pytest.approx(345.0, abs=0.4)
    assert 425.0 - WORKED.cooled_c(425.0, after_s=1.0) == pytest.approx(0.96, abs=0.05)


@given(some.floats(60, 2000), some.floats(100, 480), some.floats(0.1, 0.9))
def test_heat_up_is_what_the_solver_of_the_heat_balance_says(power_w, to_c, emissivity):
    body = dataclasses.replace(WORKED, emissivity=emissivity)
    assume(power_w > 1.2 * body.loss_w(to_c))
    warm_s, _ = solved(body, power_w, 20.0, until_c=to_c)
    assert body.heat_up_s(power_w, to_c=to_c) == pytest.approx(warm_s, rel=1e-5)


@given(some.floats(100, 500), some.floats(1, 900))
def test_cooling_is_what_the_solver_of_the_heat_balance_says(from_c, after_s):
    _, cooled_c = solved(WORKED, 0.0, from_c, after_s=after_s)
    assert WORKED.cooled_c(from_c, after_s=after_s) == pytest.approx(cooled_c, abs=0.02)


@pytest.mark.parametrize("after_s", [0.0, 5e-324, 1e-300])
def test_no_time_is_no_cooling(after_s):
    assert WORKED.cooled_c(425.0, after_s=after_s) == 425.0


def test_a_flake_of_metal_is_at_room_temperature_after_an_hour():
    assert dataclasses.replace(WORKED, mass_kg=1e-6).cooled_c(425.0, after_s=3600.0) == pytest.approx(20.0, abs=1e-3)


@given(some.floats(1, 33))
def test_a_flame_below_the_losses_never_gets_there(power_w):
    assert WORKED.heat_up_s(power_w, to_c=400.0) == math.inf


def test_a_gas_of_150_grams_an_hour_is_1_9_kilowatts():
    """Heating values after Menon: propane 45.98 MJ/kg net, by hand 1.916 kW; 80 and 250 g/h: 1.0 and 3.2 kW."""
    assert burner_w(150.0) == pytest.approx(1916, abs=1)
    assert [round(burner_w(gas) / 1e3, 1) for gas in (80.0, 250.0)] == [1.0, 3.2]


@pytest.mark.parametrize(("conductivity", "biot"), [(115.0, 0.00656), (16.2, 0.0465)])
def test_a_small_head_is_one_lump_even_of_stainless_steel(conductivity, biot):
    """h 200 over V/A 3.770 mm: by hand 0.00656 for brass and 0.0465 for stainless 304."""
    assert dataclasses.replace(WORKED, conductivity_w_mk=conductivity).biot == pytest.approx(biot, rel=2e-3)


def test_one_end_of_the_block_is_40_degrees_hotter_in_the_flame_and_evens_out_in_10_seconds():
    """The flux falls evenly from P to 0 along the block: 300 x 0.019 / (2 x 115 x 625e-6), by hand."""
    uneven = gradient_k(300.0, length_m=0.019, section_m2=625e-6, conductivity_w_mk=115.0)
    assert uneven == pytest.approx(39.7, abs=0.1)
    assert soak_s(0.019, diffusivity_mm2_s=BRASS.diffusivity_mm2_s) == pytest.approx(10.1, abs=0.1)
