"""Ground that growing cut off: filled where it is small, and never what was a counter of the drawing."""

import pytest
import shapely

from grown import bar, ink_of, laid
from stampwright.thickening.pockets import without_pits, without_pockets

GAP_MM = 0.5  # a pocket is small below a tenth of its square, 0.025 mm²


def area(shape):
    return shapely.MultiPolygon(shapely.get_parts(shape).tolist())


BLOCK = bar(0, 0, 10, 10)
DRAWN = area(BLOCK - bar(1, 1, 4, 4) - bar(6, 6, 6.1, 6.1))  # two counters, one of them smaller than a pocket


def filled(shape):
    return without_pockets(area(shape), DRAWN, gap_mm=GAP_MM)


def test_what_was_cut_off_a_counter_is_filled_and_the_rest_of_it_stays():
    cut = DRAWN | bar(1, 1, 4, 1.3) - bar(1, 1, 1.15, 1.15)  # a corner of it, 0.15 mm wide
    assert filled(cut).equals(DRAWN | bar(1, 1, 4, 1.3))


def test_what_was_cut_off_the_open_floor_is_filled():
    assert filled(DRAWN | (bar(10, 0, 10.5, 1) - bar(10, 0.4, 10.1, 0.5))).equals(DRAWN | bar(10, 0, 10.5, 1))


def test_a_counter_that_shrank_below_a_pocket_stays():
    shrunk = DRAWN | bar(6, 6, 6.04, 6.1)
    assert filled(shrunk).equals(shrunk)
    both = shrunk | bar(1, 1, 4, 1.3) - bar(1, 1, 1.15, 1.15)
    assert filled(both).equals(shrunk | bar(1, 1, 4, 1.3))


def test_what_is_large_or_holds_a_land_is_left_to_be_measured():
    large = DRAWN | bar(1, 1, 4, 1.6) - bar(1, 1, 1.2, 1.2)
    assert filled(large).equals(large)
    around = DRAWN | bar(1, 1, 4, 1.3) - (bar(1, 1, 1.15, 1.15) - bar(1.05, 1.05, 1.1, 1.1))
    assert filled(around).equals(around)


STEP = 2.0**-13  # of the grid


@pytest.mark.parametrize("corner", [0, 1, 2, 3])
@pytest.mark.parametrize("way", [1, -1])
def test_pits_and_spikes_of_some_micrometres_are_no_gaps_and_no_lands(corner, way):
    """Wherever the ring begins."""
    slit = shapely.box(8 - STEP, 10 - 16 * STEP, 8 + STEP, 10 + 16 * STEP)
    marred = BLOCK - slit if way > 0 else BLOCK | slit
    turned = shapely.affinity.rotate(marred, 90 * corner, origin=(5, 5))
    assert without_pits(area(turned)).equals(BLOCK)


def test_pits_that_could_be_seen_stay():
    for wide, deep in ((64, 16), (2, 128)):
        marred = area(BLOCK - shapely.box(8 - wide / 2 * STEP, 10 - deep * STEP, 8 + wide / 2 * STEP, 10))
        assert without_pits(marred).equals(marred)


def test_two_strokes_at_an_acute_angle_make_no_counter():
    """Between them the walls run together from both ends of what is too narrow to be kept."""
    for by in (0.5, 1, 2):
        fan = shapely.union_all(
            [shapely.LineString([(0, 0), (8, y)]).buffer(0.15, cap_style="flat") for y in (0, 1.2, 2.4)]
        )
        ink = laid(shapely.affinity.scale(fan, by, by, origin=(0, 0)))
        assert not ink_of(ink, land_mm=0.8 * by, gap_mm=0.3 * by).geoms[0].interiors
