"""Any drawing of lines: what growing must keep, and that it does not matter how the drawing lies on the head."""

import math
import random
from importlib.metadata import distribution

import numpy as np
import pytest
import shapely
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import ndimage
from shapely.affinity import rotate, scale

from grown import bar, bars, grown, ink_of, laid, ring
from growth_judge import judged
from stampwright.artwork import read_artwork
from stampwright.job import ArtworkChoice

POINTS = st.lists(st.tuples(st.integers(0, 48), st.integers(0, 48)), min_size=2, max_size=5, unique=True)
WIDTHS = st.floats(0.22, 0.7)
LIMITS = st.tuples(st.sampled_from([0.4, 0.6, 0.8]), st.sampled_from([0.3, 0.5, 0.794]))


@st.composite
def drawings(draw):
    """One to four strokes, some of them rings, on a field of 12 mm."""
    lines = draw(
        st.lists(st.tuples(POINTS, WIDTHS, st.sampled_from(["round", "flat", "square"])), min_size=1, max_size=4)
    )
    strokes = [
        shapely.LineString(np.array(points) / 4.0).buffer(width / 2, cap_style=cap, quad_segs=12)
        for points, width, cap in lines
    ]
    for x, y, r in draw(st.lists(st.tuples(st.integers(2, 10), st.integers(2, 10), st.integers(1, 4)), max_size=2)):
        strokes.append(shapely.Point(x, y).buffer(r, quad_segs=24).boundary.buffer(0.15, quad_segs=8))
    ink = laid(shapely.union_all(strokes))
    assume(not ink.is_empty)
    return ink


@settings(max_examples=30)
@given(drawings(), LIMITS)
def test_growing_keeps_lands_counters_ink_and_gaps(ink, limits):
    land_mm, gap_mm = limits
    assert judged(*grown(ink, land_mm=land_mm, gap_mm=gap_mm), land_mm=land_mm, gap_mm=gap_mm).faults == ()


def scribble(seed):
    """One to four strokes and up to two rings, over and into each other, with limits and an angle."""
    drawn = random.Random(seed)  # noqa: S311  a sample, no secret
    strokes = []
    for _ in range(drawn.randint(1, 4)):
        points = drawn.sample([(x / 4, y / 4) for x in range(49) for y in range(49)], drawn.randint(2, 5))
        cap, width = drawn.choice(["round", "flat", "square"]), drawn.uniform(0.22, 0.7)
        strokes.append(shapely.LineString(points).buffer(width / 2, cap_style=cap, quad_segs=12))
    for _ in range(drawn.randint(0, 2)):
        centre = shapely.Point(drawn.randint(2, 10), drawn.randint(2, 10))
        strokes.append(centre.buffer(drawn.randint(1, 4), quad_segs=24).boundary.buffer(0.15, quad_segs=8))
    limits = {"land_mm": drawn.choice([0.4, 0.6, 0.8]), "gap_mm": drawn.choice([0.3, 0.5, 0.794])}
    return laid(shapely.union_all(strokes)), limits, drawn.uniform(0, 360)


def test_scribbles_may_turn_before_or_after_growing():
    """In one of twenty a rule stands on its threshold: which walls face each other, what is a joint and what a body."""
    far = []
    for seed in range(16):
        ink, limits, angle = scribble(seed)
        there = ink_of(rotate(ink, angle, origin=(0, 0)), **limits)
        far.append(apart(rotate(there, -angle, origin=(0, 0)), ink_of(ink, **limits)))
    assert np.sort(far)[-2] < 0.01


@pytest.mark.parametrize("seed", [188, 224, 330, 431])
def test_beside_a_joint_it_does_not_matter_whether_land_is_just_wide_enough(seed):
    """The corners there go with the strokes: they were left where a turn made the axis as wide as was asked."""
    ink, limits, angle = scribble(seed)
    there = ink_of(rotate(ink, angle, origin=(0, 0)), **limits)
    assert apart(rotate(there, -angle, origin=(0, 0)), ink_of(ink, **limits)) < 0.01


POCKETS = (242, 244, 401)  # scribbles whose walls run together about a pocket larger or smaller than any speck
GROOVES = (130, 184, 448)  # and beside whose strokes' ends an arc begins: what was left there was no groove
FROZEN = (45, 166, 361, 408)  # scribbles of which some spots are left as drawn, all along what would become narrow

PITS = (27,)  # and one with a pit of a micrometre where corners of strips meet


