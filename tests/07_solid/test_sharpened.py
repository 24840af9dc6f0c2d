"""As cut by a pointed cutter after a flat one: each place as deep as the deepest stand of the cutter that covers it.

The formula is straight and its own: the cutter may stand at q where its tip, half as wide as t, is on floor; it goes
(D(q) − t) / tan(half angle) deep there, D the distance to the ink, at most the relief; at a distance s from its axis
it cuts (s − t) / tan less deep. Of all stands around a place the deepest counts, and where the flat cutter was, it.
"""

import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from outside_checks import assert_closed
from relief_shapes import EXAMPLES, disc, face_of, scattered
from stampwright.base.tolerances import GRID_PER_MM
from stampwright.catalogue import CUTTERS
from stampwright.job import Head, ThreadChoice
from stampwright.plane import Closings, diagram_of, polygons_of
from stampwright.solid import Sharpened, build_solid, plan_hole
from stampwright.solid.grooves import Point, grooved

HEAD = Head(width_mm=60, height_mm=50)
RELIEF_MM = 1.5
FLAT_MM = 0.794  # radius of the flat cutter that went before; one that is wider at the face goes after a larger
COUNTER = shapely.difference(shapely.box(-6, -6, 6, 6), shapely.box(-4, -4, 4, 4))
NORMAL_MM = 0.005  # of the surface, at right angles to it; chords of 0.002 mm, and necks as narrow as the tip
GAPS = {
    "two bars": shapely.union(shapely.box(-6, -6, -0.25, 6), shapely.box(0.25, -6, 6, 6)),
    "two bars that part": shapely.union(
        shapely.Polygon([(-6, -6), (-0.1, -6), (-1, 6), (-6, 6)]), shapely.Polygon([(6, -6), (0.1, -6), (1, 6), (6, 6)])
    ),
    "two discs": shapely.union(disc(4, at=(-4.2, 0)), disc(4, at=(4.2, 0))),
    "a square counter": COUNTER,
    "a slit with an end": shapely.difference(shapely.box(-6, -6, 6, 6), shapely.box(-0.2, -4, 0.2, 6)),
    "a star of slits": shapely.difference(
        disc(6), shapely.union_all([shapely.affinity.rotate(shapely.box(-0.2, 0, 0.2, 7), k * 72) for k in range(5)])
    ),
}
WEDGE_NUMBER = 45  # there ground lies over the foot of a long wall, and near no line around its cell
WEDGE = 7919 * WEDGE_NUMBER
WITH_NECKS = {"two bars that part"}  # where the gap opens at its narrow end


def _two_corners(gap_mm, *, beside_mm=0.0):
    """Lands that come nearest to each other with a square corner each: a neck."""
    below = shapely.Polygon([(-5, -5), (5, -5), (0, 0)])
    above = shapely.Polygon([(-5, 5), (0, 0), (5, 5)])
    return shapely.union(
        *(shapely.affinity.translate(*each) for each in ((below, 0, -gap_mm / 2), (above, beside_mm, gap_mm / 2)))
    )


def _teeth(gap_mm, *, pitch_mm, deep_mm):
    """A gap of so many necks that the tip stands in several at once."""
    edge = [(pitch_mm / 2 * (i - 24), gap_mm / 2 + deep_mm * (i % 2)) for i in range(49)]
    above = shapely.Polygon([(edge[0][0], 6), *edge, (edge[-1][0], 6)])
    return shapely.union(above, shapely.affinity.scale(above, yfact=-1, origin=(0, 0)))


NECKS = {
    "two corners as near as the tip": (_two_corners(0.1), (0, 0)),
    "two corners nearer than the tip": (_two_corners(0.08), (0, 0)),
    "two corners, one beside the other": (_two_corners(0.2, beside_mm=0.05), (0, 0)),
    "a corner before a wall": (
        shapely.union(shapely.box(-6, -6, 6, -0.06), shapely.Polygon([(-3, 5), (0, 0.06), (5, 5)])),
        (0, 0),
    ),
    "a stub half as wide as the tip before a wall": (
        shapely.union(shapely.box(-6, -6, 6, -0.06), shapely.Polygon([(-0.025, 0.06), (0.025, 0.06), (3, 5), (-3, 5)])),
        (0, 0),
    ),
    "teeth": (_teeth(0.12, pitch_mm=0.1, deep_mm=0.03), (0, 0)),
    "a corner within a bend": (scattered(213813), (3.12, -2.02)),
    "a corner within a narrow bend": (scattered(197975), (1.95, 5.96)),
    "a corner before a slope": (scattered(134623), (3.75, -4.39)),
}
POINTED = [key for key, cutter in CUTTERS.items() if cutter.shape == "pointed"]


