"""Every row is judged against its family; the ranges are wide on purpose, to catch a slipped digit or a wrong unit."""

import dataclasses
import math

import pytest

from stampwright.catalogue import CUTTERS, DEFAULT_RACK, METALS, SUBSTRATES, TAPS, THREADS

METAL = {  # engineering metals of heads
    "density_kg_m3": (2500, 9000),
    "specific_heat_j_kgk": (350, 950),
    "conductivity_w_mk": (10, 420),
    "expansion_um_mk": (10, 25),
    "emissivity_used": (0.1, 0.95),
    "melting_from_c": (500, 1600),
    "not_above_c": (150, 600),
    "kc11_n_mm2": (500, 3000),
    "mc": (0.1, 0.35),
    "cutting_speed_low_m_min": (20, 150),
    "cutting_speed_high_m_min": (50, 350),
    "chip_share": (0.004, 0.02),
}
SUBSTRATE = {
    "conductivity_w_mk": (0.05, 0.3),
    "diffusivity_mm2_s": (0.08, 0.25),
    "effusivity_w_sqrts_m2k": (150, 700),
    "face_low_c": (150, 420),
    "face_high_c": (180, 480),
    "dwell_low_s": (0.5, 5),
    "dwell_high_s": (2, 15),
    "char_c": (120, 320),
    "press_low_mpa": (0.05, 0.5),
    "press_high_mpa": (0.5, 2),
    "relief_low_mm": (0.5, 3),
    "relief_high_mm": (1, 5),
    "land_warn_mm": (0.3, 1.5),
    "gap_warn_mm": (0.3, 2),
}
ORDERED = [("face_low_c", "face_high_c"), ("dwell_low_s", "dwell_high_s"), ("press_low_mpa", "press_high_mpa")]
VOLUME_HEAT_MJ_M3K = (2.2, 4.2)  # density times heat capacity hardly differs between solid metals

every_metal = pytest.mark.parametrize("metal", METALS.values(), ids=lambda metal: metal.key)
every_substrate = pytest.mark.parametrize("substrate", SUBSTRATES.values(), ids=lambda substrate: substrate.key)
every_cutter = pytest.mark.parametrize("cutter", CUTTERS.values(), ids=lambda cutter: cutter.key)


@every_metal
@pytest.mark.parametrize(("field", "family"), METAL.items())
def test_a_metal_looks_like_a_metal(metal, field, family):
    assert family[0] <= getattr(metal, field) <= family[1]


@every_metal
def test_a_metal_is_used_well_below_its_melting(metal):
    assert metal.not_above_c < 0.6 * metal.melting_from_c
    assert metal.cutting_speed_low_m_min < metal.cutting_speed_high_m_min


@every_metal
def test_a_litre_of_any_metal_holds_about_as_much_heat(metal):
    """3 R per mole of atoms (Dulong and Petit) over much the same atomic volumes."""
    held = metal.density_kg_m3 * metal.specific_heat_j_kgk / 1e6
    assert VOLUME_HEAT_MJ_M3K[0] < held < VOLUME_HEAT_MJ_M3K[1]


# Diffusivity k / ρ c worked out by hand from the data sheets named in the table [mm²/s].
DIFFUSIVITY = {
    "brass-c36000": 35.7,
    "copper-c11000": 114,
    "copper-c14500": 103,
    "aluminium-6061": 69.0,
    "steel-1018": 13.6,
    "stainless-304": 4.05,
}


@every_metal
def test_the_diffusivity_is_the_one_worked_out_by_hand(metal):
    worked_out = DIFFUSIVITY[metal.key]
    assert metal.diffusivity_mm2_s == pytest.approx(worked_out, rel=0.04)
    assert metal.effusivity_w_sqrts_m2k == pytest.approx(
        1e3 * metal.conductivity_w_mk / math.sqrt(worked_out), rel=0.02
    )


# Data sheets of others than those named in the table (copper development associations, ASM, Machinery's Handbook), all
# from memory: density [kg/m³], heat [J/(kg K)], conductivity [W/(m K)], expansion [µm/(m K)], solidus [°C].
PUBLISHED = {
    "brass-c36000": (8500, 380, 115, 20.5, 888),
    "copper-c11000": (8910, 385, 388, 17.0, 1065),
    "copper-c14500": (8940, 385, 355, 17.5, 1051),
    "aluminium-6061": (2700, 896, 167, 23.6, 582),
    "steel-1018": (7870, 486, 51.9, 11.9, 1430),
    "stainless-304": (8000, 500, 16.2, 17.3, 1400),
}
APART = (0.01, 0.04, 0.02, 0.03, 0.01)  # shares by which published values of one metal differ