@pytest.mark.parametrize("seed", POCKETS + GROOVES + FROZEN + PITS)
def test_what_is_left_where_walls_run_together_does_not_change_with_the_scale(seed):
    ink, limits, _ = scribble(seed)
    by = 1.5
    there = ink_of(scale(ink, by, by, origin=(0, 0)), **{name: mm * by for name, mm in limits.items()})
    assert apart(scale(there, 1 / by, 1 / by, origin=(0, 0)), ink_of(ink, **limits)) < 0.01


def strays(seed):
    """How far a scribble grown turned, and half as large again, lies from that grown as it is, and how far mirrored."""
    ink, limits, angle = scribble(seed)
    by, home = 1.5, ink_of(ink, **limits)
    turned = ink_of(rotate(ink, angle, origin=(0, 0)), **limits)
    scaled = ink_of(scale(ink, by, by, origin=(0, 0)), **{name: mm * by for name, mm in limits.items()})
    mirrored = ink_of(scale(ink, -1, 1, origin=(0, 0)), **limits)
    backs = rotate(turned, -angle, origin=(0, 0)), scale(scaled, 1 / by, 1 / by, origin=(0, 0))
    return max(apart(back, home) for back in backs), apart(scale(mirrored, -1, 1, origin=(0, 0)), home)


ON_EDGE = {  # what a rule stood on the edge of, and a turn of the drawing, or its scale, tipped over
    "the last of a corner of the floor, where walls face each other for some micrometres": (58, 107),
    "which corner of a blunt needle lies the farthest out": (3, 161, 232, 257, 435),
    "where the cap of a stroke ends and its sides begin": (98, 347, 384),
    "which way a wall of some micrometres points": (182, 289, 354),
    "a turn of the outline by 30°": (103,),
    "which samples lie where the plane of an end is reached": (23, 135, 186, 352),
    "a right angle, in which an arc begins": (293,),
    "where what is left as drawn begins": (0,),
    "how far what would become too narrow reaches": (202,),
    "how near to a wall of some micrometres a row has its foot": (76, 322),
    "an elbow, in which no stroke ends": (402,),
    "whether a line beyond a corner meets the first wall, whose moves fall, or the next": (242,),
    "which end of a wall of some micrometres is the corner": (657, 706),
}


@pytest.mark.parametrize(("what", "seed"), [(what, seed) for what, seeds in ON_EDGE.items() for seed in seeds])
def test_no_rule_stands_on_the_edge_of(what, seed):
    moved, mirrored = strays(seed)
    assert moved < 0.01, what
    assert mirrored < 0.001, what


@pytest.mark.parametrize("turn", [0, 8, 17.3])
def test_a_needle_with_a_round_point_grows_alike_on_both_sides(turn):
    """Of a point of as many corners two lie equally far out, or one by nothing."""
    point, base = (shapely.Point(x, 0).buffer(radius, quad_segs=8) for x, radius in ((0, 0.06), (8, 0.6)))
    needle = rotate((point | base).convex_hull, turn, origin=(0, 0))
    made = rotate(ink_of(needle), -turn, origin=(0, 0))
    assert made.area > (point | base).convex_hull.area + 0.1
    assert apart(made, scale(made, 1, -1, origin=(0, 0))) < 0.003


@settings(max_examples=12)
@given(drawings())
def test_growing_and_reversing_may_change_places(ink):
    there = ink_of(scale(ink, -1, 1, origin=(0, 0)))
    assert apart(scale(there, -1, 1, origin=(0, 0)), ink_of(ink)) < 0.001


SETTLED = {  # drawings on which no rule stands on its threshold, as it may on any random one
    "a bar and a ring": shapely.LineString([(1, 1), (9, 4)]).buffer(0.14) | ring(2.3, 2.0),
    "a branch": shapely.MultiLineString([[(0, 0), (4, 5), (9, 6)], [(4, 5), (3, 10)]]).buffer(0.15, cap_style="flat"),
    "beside a frozen gap": bar(-5, -0.15, 5, 0.15) | bar(-1, 0.45, 1, 3),
    "a gap that spares a little": bars(3, width=0.3, gap=0.57),
    "a needle and a dot": shapely.Polygon([(0, 0), (8, -0.3), (8, 0.3)]) | bar(0, 2, 0.3, 2.3),
}


@pytest.mark.parametrize("shape", SETTLED.values(), ids=SETTLED)
@pytest.mark.parametrize("angle", [17.3, 90, 233.1])
def test_growing_and_turning_may_change_places(shape, angle):
    there = ink_of(rotate(shape, angle, origin=(0, 0)))
    assert apart(rotate(there, -angle, origin=(0, 0)), ink_of(shape)) < 0.01


