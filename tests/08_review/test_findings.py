"""Each way to disappoint, drawn on purpose: its code, place, measure, severity and remedy."""

import math
import re

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from faces import found, job_with, reviewed
from relief_shapes import face_of as solid_face
from stampwright.base import JobError, Notice
from stampwright.catalogue import METALS, SUBSTRATES, Cutter
from stampwright.job import Head, Limits, Placement, Relief
from stampwright.plane import on_grid, part_pinches
from stampwright.review.char import char_depth_mm
from stampwright.solid import Hole, build_solid

BLOCK = shapely.box(-6, -6, 6, 6)
FINE = ("flat-0.5",)  # passes 0.5 mm, cuts 1.5 mm deep


def one(ink, code, job=None, **more):
    (finding,) = found(reviewed(ink, job, **more), code)
    return finding


def window(width, height=6.0):
    return BLOCK - shapely.box(-width / 2, -height / 2, width / 2, height / 2)


def channel(width):
    return shapely.box(-8, width / 2, 8, 4) | shapely.box(-8, -4, 8, -width / 2)


def hole(full_thread_mm):
    return Hole("1/4-20 UNC", "bottoming", 5.105, "#7", full_thread_mm, full_thread_mm + 3.8, 1.53, 3.0, 6.4)


@pytest.mark.parametrize(("width", "severity"), [(0.15, "stop"), (0.3, "warning"), (0.48, "warning")])
def test_a_thin_land_is_worse_the_thinner_it_is(width, severity):
    """A stop below 0.2 mm, the least line of hot-stamping dies by an engraving shop's rules for artwork."""
    thin = one(shapely.box(-8, -width / 2, 8, width / 2), "thin-land")
    assert (thin.severity, thin.limit_mm) == (severity, 0.5)
    assert f"make the mark at least {16 * 0.5 / thin.measured_mm:.1f} mm wide" in thin.remedy


def test_a_small_dot_is_a_speck_with_its_area():
    ink = BLOCK | shapely.Point(9, 2).buffer(0.2, quad_segs=32)
    speck = one(ink, "speck")
    assert speck.at_mm == pytest.approx((9, 2), abs=0.01)
    assert speck.area_mm2 == pytest.approx(math.pi * 0.04, rel=0.01)
    assert not found(reviewed(ink), "thin-land")


def test_a_dot_wider_than_the_limit_is_none():
    assert not found(reviewed(BLOCK | shapely.Point(9, 2).buffer(0.3)), "speck")


def test_a_high_land_is_slender():
    slender = one(shapely.box(-8, -0.3, 8, 0.3), "slender-land", relief_mm=2.5)
    assert (slender.severity, slender.measured_mm) == ("note", pytest.approx(0.6, abs=1e-3))
    assert slender.limit_mm == pytest.approx(2.5 / 3)  # three times as high as wide: common practice, no source
    assert "4.2 times its width" in slender.says


def test_a_land_five_times_as_high_as_wide_is_a_warning():
    assert one(shapely.box(-8, -0.3, 8, 0.3), "slender-land", relief_mm=3.1).severity == "warning"


def test_draft_stiffens_a_land():
    job = job_with(relief=Relief(draft_deg=10))
    assert not found(reviewed(shapely.box(-8, -0.3, 8, 0.3), job, relief_mm=2.5), "slender-land")


def test_a_gap_below_the_limit_is_narrow_though_the_cutter_passes():
    narrow = one(channel(0.55), "narrow-gap", job_with(*FINE, limits=Limits(gap_mm=0.6)))
    assert (narrow.severity, narrow.limit_mm) == ("warning", 0.6)


def test_a_gap_the_finest_cutter_cannot_pass_names_one_that_can():
    narrow = one(channel(0.6), "narrow-gap")
    assert narrow.limit_mm == pytest.approx(0.794)
    assert "cut it with flat-0.5" in narrow.remedy  # the catalogue's largest flat below 0.6 mm
    assert "0.60 mm wide over 16.5" in narrow.says  # the bars, and the flare at both ends up to 0.794 mm


