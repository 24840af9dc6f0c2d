"""Clause by clause: areas and places that the standards give by hand; the sources stand with the drawings."""

import math

import pytest

from clauses import CASCADE, COLOURS, CONDITIONS, FUNCTIONS, KEPT, LENGTHS, PLACES, SELECTORS, VARIABLES
from features import svg
from regions import DRAWN, K_MM2, REGIONS, SAID, TOLD, WITHOUT_A_BOX
from stampwright.artwork import read_artwork
from stampwright.base import ArtworkError
from stampwright.job import ArtworkChoice

AREAS = {
    f"{kind}: {name}": case
    for kind, cases in {
        "cascade": CASCADE,
        "selectors": SELECTORS,
        "colour": COLOURS,
        "values": LENGTHS,
        "functions": FUNCTIONS,
        "variables": VARIABLES,
        "SVG": CONDITIONS,
    }.items()
    for name, case in cases.items()
}


def read(body):
    return read_artwork(svg(body), ArtworkChoice(), scale_of=lambda _box: 1.0)


@pytest.mark.parametrize("clause", AREAS)
def test_a_clause_gives_its_area(clause):
    body, area = AREAS[clause]
    if area:
        assert read(body).ink.area == pytest.approx(area, abs=1e-3)
    else:
        with pytest.raises(ArtworkError, match="no-ink"):
            read(body)


@pytest.mark.parametrize("shape", REGIONS)
def test_a_shape_of_a_style_sheet_clips(shape):
    assert read(SAID.format(shape)).ink.area == pytest.approx(K_MM2 + REGIONS[shape], abs=0.05)


@pytest.mark.parametrize("what", DRAWN)
def test_a_shape_clips_in_the_box_of_what_it_is_on(what):
    body, area = DRAWN[what]
    assert read(body).ink.area == pytest.approx(area, abs=0.05)


@pytest.mark.parametrize("body", [*map(SAID.format, TOLD), *WITHOUT_A_BOX.values()])
def test_a_shape_that_is_not_read_is_told(body):
    assert "clip-ignored" in [notice.code for notice in read(body).left_out]


@pytest.mark.parametrize("clause", [*PLACES, *KEPT])
def test_a_clause_gives_its_place(clause):
    body, box = (PLACES | KEPT)[clause]
    assert read(body).ink.bounds == pytest.approx(box, abs=1e-6)


def test_a_slice_is_cut_at_its_view():
    view = '<svg width="20" height="10" viewBox="0 0 2 2" preserveAspectRatio="xMidYMid slice">'
    half_height, radius = 5, 10  # of the view, and of the disc that shows in it
    band = radius**2 * math.asin(half_height / radius) + half_height * math.sqrt(radius**2 - half_height**2)
    assert read(view + '<circle cx="1" cy="1" r="1"/></svg>').ink.area == pytest.approx(2 * band, rel=1e-3)
