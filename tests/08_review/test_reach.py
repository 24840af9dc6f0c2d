"""What a cutter cannot reach, against closed forms of plane geometry and against GEOS."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import JoinType
from shapely.affinity import rotate, translate

from faces import face_of, job_with, reviewed
from stampwright.base.tolerances import WIDTH_MM
from stampwright.catalogue import CUTTERS, Cutter
from stampwright.job import Limits
from stampwright.plane import area_of, medial_axis, on_grid, section_of
from stampwright.review.apart import lying_apart
from stampwright.review.uncut import areas_mm2, strips_of, uncut_by

ANGLES = st.floats(0, 360)
PLACES = st.tuples(st.floats(-3, 3), st.floats(-3, 3))
BLOCK = shapely.box(-20, -20, 20, 20)
FIT_MM = WIDTH_MM / 2  # what may lack to a cutter's radius


def flat(diameter):
    return Cutter("flat-x", "flat", diameter, 2, 9.0, 3.175, 15.0)


def reach(ink, diameter, **limits):
    job = job_with(limits=Limits(**limits))
    return reviewed(ink, type(job)(head=job.head, cutters=(flat(diameter),), limits=job.limits)).cutters[0]


def notched(angle_deg, turn=0.0, at=(0.0, 0.0)):
    """A block with a triangular window whose corner at `at` has the angle; its other corners are wider or as wide."""
    a = math.radians(angle_deg)
    window = shapely.Polygon([(0, 0), (9, 0), (9 * math.cos(a), 9 * math.sin(a))])
    return BLOCK - translate(rotate(window, turn, origin=(0, 0)), *at)


@settings(max_examples=40)
@given(st.floats(20, 150), st.floats(0.2, 1.2), ANGLES, PLACES)
def test_a_corner_keeps_what_plane_geometry_says(angle, radius, turn, at):
    corners = reach(notched(angle, turn, at), 2 * radius).corners
    corner = min(corners, key=lambda c: math.dist(c.at_mm, at))
    half = math.radians(angle) / 2
    assert corner.at_mm == pytest.approx(at, abs=2e-3)
    assert corner.angle_deg == pytest.approx(angle, abs=0.01)
    assert corner.radius_mm == radius
    assert corner.residual_mm == pytest.approx(radius * (1 / math.sin(half) - 1), rel=1e-3, abs=1e-4)
    assert corner.uncut_area_mm2 == pytest.approx(radius**2 * (1 / math.tan(half) - math.pi / 2 + half), rel=1e-3)


# Residual and area over r and r², from trigonometric tables (five places).
@pytest.mark.parametrize(
    ("angle", "residual", "area"),
    [
        (30, 2.86370, 2.42305),
        (45, 1.61313, 1.23612),
        (60, 1.0, 0.68485),
        (90, 0.41421, 0.21460),
        (120, 0.15470, 0.05375),
    ],
)
def test_a_corner_of_a_common_angle_keeps_the_tabled_share(angle, residual, area):
    corner = min(reach(notched(angle), 0.8).corners, key=lambda c: math.hypot(*c.at_mm))
    assert corner.residual_mm == pytest.approx(0.4 * residual, rel=1e-3)
    assert corner.uncut_area_mm2 == pytest.approx(0.16 * area, rel=1e-3)


@given(st.floats(1.7, 6), ANGLES)
@settings(max_examples=20)
def test_a_square_counter_keeps_four_corners(side, turn):
    window = rotate(shapely.box(-side / 2, -side / 2, side / 2, side / 2), turn)
    got = reach(BLOCK - window, 1.588)
    assert got.uncut_area_mm2 == pytest.approx((4 - math.pi) * 0.794**2, rel=1e-3)
    assert (len(got.corners), got.filled_counters, got.closed_gaps) == (4, 0, 0)


@pytest.mark.parametrize("drawn", [0.1, 0.2, 0.3])
def test_a_corner_drawn_round_keeps_the_difference(drawn):
    window = shapely.box(-3 + drawn, -3 + drawn, 3 - drawn, 3 - drawn).buffer(drawn, quad_segs=64)
    corner = reach(BLOCK - window, 0.794).corners[0]
    assert corner.residual_mm == pytest.approx((0.397 - drawn) * (math.sqrt(2) - 1), abs=WIDTH_MM / 5)
    assert corner.uncut_area_mm2 == pytest.approx((0.397**2 - drawn**2) * (1 - math.pi / 4), rel=5e-3)


def test_a_curve_as_wide_as_the_cutter_is_no_corner():
    got = reach(BLOCK - shapely.Point(0, 0).buffer(0.794, quad_segs=16), 1.588)
    assert (got.corners, got.filled_counters) == ((), 0)
    assert got.uncut_area_mm2 < 0.01


@given(ANGLES)
@settings(max_examples=10)
def test_a_slot_as_wide_as_the_cutter_stays_open(turn):
    slot = rotate(shapely.box(-4, -0.397, 4, 0.397), turn, origin=(0, 0))
    got = reach(BLOCK - slot, 0.794)
    assert (got.filled_counters, got.closed_gaps, len(got.corners)) == (0, 0, 4)


def test_a_counter_too_small_is_filled_and_its_whole_area_stays():
    got = reach(BLOCK - shapely.box(-0.3, -2, 0.3, 2), 0.794)
    assert (got.filled_counters, got.closed_gaps) == (1, 0)
    assert got.uncut_area_mm2 == pytest.approx(0.6 * 4, rel=1e-3)


def test_a_narrow_moat_around_an_island_is_a_closed_gap_and_no_counter():
    moat = shapely.box(-3, -3, 3, 3) - shapely.box(-2.5, -2.5, 2.5, 2.5)
    got = reach(BLOCK - moat, 0.794)
    assert (got.filled_counters, got.closed_gaps) == (0, 1)
    assert got.uncut_area_mm2 == pytest.approx(moat.area, rel=1e-3)


def test_a_slot_without_an_end_is_a_closed_gap_and_a_notch_a_corner():
    """Both have one mouth; between the walls of the slot no corner is rounded, it stays shut over all its length."""
    slot = reach(BLOCK - shapely.box(-0.25, 0, 0.25, 20), 0.794)
    assert (slot.closed_gaps, slot.filled_counters, slot.corners) == (1, 0, ())
    assert slot.uncut_area_mm2 == pytest.approx(0.5 * 20, rel=0.02)
    notch = reach(BLOCK - shapely.Polygon([(0, 0), (2, 20), (-2, 20)]), 0.794)
    assert (notch.closed_gaps, notch.filled_counters, len(notch.corners)) == (0, 0, 1)


def test_what_stays_shut_is_told_by_its_place_and_width():
    slot = rotate(shapely.box(-0.3, -2, 0.3, 2), 30, origin=(0, 0))
    moat = shapely.box(3, -3, 9, 3) - shapely.box(3.5, -2.5, 8.4, 2.5)  # narrowest on its left and above and below
    counter, gap = sorted(reach(BLOCK - slot - moat, 0.794).shut, key=lambda shut: shut.at_mm[0])
    assert (counter.is_counter, gap.is_counter) == (True, False)
    assert math.hypot(*counter.at_mm) < 1.75  # on the middle line, anywhere
    assert (counter.width_mm, gap.width_mm) == pytest.approx((0.6, 0.5), abs=1e-3)
    assert (counter.uncut_area_mm2, gap.uncut_area_mm2) == pytest.approx((2.4, moat.area), rel=1e-3)
    assert (counter.depth_mm, gap.depth_mm) == (0.0, 0.0)


def test_a_pointed_cutter_grooves_what_it_does_not_enter_at_full_depth():
    """(width − tip) / (2 tan(half angle)); 0.4 mm wide, 1.5 mm of relief, 0.63 mm wide at the face."""
    got = reviewed(BLOCK - shapely.box(-0.2, -2, 0.2, 2), job_with("pointed-20"), relief_mm=1.5)
    deep = (0.4 - 0.1) / (2 * math.tan(math.radians(10)))
    assert [shut.depth_mm for shut in got.cutters[0].shut] == pytest.approx([deep], abs=0.002)
    (filled,) = [finding for finding in got.findings if finding.code == "filled-counter"]
    assert f"rising, it can groove the ground {deep:.2f} mm deep, else it stays solid" in filled.says


def test_one_that_is_not_the_finest_is_named_where_it_grooves():
    """0.7 mm wide: a cone of 60° is 1.8 mm wide at the face, and goes 0.52 mm deep where flat ones do not enter."""
    got = reviewed(BLOCK - shapely.box(-0.35, -2, 0.35, 2), job_with("flat-0.794", "pointed-60"), relief_mm=1.5)
    (filled,) = [finding for finding in got.findings if finding.code == "filled-counter"]
    assert "rising, pointed-60 can groove the ground 0.52 mm deep, else it stays solid" in filled.says


def test_a_pointed_cutter_that_rises_leaves_a_corner_as_its_tip_does():
    """Residuals are as the radii: of 90° at full depth 0.314 (√2 − 1), at the face 0.05 (√2 − 1)."""
    got = reviewed(notched(90), job_with("pointed-20", limits=Limits(deviation_mm=0.05)), relief_mm=1.5)
    says = [finding.says for finding in got.findings if finding.code == "rounded-corner" and finding.at_mm]
    assert "0.13 mm there at full depth; rising, the cutter can bring that to 0.021 mm at the face" in "".join(says)


def test_two_discs_that_nearly_touch_close_to_the_neck_between_them():
    disc = shapely.Point(0, 0).buffer(3, quad_segs=64)
    got = reach(disc | translate(disc, 6.1), 0.794)
    assert got.closed_gaps == 1
    # between two circles of radius R and discs of radius r above and below: half a kite less its sectors, four times
    big, r, half = 3.0, 0.397, 3.05
    at = math.acos(half / (big + r))
    kite = half * (big + r) * math.sin(at) / 2
    area = 4 * (kite - at * big**2 / 2 - (math.pi / 2 - at) * r**2 / 2)
    assert got.uncut_area_mm2 == pytest.approx(area, rel=6e-3)  # the drawn polygons lie within the circles


def points_about(reach_mm, at_deg, *, half_deg=25, length=6.0):
    """Lands that point at the middle from as far as that."""
    lands = []
    for turn in np.radians(at_deg):
        tip = reach_mm * np.array([math.cos(turn), math.sin(turn)])
        feet = [turn - math.radians(half_deg), turn + math.radians(half_deg)]
        lands.append(shapely.Polygon([tip, *(tip + length * np.array([math.cos(a), math.sin(a)]) for a in feet)]))
    return on_grid(shapely.multipolygons(lands))


def slot_over_notch():
    """Two narrow lands face each other, a blind slot in the one, a notch in the other."""
    slot = shapely.box(-0.3, 1.4, 0.3, 3) - shapely.box(-0.08, 1, 0.08, 2.8)
    return on_grid(slot | shapely.box(-0.3, -3, 0.3, 0) - shapely.Polygon([(-0.25, 0), (0, -0.5), (0.25, 0)]))


@pytest.mark.parametrize(
    ("ink", "radius"),
    [
        (points_about(0.3, (90, 190, 310)), 0.397),
        (points_about(0.6, (90, 190, 310)), 0.794),
        (points_about(0.7, (90, 185, 300)), 0.794),
        (slot_over_notch(), 0.794),
    ],
)
def test_what_discs_part_is_told_each_by_itself(ink, radius):
    """Clipper2 is the judge: of the parts of the closing, as wide as widths are told, each is met, by its own area."""
    closing = section_of(ink).offset(radius, JoinType.Round, 2.0, 512).offset(-radius, JoinType.Round, 2.0, 512)
    parts = shapely.get_parts(area_of(closing - section_of(ink)))
    parts = parts[~shapely.is_empty(shapely.buffer(parts, -FIT_MM))]
    shut = reach(ink, 2 * radius).shut
    assert len(parts) > 1
    areas_mm2 = [each.uncut_area_mm2 for each in shut]
    assert areas_mm2 == pytest.approx(sorted(shapely.area(parts), reverse=True), rel=1e-3, abs=1e-5)
    at = shapely.points([each.at_mm for each in shut])
    away_mm = shapely.distance(parts[np.argsort(-shapely.area(parts))], at)
    assert np.all(away_mm <= [each.width_mm / 2 + 0.002 for each in shut])  # places are told to the micrometre


def strewn_islands(seed):
    """Small lands on a board, each a little off its place: a cutter enters some of the joints between their gaps."""
    places = np.stack(np.meshgrid(np.arange(8.0), np.arange(8.0)), -1).reshape(-1, 2)
    places += np.random.default_rng(seed).uniform(-0.25, 0.25, places.shape)
    return on_grid(shapely.multipolygons(shapely.buffer(shapely.points(places), 0.2, quad_segs=2)))


@pytest.mark.parametrize(("seed", "radius"), [(1, 0.4), (1, 0.45), (1, 0.5), (2, 0.4), (5, 0.5), (11, 0.45)])
def test_nothing_is_told_apart_that_hangs_together(seed, radius):
    """Clipper2 is the judge, 512 chords a turn: each ground told apart is a part of the closing."""
    islands = strewn_islands(seed)
    closing = section_of(islands).offset(radius, JoinType.Round, 2.0, 512).offset(-radius, JoinType.Round, 2.0, 512)
    parts_mm2 = shapely.area(shapely.get_parts(area_of(closing - section_of(islands))))
    left = uncut_by(medial_axis(islands), radius)
    apart = lying_apart(left, left.pieces.mouths > 1)
    assert len(apart.piece)
    off_mm2 = np.abs(parts_mm2 - apart.area_mm2[:, None]).min(axis=1)
    assert off_mm2.max() < 3e-5


def just_entered(ink, blocked, radius):
    """Discs as large as fits where one smaller by what counts as nothing has a centre, and one of that radius none."""
    free = area_of(section_of(ink).offset(radius - FIT_MM, JoinType.Round, 2.0, 512))
    pockets = shapely.get_parts(shapely.difference(BLOCK, free))
    pockets = pockets[shapely.within(pockets, area_of(blocked))]
    middles = shapely.get_point(shapely.maximum_inscribed_circle(pockets, 1e-6), 0)
    return section_of(shapely.multipolygons(shapely.buffer(middles, shapely.distance(ink, middles), quad_segs=128)))


@pytest.mark.parametrize(("seed", "radius"), [(91, 0.42), (112, 0.45)])
def test_discs_that_overlap_are_counted_once_though_one_only_just_enters(seed, radius):
    """GEOS is the judge: the ground of gaps less the union of discs, which it is given as polygons of 2048 corners."""
    left = uncut_by(medial_axis(strewn_islands(seed)), radius)
    pieces, mouth = left.pieces, np.flatnonzero(left.pieces.mouth)
    just = np.unique(pieces.piece[mouth[pieces.top_mm[mouth] < radius - 1e-5]])
    assert len(just)
    for piece in just:
        rows = np.flatnonzero(pieces.piece == piece)
        ground = shapely.union_all(shapely.polygons(strips_of(left.axis, pieces, rows)))
        of = rows[pieces.mouth[rows]]
        discs = shapely.buffer(shapely.points(pieces.at_top[of]), pieces.top_mm[of], quad_segs=512)
        expected_mm2 = shapely.difference(ground, shapely.union_all(discs)).area
        assert areas_mm2(left)[piece] == pytest.approx(expected_mm2, rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("radius", [1.5875, 0.794, 0.397, 0.2])
def test_the_uncut_ground_is_the_closing_less_the_ink(seed, radius):
    random = np.random.default_rng(seed)
    strokes = [shapely.LineString(random.uniform(-12, 12, (4, 2))).buffer(random.uniform(0.2, 1)) for _ in range(5)]
    ink = on_grid(shapely.union_all(strokes))
    axis = medial_axis(ink)
    # Clipper2 is the judge, by manifold3d, 512 chords a turn; GEOS simplifies on the way and is off by up to 0.2 %
    blocked = section_of(ink).offset(radius, JoinType.Round, 2.0, 512)
    closing = blocked.offset(-radius, JoinType.Round, 2.0, 512) - just_entered(ink, blocked, radius)
    uncut = areas_mm2(uncut_by(axis, radius)).sum()
    assert uncut == pytest.approx(closing.area() - ink.area, rel=2e-4)


@pytest.mark.parametrize("seed", range(4))
def test_each_residue_of_the_opening_holds_an_uncut_piece(seed):
    random = np.random.default_rng(100 + seed)
    strokes = [shapely.LineString(random.uniform(-9, 9, (3, 2))).buffer(0.3, cap_style="square") for _ in range(6)]
    ink, radius = on_grid(shapely.union_all(strokes)), 0.5
    closing = shapely.buffer(shapely.buffer(ink, radius, quad_segs=32), -radius, quad_segs=32)
    residue = shapely.get_parts(shapely.difference(closing, ink))
    residue = residue[shapely.area(residue) > 1e-3]
    axis = medial_axis(ink)
    uncut = uncut_by(axis, radius)
    pieces = shapely.multipoints(axis.vertices[axis.low[uncut.pieces.row]])
    assert (shapely.distance(residue, pieces) < 1e-3).all()
    corner = (uncut.mouths == 1) & (areas_mm2(uncut) > 2e-3)
    assert corner.any()
    assert (shapely.distance(shapely.points(uncut.tip[corner]), shapely.union_all(residue)) < 0.01).all()


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("deviation", [0.05, 0.1, 0.2])
def test_the_faithful_share_is_the_outline_near_a_reachable_disc(seed, deviation):
    random = np.random.default_rng(200 + seed)
    strokes = [shapely.LineString(random.uniform(-12, 12, (4, 2))).buffer(random.uniform(0.2, 1)) for _ in range(5)]
    ink, radius = on_grid(shapely.union_all(strokes)), 0.397
    core = shapely.buffer(shapely.buffer(ink, radius, quad_segs=64), -radius - deviation, quad_segs=64)
    moved = shapely.intersection(ink.boundary, core).length
    share = reach(ink, 2 * radius, deviation_mm=deviation).faithful_share
    assert share == pytest.approx(1 - moved / ink.length, abs=2e-3)


def test_the_share_of_a_square_window_is_a_closed_form():
    # a point at s from the corner lies √((r − s)² + r²) − r from the arc: more than d for s < r − √((r + d)² − r²)
    radius, deviation = 0.794, 0.1
    moved = 8 * (radius - math.sqrt((radius + deviation) ** 2 - radius**2))
    got = reach(BLOCK - shapely.box(-3, -3, 3, 3), 2 * radius, deviation_mm=deviation)
    assert got.faithful_share == pytest.approx(1 - moved / (160 + 24), abs=1e-5)


def test_reached_and_uncut_ground_and_ink_make_up_the_head():
    ink = notched(70)
    got = reach(ink, 1.0)
    head = face_of(ink).head.area
    assert got.reaches_area_mm2 + got.uncut_area_mm2 + face_of(ink).ink.area == pytest.approx(head)


def test_a_finer_cutter_reaches_all_that_a_larger_one_does():
    uncut = [c.uncut_area_mm2 for c in reviewed(notched(50), job_with("flat-3.175", "flat-1.588", "flat-0.4")).cutters]
    assert uncut == sorted(uncut, reverse=True)


def test_a_pointed_cutter_is_judged_by_its_width_at_the_face():
    cutter = CUTTERS["pointed-30"]  # 15° half angle, tip 0.1 mm
    got = reviewed(notched(90), job_with("pointed-30"), relief_mm=1.0).cutters[0]
    # tip / 2 + depth · tan(half angle), by hand: 0.05 + 0.26795
    assert got.face_radius_mm == pytest.approx(cutter.tip_mm / 2 + math.tan(math.radians(15)), rel=1e-6)
    assert got.face_radius_mm == pytest.approx(0.31795, abs=1e-5)
    assert got.floor_radius_mm == pytest.approx(0.05)
    assert got.corners[0].radius_mm == got.face_radius_mm


@pytest.mark.parametrize(("key", "wide_mm"), [("ball-1.588", 0.794), ("pointed-30", 1.5 * math.tan(math.radians(15)))])
def test_a_ball_leaves_a_foot_as_wide_as_its_radius_and_a_cone_as_wide_as_it_leans(key, wide_mm):
    ink = shapely.box(-5, -5, 5, 5)
    got = reviewed(ink, job_with(key), relief_mm=1.5).cutters[0]
    foot = 4 * 10 * wide_mm + math.pi * wide_mm**2  # plane geometry: a square and a disc rolled round it
    assert got.reaches_area_mm2 - got.full_depth_area_mm2 == pytest.approx(foot, rel=1e-3)


def test_a_cutter_shorter_than_the_relief_does_not_reach_the_floor():
    cutters = reviewed(BLOCK, job_with("flat-1.588", "flat-0.4"), relief_mm=1.5, head_mm=60).cutters
    assert [c.reaches_floor for c in cutters] == [True, False]
    assert cutters[1].full_depth_area_mm2 == 0.0