def test_the_larger_cutters_of_a_rack_close_no_gap():
    assert not found(reviewed(channel(1.0)), "narrow-gap")


def test_a_counter_too_small_for_the_rack_is_filled():
    filled = one(window(0.7), "filled-counter")
    assert filled.severity == "warning"
    assert filled.measured_mm == pytest.approx(0.7, abs=0.005)
    assert filled.area_mm2 == pytest.approx(4.2, rel=1e-3)


@pytest.mark.parametrize("diameter", [0.6, 0.75])
def test_a_round_counter_is_measured_by_its_diameter(diameter):
    ink = BLOCK - shapely.Point(1, 1).buffer(diameter / 2, quad_segs=32)
    filled = one(ink, "filled-counter")
    assert filled.measured_mm == pytest.approx(diameter, abs=0.005)
    assert filled.at_mm == pytest.approx((1, 1), abs=0.01)


def test_a_counter_drawn_as_wide_as_the_cutter_is_open():
    review = reviewed(BLOCK - shapely.Point(1, 1).buffer(0.397, quad_segs=16))
    assert not found(review, "filled-counter") + found(review, "narrow-gap")


def test_a_rounded_corner_alone_is_a_note_with_its_residual():
    corners = found(reviewed(window(6.0)), "rounded-corner")
    assert [c.severity for c in corners] == ["note"] * 4
    assert corners[0].measured_mm == pytest.approx(0.397 * (math.sqrt(2) - 1), rel=1e-3)
    assert corners[0].limit_mm == 0.1
    assert "A flat cutter of 0.48 mm" in corners[0].remedy  # 2 · 0.1 / (√2 − 1)


def test_corners_are_a_warning_when_too_little_of_the_outline_is_faithful():
    corners = found(reviewed(window(6.0), job_with(limits=Limits(faithful=0.999))), "rounded-corner")
    assert {c.severity for c in corners} == {"warning"}
    told, asked = re.search(r"only ([\d.]+) % of the outline prints .*, ([\d.]+) % is asked", corners[0].says).groups()
    assert float(asked) == 99.9
    # eight sides of a corner stray by more than 0.1 mm, each over r - sqrt((r + 0.1)² - r²), r 0.397; by hand
    strays = 8 * (0.397 - math.sqrt(0.497**2 - 0.397**2))
    assert float(told) == pytest.approx(100 - 100 * strays / (4 * 12 + 4 * 6), abs=0.1)


@pytest.mark.parametrize(
    ("asked", "remedy"),
    [
        (0.1, "A flat cutter of 0.48 mm keeps it within 0.10 mm"),
        (0.05, "No flat cutter that cuts this deep keeps it within 0.050 mm: draw the corner round."),
    ],
)
def test_no_cutter_is_advised_that_nobody_sells(asked, remedy):
    """0.24 mm would have to cut 1.5 mm deep, six diameters; up to five are sold: common practice, no source."""
    corners = found(reviewed(window(6.0), job_with(limits=Limits(deviation_mm=asked))), "rounded-corner")
    assert remedy in corners[-1].remedy


@pytest.mark.parametrize(("gap", "is_advised"), [(0.25, False), (0.35, True)])
def test_a_gap_is_opened_by_a_cutter_that_is_sold_or_not_at_all(gap, is_advised):
    narrow = one(channel(gap), "narrow-gap", relief_mm=1.5)  # 6 and 4.3 times as deep as wide
    assert ("use a cutter of at most" in narrow.remedy) == is_advised


def test_walls_that_nearly_touch_meet_at_less_than_a_degree():
    ink = shapely.box(-72, -6, 70, 6) - shapely.Polygon([(-70, 0), (71, -0.7), (71, 0.7)])  # 0.57° wide
    (corner,) = [
        each for each in found(reviewed(ink, job_with(head_mm=160.0), head_mm=160.0), "rounded-corner") if each.at_mm
    ]
    assert corner.angle_deg == pytest.approx(math.degrees(2 * math.atan(0.7 / 141)), abs=0.01)
    assert "an inside corner of less than 1° with" in corner.says


