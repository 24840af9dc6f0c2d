"""Hints: marks spoilt as customers spoil them are asked about, marks as they are meant are not."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from features import svg
from stamped import MARKS
from stampwright.artwork import read_artwork
from stampwright.catalogue import SUBSTRATES
from stampwright.job import ArtworkChoice, Job, Placement
from stampwright.layout import lay_out

STAR = "M30 6 L38 32 L16 14 L44 14 L22 32Z"


def read(drawing, **choice):
    return read_artwork(drawing, ArtworkChoice(**choice), scale_of=lambda _box: 1.0)


def hinted(body, **choice):
    return [hint.code for hint in read(svg(body), **choice).hints]


LIGHT_ON_DARK = {"nightbee", "river"}  # a white bee on a dark seal, a white bend in a dark disc: rightly asked about


@pytest.mark.parametrize("name", sorted(set(MARKS) - LIGHT_ON_DARK))
def test_a_mark_as_it_is_meant_raises_no_hint(name):
    assert not read(MARKS[name].svg).hints


PLATES = ('<rect x="2" y="2" width="56" height="36" rx="3"/>', '<ellipse cx="30" cy="20" rx="28" ry="18"/>')


@pytest.mark.parametrize("plate", PLATES)
@pytest.mark.parametrize("paint", ["#fff", "#fe9", "rgb(200 220 255)"])
def test_a_light_mark_on_a_dark_plate_is_asked_about(plate, paint):
    mark = read(svg(f'{plate}<path d="{STAR}" fill="{paint}"/>'))
    (hint,) = mark.hints
    assert hint.code == "dark-plate"
    assert '"light"' in hint.remedy
    assert hint.bounds_mm == pytest.approx(mark.ink.bounds)


@pytest.mark.parametrize(
    "body",
    [
        f'<path d="M2 2H58V38H2z {STAR}" fill-rule="evenodd"/>',  # a hole is no paint
        f'{PLATES[0]}<path d="{STAR}" fill="#fff"/><path d="{STAR}"/>',  # the light paint is covered again
        f'<rect x="2" y="2" width="9" height="36"/><path d="{STAR}" fill="#fff"/>',  # no plate lies under it
    ],
)
def test_what_is_no_light_mark_on_a_plate_is_not_asked_about(body):
    assert "dark-plate" not in hinted(body)


def test_who_asks_for_the_light_is_not_asked_whether_he_means_it():
    assert hinted(f'{PLATES[0]}<path d="{STAR}" fill="#fff"/>', ink="light") == []


@given(st.integers(0, 359), st.floats(0.2, 0.5))
def test_a_speck_that_makes_the_mark_smaller_is_asked_about(turn, radius):
    x, y = 30 + 17 * np.cos(np.radians(turn)), 20 + 17 * np.sin(np.radians(turn))
    drawing = svg(f'<rect x="20" y="10" width="20" height="20"/><circle cx="{x}" cy="{y}" r="{radius}"/>')
    (hint,) = read(drawing).hints
    assert hint.code == "stray-speck"
    assert shapely.box(*hint.bounds_mm).covers(shapely.Point(x, y))


def test_a_small_piece_within_the_mark_is_no_stray_speck():
    assert hinted('<path d="M5 5H55V35H5zM8 8V32H52V8z" fill-rule="evenodd"/><circle cx="30" cy="20" r=".4"/>') == []


LINE = 'fill="none" stroke="black" stroke-width=".5"'


@pytest.mark.parametrize(("data", "asked"), [("M10 10H50V30H10V10.6", True), ("M10 10H50V30H10V12", False)])
def test_an_outline_whose_ends_all_but_meet_is_asked_about(data, asked):
    assert hinted(f'<path id="frame" d="{data}" {LINE}/>') == ["open-outline"] * asked


@pytest.mark.parametrize("more", ['stroke-linecap="round"', 'style="fill:#fff"'])
def test_a_gap_under_the_caps_or_in_a_filled_outline_is_none(more):
    assert hinted(f'<path d="M10 10H50V30H10V10.3" {LINE} {more}/>') == []


@pytest.mark.parametrize(("fit", "asked"), [("actual_size", True), ("contain", False)])
def test_a_mark_small_on_its_page_is_asked_about_where_its_size_is_taken(fit, asked):
    mark = read(svg('<rect x="20" y="10" width="9" height="9"/>'))
    face = lay_out(mark, Job(placement=Placement(fit=fit)), SUBSTRATES["oak-white"])
    assert [hint.code for hint in face.hints] == ["tiny-on-page"] * asked