def _as_cut(area, cutter, *, pointed=True, flat_mm=None):
    """The solid as a flat cutter and then a pointed one leave it, and the ground no flat one reached."""
    face = face_of(area, head=HEAD, relief_mm=RELIEF_MM)
    closings, face_mm = Closings(face.ink), cutter.radius_at_mm(RELIEF_MM)
    left, before = (
        polygons_of(shapely.difference(closings.closed(radius_mm), face.ink))
        for radius_mm in (face_mm, flat_mm or max(FLAT_MM, 1.5 * face_mm))
    )
    sharpened = Sharpened(before, cutter) if pointed else None
    hole = plan_hole(ThreadChoice(), head=HEAD, relief_mm=RELIEF_MM)
    left = left if pointed else before
    return build_solid(face, head=HEAD, hole=hole, density_kg_m3=8490, left_uncut=left, sharpened=sharpened), before


def _heights(solid, places):
    """Height of the front at places that lie within its triangles."""
    corners = solid.vertices[solid.triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    front, normals = corners[normals[:, 2] > 1e-12], normals[normals[:, 2] > 1e-12]
    found, triangle = shapely.STRtree(shapely.polygons(front[:, :, :2])).query(shapely.points(places), "intersects")
    first = np.unique(found, return_index=True)[1]
    at, offset = triangle[first], places[found[first]] - front[triangle[first], 0, :2]
    return front[at, 0, 2] - np.sum(normals[at, :2] * offset, axis=1) / normals[at, 2]


def _envelope(places, ink, cutter, *, rings):
    """The straight formula at places: no stand is better than the best within the tip, as D falls no faster than s."""
    tip, slope = cutter.tip_mm / 2, math.tan(math.radians(cutter.half_angle_deg))
    return -np.clip((_farthest(places, ink, tip, rings=rings) - tip) / slope, 0.0, RELIEF_MM)


def _farthest(places, ink, tip_mm, *, rings):
    """Greatest distance to the ink within the tip's radius: looked for on rings, then nearer around the best."""
    shapely.prepare(ink)
    around = [np.linspace(0, 2 * np.pi, 12 * ring, endpoint=False) for ring in range(1, rings + 1)]
    on_rings = [np.stack([np.cos(turn), np.sin(turn)], axis=1) * len(turn) / (12 * rings) for turn in around]
    offsets = tip_mm * np.vstack([[(0.0, 0.0)], *on_rings]) + np.zeros((len(places), 1, 1))
    nearer = tip_mm / rings * np.stack(np.meshgrid(*[np.linspace(-0.75, 0.75, 5)] * 2), axis=2).reshape(-1, 2)
    for narrower in range(7):
        distance = shapely.distance(ink, shapely.points(places[:, None] + offsets))
        best = np.argmax(distance, axis=1)[:, None]
        offsets = np.take_along_axis(offsets, best[..., None], axis=1) + 0.5**narrower * nearer
        offsets *= np.minimum(1, tip_mm / np.maximum(np.hypot(*offsets.T).T, 1e-9))[..., None]
    return np.take_along_axis(distance, best, axis=1)[:, 0]


def _places(ground, count, *, seed=1):
    """Random places well inside the pieces of some ground."""
    dice, found = np.random.default_rng(seed), []
    for piece in polygons_of(shapely.buffer(ground, -0.006)).geoms:
        x0, y0, x1, y1 = piece.bounds
        tried = dice.uniform((x0, y0), (x1, y1), (60 * count, 2))
        found.append(tried[shapely.contains_xy(piece, *tried.T)][:count])
    return np.concatenate([np.zeros((0, 2)), *found])


def _normal_errors(area, cutter, *, within=None, most=500, flat_mm=None):
    """Of the surface against the formula, at the middle of triangles and of their sides, at right angles to the wall.

    `most` of them, by dice; `within`: only there.
    """
    solid, before = _as_cut(area, cutter, flat_mm=flat_mm)
    assert_closed(solid)
    ground = shapely.buffer(before if within is None else shapely.intersection(before, within), -0.006)
    corners = solid.vertices[solid.triangles]
    corners = corners[np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2] > 1e-12]
    share = np.array([[1, 1, 1], [1, 1, 0], [0, 1, 1], [1, 0, 1]])
    places = np.einsum("kc,mcx->mkx", share / share.sum(axis=1, keepdims=True), corners).reshape(-1, 3)
    shapely.prepare(ground)
    places = places[shapely.contains_xy(ground, *places[:, :2].T)]
    places = np.random.default_rng(1).permutation(places)[:most]
    return _against_formula(places, face_of(area, head=HEAD).ink, cutter)