def test_a_corner_within_the_deviation_is_no_finding():
    review = reviewed(window(6.0), job_with(limits=Limits(deviation_mm=0.2)))
    assert not found(review, "rounded-corner")
    assert len(review.cutters[-1].corners) == 4


@pytest.mark.parametrize(("relief", "severity"), [(3.2, "note"), (4.2, "warning")])
def test_a_gap_is_deep_from_three_times_its_width(relief, severity):
    """A note from 3 times on, a warning beyond 4: common practice, no source."""
    long = Cutter("flat-x", "flat", 0.8, 2, 9.0, 3.175, 15.0)
    job = job_with()
    job = type(job)(head=job.head, cutters=(long,))
    deep = one(channel(1.0), "deep-gap", job, relief_mm=relief)
    assert (deep.severity, deep.measured_mm) == (severity, pytest.approx(1.0))
    assert deep.limit_mm == pytest.approx(relief / 3)


def test_a_rack_too_short_for_the_relief_is_a_stop():
    deep = one(BLOCK, "deep-gap", job_with("flat-0.4"))  # cuts 1.2 mm
    assert (deep.severity, deep.measured_mm, deep.limit_mm) == ("stop", 1.2, 1.5)


def test_a_cutter_too_short_does_not_open_a_gap_at_full_depth():
    narrow = one(channel(0.6), "narrow-gap", job_with("flat-0.794", "flat-0.4"))  # only the short one would pass
    assert "flat-0.794" in narrow.says


def test_the_char_depth_is_that_of_two_half_spaces_in_contact():
    # 2 √(α t) erfc⁻¹(230 / 380) = 0.506 mm for 400 °C, 3 s, α 0.16 mm²/s, char at 250 °C, worked by hand
    from dataclasses import replace

    wood = replace(
        SUBSTRATES["oak-white"],
        diffusivity_mm2_s=0.16,
        face_low_c=400.0,
        face_high_c=400.0,
        dwell_low_s=3.0,
        dwell_high_s=3.0,
        char_c=250.0,
        effusivity_w_sqrts_m2k=1e-6,
    )
    assert char_depth_mm(METALS["brass-c36000"], wood) == pytest.approx(0.506, abs=5e-4)


def test_a_gap_that_chars_shut_is_told_as_a_band():
    bridge = one(channel(1.0), "char-bridge")
    assert bridge.severity == "note"
    assert bridge.measured_mm == pytest.approx(1.0)
    assert 1.1 < bridge.limit_mm < 1.5


def test_a_gap_that_even_the_least_char_closes_is_a_warning():
    """Char creeps 0.15 mm at least past each edge of oak, and smoke asks for a little more: 0.45 mm is too narrow."""
    bridge = one(channel(0.45), "char-bridge", job_with("flat-0.4"), relief_mm=1.2)
    assert bridge.severity == "warning"
    assert "will char shut" in bridge.says


def test_a_gap_no_cutter_opens_needs_no_word_about_char():
    assert not found(reviewed(channel(0.6)), "char-bridge")


def test_leather_chars_less_than_oak():
    limits = {key: _char_limit(SUBSTRATES[key]) for key in SUBSTRATES if key == "oak-white" or "leather" in key}
    assert min(limits, key=limits.get) != "oak-white"


def _char_limit(substrate):
    bridges = found(reviewed(channel(0.81), substrate=substrate), "char-bridge")
    return bridges[0].limit_mm if bridges else 0.0


def test_a_large_solid_is_a_note_at_its_middle():
    solid = one(translate(shapely.box(-6, -7, 6, 7), 2, 1), "large-solid")
    assert (solid.severity, solid.measured_mm) == ("note", pytest.approx(12.0))
    assert solid.limit_mm == 9.5  # 3/8 in, the widest face that rules for hand-held irons name
    assert solid.at_mm[0] == pytest.approx(2.0, abs=0.01)


def test_a_relief_below_that_of_the_substrate_is_shallow():
    shallow = one(BLOCK, "shallow-relief", relief_mm=1.0, head_mm=14.0, job=job_with(head_mm=14.0))
    assert (shallow.severity, shallow.measured_mm) == ("warning", 1.0)