@pytest.mark.parametrize("shape", SETTLED.values(), ids=SETTLED)
@pytest.mark.parametrize("by", [0.5, 1.5, 2.0])
def test_growing_and_scaling_may_change_places(shape, by):
    there = ink_of(scale(shape, by, by, origin=(0, 0)), land_mm=0.5 * by, gap_mm=0.5 * by)
    assert apart(scale(there, 1 / by, 1 / by, origin=(0, 0)), ink_of(shape)) < 0.01


def strokes(*ways, width=0.49):
    return shapely.union_all([shapely.LineString(way).buffer(width / 2, quad_segs=12) for way in ways])


MEETING = {  # four walls and more are as near to the middle of each: rounding parts it, another way at each turn
    "an arrow": strokes([(0, 0), (5, 0)], [(3, 2), (5, 0), (3, -2)]),
    "a tee": strokes([(0, 0), (5, 0)], [(5, 2), (5, -2)]),
    "a star": strokes(*[[(0, 0), (3 * math.cos(a), 3 * math.sin(a))] for a in np.radians(range(0, 360, 72))]),
}


@pytest.mark.parametrize("shape", MEETING.values(), ids=MEETING)
@pytest.mark.parametrize("land_mm", [0.6, 0.8])
def test_where_strokes_meet_turning_changes_nothing(shape, land_mm):
    for angle in (17.3, 133.3):
        there = ink_of(rotate(shape, angle, origin=(0, 0)), land_mm=land_mm, gap_mm=0.3)
        assert apart(rotate(there, -angle, origin=(0, 0)), ink_of(shape, land_mm=land_mm, gap_mm=0.3)) < 0.01


def test_a_step_of_some_grid_steps_on_an_outline_is_no_corner():
    """Arc and straights of a stroke that were drawn apart meet in one; a turn of the drawing makes or loses it."""
    ways = [(-5, 0), (0, 0)], [(0, 0), (-2, 5)]
    straights = shapely.union_all([shapely.LineString(way).buffer(0.15, cap_style="flat") for way in ways])
    smooth, stepped = (shapely.Point(0, 0).buffer(0.15 + by, quad_segs=12) | straights for by in (0.0, 0.0004))
    assert apart(ink_of(smooth), ink_of(stepped)) < 0.001


@pytest.mark.parametrize("crumb_mm", [0.0008, 0.002])
@pytest.mark.parametrize("land_mm", [0.5, 0.8])
def test_a_crumb_in_the_corner_where_a_line_runs_into_a_body_leaves_no_slit(crumb_mm, land_mm):
    """The line's grown side runs on to the body's wall beyond the crumb, as it does without one."""
    line, body = bar(-5, -0.15, 1, 0.15), [(3, 3.15), (6, 3.15), (6, -0.15), (0, -0.15)]
    whole, broken = (
        line | shapely.Polygon([*corner, *body])
        for corner in ([(0, 0.15)], [(0, 0.15), (crumb_mm / 3, 0.15 + crumb_mm)])
    )
    assert apart(ink_of(broken, land_mm=land_mm), ink_of(whole, land_mm=land_mm)) < 0.01


FINELY = (12, 40, 64, 96, 200)  # segments of a quarter: the last ones of a micrometre each


@pytest.mark.parametrize("segments", FINELY)
@pytest.mark.parametrize(("width", "land_mm"), [(0.3, 0.4), (0.3, 0.6), (0.5, 0.8)])
def test_a_round_end_grows_alike_however_finely_it_is_drawn(width, land_mm, segments):
    """As wide as asked, round, and flat where it would be longer than drawn: GEOS draws it."""
    line = shapely.LineString([(0, 0), (5, 0)])
    made = ink_of(drawn := line.buffer(width / 2, quad_segs=segments), land_mm=land_mm)
    wanted = line.buffer(land_mm / 2, quad_segs=200) & bar(-width / 2, -land_mm, 5 + width / 2, land_mm)
    assert drawn.difference(made).area < 0.001
    assert apart(made, wanted) < 0.01


def test_a_ring_with_a_crumb_beside_each_of_its_walls_grows_on_both_sides():
    line = shapely.Point(0, 0).buffer(1, quad_segs=192).boundary
    made = ink_of(drawn := line.buffer(0.15, quad_segs=64), land_mm=0.6, gap_mm=0.3)
    assert len(drawn.exterior.coords) > 1500
    assert apart(made, line.buffer(0.3, quad_segs=64)) < 0.01


