"""Translucent paint: told where what lies below could change what it comes to, silent where nothing could.

Simple alpha compositing (W3C Compositing and Blending 1, section 5): the result is α·colour + (1 − α)·backdrop.
"""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corpora.compare import dark
from features import svg
from stampwright.artwork import read_artwork
from stampwright.artwork.paint import HALF, Backdrop, Colour, adds_ink
from stampwright.base import ArtworkError
from stampwright.job import ArtworkChoice

FULL = '<rect x="5" y="5" width="20" height="20" {}/>'


def told(body, **choice):
    mark = read_artwork(svg(body + '<path d="M40 5h9v9z"/>'), ArtworkChoice(**choice), scale_of=lambda _box: 1.0)
    return [notice.code for notice in (*mark.repaired, *mark.left_out)]


@pytest.mark.parametrize(
    "body",
    [
        FULL.format('opacity=".2"'),  # light grey by another name: no ink, as #ccc is none
        FULL.format('fill-opacity=".2" stroke="#000"'),
        FULL.format('opacity=".8"'),  # over white and over anything else dark
        FULL.format('fill="#000"') + FULL.format('fill="#000" opacity=".3"'),
        FULL.format('fill="#000"') + FULL.format('fill="#fff" opacity=".9"'),
        FULL.format('fill="rgb(0 0 0 / 20%)"'),
    ],
)
def test_translucent_paint_that_only_comes_to_one_thing_is_read_without_a_word(body):
    assert told(body) == []


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (FULL.format('fill="#000" opacity=".51"'), "translucent-as-solid"),  # 0.49 of luma: a viewer may round it up
        (FULL.format("") + FULL.format('fill="#aaa" opacity=".6"'), "translucent-as-solid"),  # 0.4 over black
        (FULL.format('fill="#666"') + FULL.format('fill="#fff" opacity=".4"'), "translucent-skipped"),  # 0.64 there
        (FULL.format('fill="#aaa"') + FULL.format('fill="#000" opacity=".4"'), "translucent-skipped"),  # 0.4 there
        (FULL.format('opacity=".2"') * 4, "translucent-skipped"),  # 0.8⁴ is 0.41
        ('<g opacity=".6">' + FULL.format("") + FULL.format('fill="#666"') + "</g>", "translucent-as-solid"),  # 0.64
        (FULL.format('opacity=".45" stroke="#fff"'), "translucent-skipped"),  # fill and stroke fade as one
    ],
)
def test_translucent_paint_that_hangs_on_what_lies_below_is_told(body, code):
    assert code in told(body)


def test_where_any_paint_is_ink_all_translucency_is_told():
    assert told(FULL.format('opacity=".2"'), ink="painted") == ["translucent-as-solid"]


grey = st.tuples(st.integers(0, 255), st.integers(1, 255))


@given(st.lists(grey, min_size=1, max_size=5))
def test_what_a_backdrop_settles_is_what_compositing_gives_for_every_pile(paints):
    """Every subset of the paints, in their order, may lie on some spot of the paper."""
    backdrop, certain = Backdrop(), []
    for luma, alpha in ((level / 255, opacity / 255) for level, opacity in paints):
        colour = Colour(luma, alpha)
        if alpha < 1 and not backdrop.settles(colour):
            return
        backdrop.cover(colour)
        certain.append(colour)
    for size in range(1, len(certain) + 1):
        for pile in itertools.combinations(certain, size):
            assert _taken(pile) == (_composed(pile) < HALF)


def _taken(pile):
    ink = False
    for colour in pile:
        adds = adds_ink(colour, "dark")
        ink = ink if adds is None else adds
    return ink


def _composed(pile):
    luma = 1.0
    for colour in pile:
        luma = colour.alpha * colour.luma + (1 - colour.alpha) * luma
    return luma


@given(st.lists(st.tuples(grey, st.integers(0, 30)), min_size=1, max_size=4))
def test_silent_piles_are_dark_where_the_renderer_draws_them_dark(layers):
    body = "".join(
        f'<path d="M{x} 2h20v20h-20z" fill="rgb({level} {level} {level})" fill-opacity="{opacity / 255}"/>'
        for (level, opacity), x in layers
    )
    drawing = svg(body)
    try:
        mark = read_artwork(drawing, ArtworkChoice(), scale_of=lambda _box: 1.0)
    except ArtworkError:
        return
    if not (mark.repaired or mark.left_out):
        size = (240, 160)
        assert dark(drawing.decode(), size).mean() * 60 * 40 == pytest.approx(mark.ink.area, abs=0.02 * 60 * 40)