@every_metal
def test_a_metal_has_the_values_that_others_publish(metal):
    told = (
        *(metal.density_kg_m3, metal.specific_heat_j_kgk, metal.conductivity_w_mk),
        *(metal.expansion_um_mk, metal.melting_from_c),
    )
    for value, published, apart in zip(told, PUBLISHED[metal.key], APART, strict=True):
        assert value == pytest.approx(published, rel=apart)


# ISO 513 and VDI 3323, material groups 22, 26 to 28, 1 and 14: kc1.1 [N/mm²] and mc, by a tool maker's catalogue page.
VDI_3323 = {
    "brass-c36000": (700, 0.27),
    "copper-c11000": (700, 0.27),
    "copper-c14500": (700, 0.27),
    "aluminium-6061": (800, 0.25),
    "steel-1018": (1350, 0.21),
    "stainless-304": (2150, 0.20),
}


@every_metal
def test_the_cutting_force_is_that_of_the_material_group(metal):
    assert (metal.kc11_n_mm2, metal.mc) == VDI_3323[metal.key]


@every_substrate
@pytest.mark.parametrize(("field", "family"), SUBSTRATE.items())
def test_a_substrate_looks_like_wood_or_leather(substrate, field, family):
    assert family[0] <= getattr(substrate, field) <= family[1]


@every_substrate
def test_low_is_below_high(substrate):
    for low, high in [*ORDERED, ("relief_low_mm", "relief_high_mm")]:
        assert getattr(substrate, low) < getattr(substrate, high)


@every_substrate
def test_the_usual_pressure_does_not_crush(substrate):
    assert substrate.press_high_mpa < (substrate.crush_mpa or math.inf)


@every_cutter
def test_a_cutter_has_the_measures_its_key_says(cutter):
    shape, size = cutter.key.rsplit("-", 1)
    assert cutter.shape == shape
    assert float(size) == (2 * cutter.half_angle_deg if shape == "pointed" else cutter.diameter_mm)


@every_cutter
def test_a_cutter_is_a_cutter(cutter):
    assert cutter.flutes in {1, 2, 3, 4}
    assert cutter.diameter_mm <= cutter.shank_mm < cutter.overhang_mm
    assert cutter.length_of_cut_mm < cutter.overhang_mm


@pytest.mark.parametrize("cutter", [c for c in CUTTERS.values() if c.shape != "pointed"], ids=lambda cutter: cutter.key)
def test_the_edges_are_two_to_three_diameters_long(cutter):
    """Common practice, no source."""
    assert 2 <= cutter.length_of_cut_mm / cutter.diameter_mm <= 3.1


@pytest.mark.parametrize("cutter", [c for c in CUTTERS.values() if c.shape == "pointed"], ids=lambda cutter: cutter.key)
def test_a_pointed_cutter_ends_where_its_cone_reaches_the_shank(cutter):
    slope = (cutter.diameter_mm - cutter.tip_mm) / 2 / cutter.length_of_cut_mm
    assert slope == pytest.approx(math.tan(math.radians(cutter.half_angle_deg)), rel=0.03)


def test_the_default_rack_reaches_the_deepest_relief_for_hardwood():
    assert [cutter.key for cutter in DEFAULT_RACK] == ["flat-3.175", "flat-1.588", "flat-0.794"]
    assert min(cutter.length_of_cut_mm for cutter in DEFAULT_RACK) >= SUBSTRATES["oak-white"].relief_high_mm


@pytest.mark.parametrize(("depth_mm", "half_deg", "width_mm"), [(1.0, 15, 0.63590), (1.0, 30, 1.25470)])
def test_a_pointed_cutter_is_as_wide_as_its_cone(depth_mm, half_deg, width_mm):
    """Plane trigonometry, by hand: tip 0.1 + 2 d tan(half angle)."""
    cutter = dataclasses.replace(CUTTERS["pointed-30"], half_angle_deg=half_deg)
    assert 2 * cutter.radius_at_mm(depth_mm) == pytest.approx(width_mm, abs=1e-5)


def test_a_ball_cutter_is_narrow_at_a_shallow_depth():
    """2 sqrt(a (D − a)) for D 3, a 0.1: 1.0770 mm, by hand."""
    ball = dataclasses.replace(CUTTERS["ball-3.175"], diameter_mm=3.0)
    assert 2 * ball.radius_at_mm(0.1) == pytest.approx(1.0770, abs=1e-4)
    assert ball.radius_at_mm(2.5) == 1.5


@pytest.mark.parametrize("height_mm", [0.0, 0.7, 4.0])
def test_a_flat_cutter_is_as_wide_at_any_height(height_mm):
    assert CUTTERS["flat-1.588"].radius_at_mm(height_mm) == 0.794


@pytest.mark.parametrize("table", [CUTTERS, METALS, SUBSTRATES, TAPS, THREADS])
def test_the_catalogue_cannot_be_written_to(table):
    with pytest.raises(TypeError):
        table["mine"] = None