def letter(char):
    """A letter of DejaVu Sans (Bitstream Vera licence), 4 mm high, its curves as lines."""
    font = TTFont(distribution("ziafont").locate_file("ziafont/fonts/DejaVuSans.ttf"))
    pen = SVGPathPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(char)]].draw(pen)
    head = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-500 -2000 3500 3000"><path transform="scale(1 -1)" d='
    drawn = f'{head}"{pen.getCommands()}"/></svg>'
    ink = read_artwork(drawn.encode(), ArtworkChoice(), scale_of=lambda _: 0.004).ink
    x0, y0, _, y1 = ink.bounds
    return shapely.transform(ink, lambda xy: (xy - (x0, y0)) * 4 / (y1 - y0))


@pytest.mark.parametrize("char", "fjt4")
def test_letters_grow_alike_turned_and_reversed(char):
    drawn, limits = letter(char), {"land_mm": 0.8, "gap_mm": 0.3}
    home, turned = ink_of(drawn, **limits), ink_of(rotate(drawn, 211.9, origin=(0, 0)), **limits)
    there = ink_of(scale(drawn, -1, 1, origin=(0, 0)), **limits)
    assert apart(rotate(turned, -211.9, origin=(0, 0)), home) < 0.01
    assert apart(scale(there, -1, 1, origin=(0, 0)), home) < 0.001


def test_the_gaps_of_a_comb_under_their_limit_stay_as_drawn_on_either_hand():
    comb = bar(0, 0, 0.57, 6) | shapely.union_all([bar(0.5, y, 1.3, y + 0.572) for y in (1, 2.016, 3.032, 4.048)])
    gaps = [bar(0.572, y, 1.29, y + 0.44) for y in (1.574, 2.59, 3.606)]  # 0.444 wide each, within the grid
    for sign in (1, -1):
        made = ink_of(scale(comb, sign, 1, origin=(0, 0)), land_mm=0.6, gap_mm=0.794)
        assert made.area > comb.area
        assert not any(made.intersects(scale(gap, sign, 1, origin=(0, 0))) for gap in gaps)


def apart(a, b):
    """How far the outlines of two areas lie from each other at most [mm]."""
    return shapely.hausdorff_distance(a.boundary, b.boundary)


@settings(max_examples=6)
@given(drawings())
def test_the_same_drawing_gives_the_same_bytes(ink):
    assert shapely.to_wkb(ink_of(ink)) == shapely.to_wkb(ink_of(ink))


PIXEL_MM = 0.02


def raster(ink):
    """Pixels of 0.02 mm on the field of a drawing, true in the ink."""
    side = np.arange(-1.5, 13.5, PIXEL_MM)
    return shapely.contains_xy(ink, *np.meshgrid(side, side))


def narrow(pixels, width_mm):
    """Pixels that no disc of a width covers without leaving them: what an opening by it removes."""
    radius = width_mm / 2 / PIXEL_MM
    core = ndimage.distance_transform_edt(pixels) > radius
    return pixels & (ndimage.distance_transform_edt(~core) > radius + 1)


@settings(max_examples=4)
@given(drawings())
def test_a_raster_sees_no_new_narrow_gap_either(ink):
    before, after = raster(ink), raster(ink_of(ink))
    lost = narrow(~after, 0.5 - 3 * PIXEL_MM)
    was = ndimage.distance_transform_edt(~(narrow(~before, 0.5) | before))
    pieces, count = ndimage.label(lost & (was > 0.5 / PIXEL_MM))
    corner_mm2 = 0.25**2 * (1 / math.tan(math.radians(30)) - math.radians(60))  # what a 60° corner leaves uncovered
    sizes = ndimage.sum_labels(np.ones_like(pieces), pieces, range(1, count + 1)) * PIXEL_MM**2
    assert (np.atleast_1d(sizes) <= 2 * corner_mm2).all()


@pytest.mark.parametrize("width", [0.22, 0.3, 0.45])
def test_a_raster_sees_the_width_that_was_asked_for(width):
    path = shapely.LineString([(1, 1), (6, 3), (11, 2)])
    depth = ndimage.distance_transform_edt(raster(ink_of(path.buffer(width / 2, cap_style="flat")))) * PIXEL_MM
    inner = shapely.get_coordinates(path.segmentize(0.1))[5:-5]  # of the line, half a millimetre off its ends
    column, row = np.rint((inner + 1.5) / PIXEL_MM).astype(int).T
    seen = ndimage.maximum_filter(depth, 5)[row, column]
    assert 2 * seen.min() == pytest.approx(0.5, abs=2.5 * PIXEL_MM)