def test_the_relief_asked_for_grows_with_the_floor():
    """The largest disc between a square's corner at (6, 6) and the edges of a head of 40 mm has r = √2 (14 − r).

    From 1.5 mm on 6 mm of floor to 2.0 mm on 18 mm (common practice, no source), on 16.40 mm 1.933; by hand.
    """
    shallow = one(BLOCK, "shallow-relief", job_with(head_mm=40.0), head_mm=40.0)
    assert "a floor open 16.40 mm wide" in shallow.says
    assert shallow.would_mend.relief_mm == pytest.approx(1.933, abs=0.003)


def test_a_wide_floor_asks_for_more_relief():
    assert one(BLOCK, "shallow-relief").severity == "note"
    assert not found(reviewed(BLOCK, job_with(head_mm=14.0), head_mm=14.0), "shallow-relief")


@pytest.mark.parametrize(("share", "severity"), [(0.01, "warning"), (0.2, "stop")])
def test_ink_cut_off_at_the_margin_is_told(share, severity):
    """A stop from a twentieth of the ink on, which is a letter or a stroke: our choice."""
    notice = Notice("outside-margin", "Some ink lies outside.", "Make it smaller.", ink_share=share)
    outside = one(BLOCK, "outside-margin", left_out=(notice,))
    assert (outside.severity, outside.says) == (severity, "Some ink lies outside.")


def test_of_ink_cut_off_the_larger_part_comes_first():
    shares = (0.1, 0.5, 0.2)
    notices = [
        Notice("outside-margin", f"{share} is outside.", "Make it smaller.", ink_share=share) for share in shares
    ]
    outside = found(reviewed(BLOCK, left_out=tuple(notices)), "outside-margin")
    assert [f.says for f in outside] == ["0.5 is outside.", "0.2 is outside.", "0.1 is outside."]
    assert outside[0].area_mm2 == pytest.approx(BLOCK.area)  # as much as is left


@pytest.mark.parametrize(("thread", "severity"), [(6.35, None), (5.53, "warning"), (2.36, "stop"), (-1.0, "stop")])
def test_a_head_too_thin_for_one_diameter_of_thread_is_told(thread, severity):
    """A warning below one diameter, a stop below half of one: common practice, no source."""
    told = found(reviewed(BLOCK, hole=hole(thread)), "hole-too-deep")
    assert [f.severity for f in told] == ([severity] if severity else [])


def test_a_face_that_is_not_reversed_prints_the_wrong_way_round():
    job = job_with(placement=Placement(reverse=False))
    assert one(BLOCK, "not-reversed", job, reversed=False).severity == "warning"
    assert not found(reviewed(BLOCK, job, reversed=False, mirror_symmetric=True), "not-reversed")


def test_a_width_below_what_is_usual_on_the_substrate_is_a_note():
    fine = one(shapely.box(-8, -0.3, 8, 0.3), "finer-than-usual")
    assert (fine.severity, fine.limit_mm) == ("note", SUBSTRATES["oak-white"].land_warn_mm)


def test_a_plain_mark_is_ready():
    review = reviewed(BLOCK, job_with(head_mm=16.0), head_mm=16.0)
    assert review.verdict == "ready"


def test_the_worst_finding_comes_first_and_decides():
    ink = shapely.box(-8, -0.06, 8, 0.06) | shapely.box(-8, 3, 8, 3.4) | shapely.box(-8, 6, 8, 9)
    review = reviewed(ink)
    assert review.verdict == "unmakeable"
    assert (review.findings[0].code, review.findings[0].severity) == ("thin-land", "stop")
    rank = ["stop", "warning", "note"]
    assert [rank.index(f.severity) for f in review.findings] == sorted(rank.index(f.severity) for f in review.findings)


def test_a_rack_wider_than_the_head_is_refused_with_its_field():
    wide = Cutter("flat-x", "flat", 20.0, 2, 9.0, 3.175, 15.0)
    job = job_with(head_mm=16.0)
    with pytest.raises(JobError, match="cutter-too-large") as refused:
        reviewed(BLOCK, type(job)(head=job.head, cutters=(wide,)), head_mm=16.0)
    assert refused.value.refusals[0].pointer == "/job/cutters"