def _against_formula(places, ink, cutter):
    """How much higher places (n, 3) lie, at right angles to the wall; where a coarse look leaves a doubt by a fine."""
    normal = math.sin(math.radians(cutter.half_angle_deg))
    errors = normal * (places[:, 2] - _envelope(places[:, :2], ink, cutter, rings=3))
    doubted = np.flatnonzero(np.abs(errors) > NORMAL_MM / 2)
    errors[doubted] = normal * (places[doubted, 2] - _envelope(places[doubted, :2], ink, cutter, rings=10))
    return errors


@pytest.mark.parametrize("key", POINTED)
@pytest.mark.parametrize("area", GAPS.values(), ids=GAPS)
def test_every_place_is_as_deep_as_the_deepest_stand_of_the_cutter(area, key):
    errors = _normal_errors(area, CUTTERS[key])
    assert len(errors) > 50
    assert np.abs(errors).max() < NORMAL_MM


@pytest.mark.parametrize("area", GAPS.values(), ids=GAPS)
def test_one_wider_than_the_flat_one_before_it_grooves_what_that_left(area):
    cutter = CUTTERS["pointed-60"]
    assert cutter.radius_at_mm(RELIEF_MM) > 0.5
    errors = _normal_errors(area, cutter, flat_mm=0.5)
    assert len(errors) > 50
    assert np.abs(errors).max() < NORMAL_MM


@pytest.mark.parametrize("key", POINTED)
@pytest.mark.parametrize(("area", "place"), NECKS.values(), ids=NECKS)
def test_at_a_neck_the_tip_comes_from_both_sides(area, place, key):
    errors = _normal_errors(area, CUTTERS[key], within=shapely.Point(place).buffer(0.2), most=300)
    assert len(errors) > 50
    assert np.abs(errors).max() < NORMAL_MM


@pytest.mark.parametrize("key", POINTED)
@pytest.mark.parametrize("area", [area for name, area in GAPS.items() if name not in WITH_NECKS])
def test_but_at_necks_no_line_of_the_surface_crosses_another(area, key):
    """Where ways of the tip meet, arcs of all of them lie on one circle: each way's chords end where the others' do."""
    cutter = CUTTERS[key]
    lines = shapely.linestrings(np.rint(_lines(face_of(area, head=HEAD).ink, cutter).xy * GRID_PER_MM) / GRID_PER_MM)
    assert len(lines) > 50
    assert not shapely.STRtree(lines).query(lines, predicate="crosses").size


def _lines(ink, cutter, *, ground=None):
    """Lines of the surface beside the ink, on some ground or on all."""
    point = Point(cutter.tip_mm / 2, cutter.radius_at_mm(RELIEF_MM))
    meets = shapely.box(-1000, -1000, 1000, 1000) if ground is None else ground
    shapely.prepare(meets)
    found, _ = grooved(
        diagram_of(ink),
        point,
        may_meet=lambda low, high: shapely.intersects(meets, shapely.box(*low.T, *high.T)),
        chord_mm=0.002,
    )
    return found


