"""Woods against the Wood Handbook and the lists that republish it."""

import pytest

from stampwright.base.tables import rows
from stampwright.catalogue import SUBSTRATES, wood

WOODS = [substrate for substrate in SUBSTRATES.values() if substrate.kind != "leather"]
GRAVITY = {row["key"]: float(row["specific_gravity"]) for row in rows("stampwright.catalogue", "woods")}
WORKING = {row["key"]: row["working"] for row in rows("stampwright.catalogue", "woods")}

# Thermal conductivity of common wood types, 12 % moisture [W/(m K)]: a list that repeats the Wood Handbook's table 4-7.
LISTED_W_MK = {
    "pine-white": 0.11,
    "basswood": 0.11,
    "cherry-black": 0.15,
    "maple-hard": 0.18,
    "oak-red": 0.18,
    "oak-white": 0.19,
}
LBF = 4.4482216  # N, exact by definition of pound and standard gravity, to 8 figures
# Janka side hardness at 12 % [lbf], Wood Handbook chapter 5 by way of trade lists.
JANKA_LBF = {
    "hickory": 1820,
    "maple-hard": 1450,
    "oak-white": 1360,
    "ash-white": 1320,
    "beech": 1300,
    "oak-red": 1290,
    "birch-yellow": 1260,
    "walnut-black": 1010,
    "cherry-black": 950,
    "douglas-fir": 710,
    "alder-red": 590,
    "poplar-yellow": 540,
    "basswood": 410,
    "pine-white": 380,
    "cedar-western-red": 350,
}
# Tree species strength properties: compression across the grain [psi].
CRUSH_PSI = {"basswood": 370, "alder-red": 440, "cherry-black": 690, "beech": 1010}
every_wood = pytest.mark.parametrize("species", WOODS, ids=lambda species: species.key)


@pytest.mark.parametrize(("key", "listed"), LISTED_W_MK.items())
def test_the_equation_gives_the_listed_conductivity(key, listed):
    """Within 8 %; the list is rounded to two figures and the handbook speaks of 20 % scatter."""
    assert SUBSTRATES[key].conductivity_w_mk == pytest.approx(listed, rel=0.08)


def test_wood_of_specific_gravity_one_half_conducts_0_14_watts_a_metre_kelvin():
    """Wood Handbook 2010, eq. 4-15, by hand: 0.1401 W/(m K)."""
    assert wood.conductivity_w_mk(0.50, moisture_pct=12) == pytest.approx(0.1401, abs=5e-5)


def test_damp_wood_holds_as_much_heat_as_in_the_handbook_s_example():
    """Wood Handbook 2010, chapter 4, 12 % and 340 K: 1.91 kJ/(kg K); 1.915 with all figures."""
    assert wood.specific_heat_j_kgk(moisture_pct=12, at_k=340) == pytest.approx(1915, abs=1)


def test_dry_wood_holds_less_heat_than_damp_wood():
    """Wood Handbook: dry 0.1031 + 0.003867 T kJ/(kg K)."""
    assert wood.specific_heat_j_kgk(moisture_pct=0, at_k=300) == pytest.approx(1263.2, abs=0.1)
    assert wood.specific_heat_j_kgk(moisture_pct=12, at_k=300) > 1263.2


@every_wood
def test_heat_spreads_through_wood_at_about_a_sixth_of_a_square_millimetre_a_second(species):
    """Wood Handbook, from memory: 0.161 mm²/s for typical wood."""
    assert species.diffusivity_mm2_s == pytest.approx(0.161, rel=0.12)


@every_wood
def test_the_thermal_values_of_a_species_fit_together(species):
    """k² = e² α, as k = sqrt(k ρ c) sqrt(k / ρ c)."""
    rebuilt = species.effusivity_w_sqrts_m2k * (species.diffusivity_mm2_s * 1e-6) ** 0.5
    assert rebuilt == pytest.approx(species.conductivity_w_mk)


@every_wood
def test_the_density_behind_them_is_that_of_specific_gravity_and_moisture(species):
    """Wood Handbook 2010, chapter 4, from memory: 1000 G (1 + M / 100) kg/m³; k = α ρ c."""
    density_kg_m3 = species.conductivity_w_mk / (species.diffusivity_mm2_s * 1e-6 * wood.specific_heat_j_kgk())
    assert density_kg_m3 == pytest.approx(1120 * GRAVITY[species.key], rel=1e-9)


@pytest.mark.parametrize(("key", "lbf"), JANKA_LBF.items())
def test_the_hardness_is_the_published_one(key, lbf):
    assert SUBSTRATES[key].janka_n == pytest.approx(lbf * LBF, rel=0.005)


@pytest.mark.parametrize(("key", "psi"), CRUSH_PSI.items())
def test_the_crush_limit_is_the_published_one(key, psi):
    assert SUBSTRATES[key].crush_mpa == pytest.approx(psi * 0.00689476, rel=0.005)


# Wood Handbook 2010, table 5-3a, 12 %: specific gravity, compression across the grain [kPa, rounded to hundreds]; from
# memory.
HANDBOOK = {
    "oak-white": (0.68, 7400),
    "oak-red": (0.63, 7000),
    "maple-hard": (0.63, 10100),
    "ash-white": (0.60, 8000),
    "beech": (0.64, 7000),
    "birch-yellow": (0.62, 6700),
    "walnut-black": (0.55, 7000),
    "cherry-black": (0.50, 4800),
    "douglas-fir": (0.48, 5500),
    "alder-red": (0.41, 3000),
    "poplar-yellow": (0.42, 3400),
    "basswood": (0.37, 2600),
    "pine-white": (0.35, 3000),
    "cedar-western-red": (0.32, 3200),
    "hickory": (0.72, 12100),
}


@every_wood
def test_gravity_and_crush_limit_are_those_of_the_handbook(species):
    gravity, crush_kpa = HANDBOOK[species.key]
    assert GRAVITY[species.key] == gravity
    assert species.crush_mpa * 1000 == pytest.approx(crush_kpa, abs=51)


# Wood Handbook 2010, chapter 5, side hardness at 12 % as a function of specific gravity [N], from memory.
HARDNESS_OF_GRAVITY = {"hardwood": (15300, 2.09), "softwood": (8590, 1.49)}


@every_wood
def test_heavier_wood_is_harder(species):
    """Single species lie within a third of the handbook's curve."""
    factor, power = HARDNESS_OF_GRAVITY[species.kind]
    assert species.janka_n == pytest.approx(factor * GRAVITY[species.key] ** power, rel=0.33)


@every_wood
def test_the_class_of_a_wood_follows_from_its_hardness(species):
    """Soft below 600 lbf, hard above 1000 lbf: common practice, no source."""
    lbf = species.janka_n / LBF
    assert WORKING[species.key] == ("soft" if lbf < 600 else "hard" if lbf > 1000 else "medium")


@every_wood
def test_harder_wood_is_branded_hotter_and_no_wood_above_the_glow_of_its_char(species):
    """Char glows above about 500 °C: Fire Science Reviews 2 (2013) 4, table 1."""
    assert species.char_c < species.face_low_c < species.face_high_c < 500