def test_a_fine_cutter_too_short_for_the_relief_is_named():
    deep = one(BLOCK, "deep-gap", job_with("flat-0.794", "flat-0.4"))
    assert (deep.severity, deep.measured_mm, deep.limit_mm) == ("note", 1.2, 1.5)
    assert deep.says.startswith("flat-0.4 cuts 1.20 mm deep")


def test_a_coarse_cutter_too_short_for_the_relief_is_not_missed():
    stub = Cutter("stub", "flat", 3.0, 2, 1.0, 3.175, 12.0)
    job = job_with()
    job = type(job)(head=job.head, cutters=(*job.cutters, stub))
    assert not found(reviewed(BLOCK, job), "deep-gap")


def test_lands_that_meet_in_a_point_as_drawn_have_no_gap_between_them():
    kites = shapely.Polygon([(0, 0), (5, 3), (5, -3)]) | shapely.Polygon([(0, 0), (-5, 3), (-5, -3)])
    review = reviewed(part_pinches(on_grid(kites)))
    assert not found(review, "narrow-gap")
    assert review.gap_min_mm is None


def test_a_hairline_however_fine_is_told():
    (thin,) = found(reviewed(BLOCK | shapely.box(-8, 8, 8, 8.004)), "thin-land")
    assert (thin.severity, thin.measured_mm) == ("stop", pytest.approx(0.004, abs=2e-4))


@pytest.mark.parametrize(
    ("metal", "code", "severity"),
    [
        ("aluminium-6061", "metal-too-cool", "stop"),  # loses its temper at 200 °C (from memory); wood chars from 225
        ("copper-c11000", "metal-runs-cool", "note"),  # anneals from 375 °C (from memory); hardwood is branded from 399
    ],
)
def test_a_metal_that_must_stay_too_cool_for_the_work_is_told(metal, code, severity):
    cool = one(BLOCK, code, job_with(metal=metal))
    assert cool.severity == severity
    assert f"Take another metal, as {cool.would_mend.metal}." in cool.remedy
    told = {f.code for f in reviewed(BLOCK, job_with(metal=cool.would_mend.metal)).findings}
    assert not told & {"metal-too-cool", "metal-runs-cool"}  # the other one does not disappoint in its turn


def test_brass_is_hot_enough_for_oak_and_aluminium_for_leather():
    leather = SUBSTRATES["leather-veg-tanned"]
    codes = [f.code for f in reviewed(BLOCK).findings]
    codes += [f.code for f in reviewed(BLOCK, job_with(metal="aluminium-6061"), substrate=leather).findings]
    assert not {"metal-too-cool", "metal-runs-cool"} & set(codes)


@pytest.mark.parametrize(("gap_mm", "draft_deg"), [(0.4, 10), (0.6, 20), (0.4, 20)])
def test_a_gap_between_sloping_walls_says_how_deep_the_solid_has_it(gap_mm, draft_deg):
    """In the middle of the gap the walls meet: half the gap / tan draft below the face; so has the solid."""
    depth_mm = gap_mm / 2 / math.tan(math.radians(draft_deg))
    narrow = one(channel(gap_mm), "narrow-gap", job_with("flat-0.4", relief=Relief(draft_deg=draft_deg)), relief_mm=1.5)
    said = re.search(r"walls meet ([\d.]+) mm below the face", narrow.says)
    assert (float(said[1]) if said else 1.5) == pytest.approx(min(depth_mm, 1.5), abs=0.006)
    face = solid_face(channel(gap_mm), head=Head(corner_radius_mm=0), relief_mm=1.5)
    solid = build_solid(face, head=Head(corner_radius_mm=0), hole=None, density_kg_m3=8490, draft_deg=draft_deg)
    in_gap = solid.vertices[np.all(np.abs(solid.vertices[:, :2]) <= (8.001, 0.01), axis=1)]
    assert len(in_gap)
    assert in_gap[:, 2] == pytest.approx(-min(depth_mm, 1.5), abs=1e-3)