@pytest.mark.parametrize("key", POINTED)
@pytest.mark.parametrize("name", [*GAPS, *NECKS, "a wedge before a long wall"])
def test_lines_that_are_not_made_lie_beyond_the_ground(name, key):
    areas = {
        **GAPS,
        **{name: area for name, (area, _) in NECKS.items()},
        "a wedge before a long wall": scattered(WEDGE),
    }
    area = areas[name]
    ink, cutter = face_of(area, head=HEAD).ink, CUTTERS[key]
    flat_mm = max(FLAT_MM, 1.5 * cutter.radius_at_mm(RELIEF_MM))
    ground = shapely.buffer(shapely.difference(Closings(ink).closed(flat_mm), ink), 0.0)
    shapely.prepare(ground)
    everywhere, there = _lines(ink, cutter), _lines(ink, cutter, ground=ground)
    assert len(there.xy) < len(everywhere.xy) or name in NECKS
    met = [
        np.column_stack([of.xy.reshape(-1, 4), of.depth])[shapely.intersects(ground, shapely.linestrings(of.xy))]
        for of in (everywhere, there)
    ]
    assert len(met[0]) > 10
    np.testing.assert_array_equal(*(of[np.lexsort(of.T)] for of in met))


@pytest.mark.parametrize("number", sorted({*range(max(EXAMPLES // 10, 10)), WEDGE_NUMBER}))
def test_any_heap_is_cut_as_the_formula_says(number):
    key = POINTED[number % len(POINTED)]
    errors = _normal_errors(scattered(7919 * number % 1_000_003), CUTTERS[key], most=300)
    assert np.abs(errors).max(initial=0.0) < NORMAL_MM


@pytest.mark.parametrize("gap_mm", [0.1, 0.2, 0.4])
@pytest.mark.parametrize("key", POINTED)
def test_between_two_corners_the_tip_goes_deepest_beside_them(gap_mm, key):
    """Standing t beside the middle of the neck, √(t² + (gap / 2)²) from both corners, it covers that middle."""
    cutter = CUTTERS[key]
    tip, slope = cutter.tip_mm / 2, math.tan(math.radians(cutter.half_angle_deg))
    solid, _ = _as_cut(_two_corners(gap_mm), cutter)
    deep = (math.hypot(tip, gap_mm / 2) - tip) / slope
    normal = math.sin(math.radians(cutter.half_angle_deg))
    assert normal * _heights(solid, np.zeros((1, 2))) == pytest.approx([-normal * deep], abs=0.002)


@pytest.mark.parametrize("wide_mm", [0.2, 0.35, 0.5])
@pytest.mark.parametrize("key", ["pointed-20", "pointed-30", "pointed-60"])
def test_a_gap_between_two_bars_gets_a_groove_of_its_own_depth(wide_mm, key):
    """(width − tip) / (2 tan(half the included angle)) along its middle, as wide at the bottom as the tip."""
    cutter = CUTTERS[key]
    bars = shapely.union(shapely.box(-6, -6, -wide_mm / 2, 6), shapely.box(wide_mm / 2, -6, 6, 6))
    # a flat cutter's corners are sharpened beside it, else the pointed one would not be there
    solid, _ = _as_cut(shapely.union(bars, shapely.affinity.translate(COUNTER, 16, 0)), cutter)
    deep = (wide_mm - cutter.tip_mm) / (2 * math.tan(math.radians(cutter.half_angle_deg)))
    across = np.linspace(-0.45 * cutter.tip_mm, 0.45 * cutter.tip_mm, 5)
    places = np.column_stack([np.repeat(across, 4), np.tile([-3.0, -1.0, 1.1, 2.7], 5)])
    chord_mm = 0.002 / math.sin(math.radians(cutter.half_angle_deg))
    assert _heights(solid, places) == pytest.approx(np.full(20, -deep), abs=chord_mm)


def test_in_a_corner_the_face_keeps_the_radius_of_the_tip():
    """What stays of a square corner at the height of the face: r²(1 − π/4), r half the tip."""
    cutter = CUTTERS["pointed-20"]
    corners = (solid := _as_cut(COUNTER, cutter)[0]).vertices[solid.triangles]
    top = shapely.polygons(corners[np.all(corners[:, :, 2] == 0, axis=1)][:, :, :2])
    kept = float(np.sum(shapely.area(top))) - COUNTER.area
    assert kept == pytest.approx(4 * (1 - math.pi / 4) * (cutter.tip_mm / 2) ** 2, abs=4 * 0.002 * cutter.tip_mm)


def test_a_pointed_cutter_only_takes_metal_and_never_of_the_lands():
    with_it, without = (
        _as_cut(GAPS["two discs"], CUTTERS["pointed-30"], pointed=pointed)[0] for pointed in (True, False)
    )
    assert without.volume_mm3 - with_it.volume_mm3 > 0.1
    on_land = _places(GAPS["two discs"], 200)
    assert np.all(_heights(with_it, on_land) == 0)


def test_where_the_flat_cutter_was_the_floor_is_level():
    solid, before = _as_cut(GAPS["two discs"], CUTTERS["pointed-30"])
    face = face_of(GAPS["two discs"], head=HEAD)
    floor = shapely.difference(shapely.difference(face.head, face.ink), shapely.buffer(before, 0.01))
    assert np.all(_heights(solid, _places(floor, 300)) == -RELIEF_MM)


def test_a_cutter_that_opened_nothing_changes_nothing():
    face = face_of(COUNTER, head=HEAD)
    nothing = Sharpened(shapely.MultiPolygon(), CUTTERS["pointed-20"])
    plain, same = (
        build_solid(face, head=HEAD, hole=None, density_kg_m3=8490, left_uncut=shapely.MultiPolygon(), sharpened=one)
        for one in (None, nothing)
    )
    assert np.array_equal(plain.vertices, same.vertices)


@given(
    seed=st.integers(0, 10**6),
    turn_deg=st.sampled_from([0.0, 45.0, 12.3]),
    key=st.sampled_from(POINTED),
)
@example(seed=1162, turn_deg=45.0, key="pointed-30")  # ground left and lands meet in lines as well as in areas
@example(seed=1389, turn_deg=0.0, key="pointed-30")
@example(seed=70354, turn_deg=0.0, key="pointed-20")  # a slit of more than a crumb ends in a point of two parts
@example(seed=126704, turn_deg=12.3, key="pointed-60")
@settings(max_examples=EXAMPLES // 4)
def test_any_heap_of_boxes_wedges_and_discs_stays_closed_as_cut(seed, turn_deg, key):
    area = scattered(seed, turn_deg=turn_deg)
    assert_closed(_as_cut(area, CUTTERS[key])[0])


def test_the_same_job_gives_the_same_mesh_as_cut():
    first, second = (_as_cut(scattered(7), CUTTERS["pointed-20"])[0] for _ in range(2))
    assert np.array_equal(first.vertices, second.vertices)
    assert np.array_equal(first.triangles, second.triangles)


@pytest.mark.parametrize("draft_deg", [0.0, 10.0])
def test_a_diagram_that_is_there_already_gives_the_same_solid(draft_deg):
    face = face_of(GAPS["two discs"], head=HEAD)
    closings, cutter = Closings(face.ink), CUTTERS["pointed-20"]
    left, before = (polygons_of(shapely.difference(closings.closed(r_mm), face.ink)) for r_mm in (0.3, FLAT_MM))
    as_cut = {"left_uncut": left, "sharpened": Sharpened(before, cutter)}
    more = {"draft_deg": draft_deg} if draft_deg else as_cut
    alone, shared = (
        build_solid(face, head=HEAD, hole=None, density_kg_m3=8490, diagram=diagram, **more)
        for diagram in (None, diagram_of(face.ink))
    )
    assert np.array_equal(alone.vertices, shared.vertices)
    assert np.array_equal(alone.triangles, shared.triangles)


def test_lands_that_reach_the_rim_of_the_head_close_as_cut():
    area = shapely.union_all([GAPS["two bars"], shapely.box(-30, -25, -0.25, -10), shapely.box(0.25, -25, 30, -10)])
    assert_closed(_as_cut(area, CUTTERS["pointed-30"])[0])
