"""What is not read exactly is told by its code and its element, and can be let pass where it refuses."""

import pytest

from features import svg
from stampwright.artwork import read_artwork
from stampwright.base import ArtworkError
from stampwright.job import ArtworkChoice

SQUARE = '<rect x="10" y="5" width="9" height="9"{}/>'
STOPS = '<stop stop-color="#000"/><stop offset="1" stop-color="#fff"/>'
TOLD = {
    "css-ignored": "<style>@supports (fill:red){rect{fill:red}}</style>",
    "gradient-crosses-threshold": f'<linearGradient id="g">{STOPS}</linearGradient>' + SQUARE.format(' fill="url(#g)"'),
    "mask-thresholded": '<mask id="m"><rect width="60" height="40" fill="#ccc"/></mask>'
    + SQUARE.format(' mask="url(#m)"'),
    "blend-ignored": SQUARE.format(' style="mix-blend-mode:multiply"'),
    "join-approximated": SQUARE.format(' stroke="#000" stroke-linejoin="arcs"'),
    "clip-ignored": SQUARE.format(' style="clip-path:hexagon(3px)"'),
    "transform-ignored": SQUARE.format(' transform="perspective(3)"'),
    "unknown-element": "<hive/>",
    "animation-ignored": '<g><animate attributeName="x"/></g>',
    "symbol-size": '<symbol id="s" width="9" height="9"><path d="M0 0h3v3z"/></symbol><use href="#s"/>',
    "language-choice": '<switch><g systemLanguage="en"><path d="M0 0h3v3z"/></g></switch>',
    "text-in-clip": '<clipPath id="c"><text>Apis</text></clipPath>' + SQUARE.format(' clip-path="url(#c)"'),
}
REFUSED = {
    "foreign-object": '<foreignObject width="9" height="9"/>',
    "pattern-fill": '<pattern id="p"/>' + SQUARE.format(' fill="url(#p)"'),
}


def read(body, **choice):
    return read_artwork(svg(body + '<path d="M30 5h9v9z"/>'), ArtworkChoice(**choice), scale_of=lambda _box: 1.0)


HALVES = {  # of two equal squares one hangs on what is told
    "gradient-crosses-threshold": '<linearGradient id="g"><stop/><stop offset="1" stop-color="#bbb"/></linearGradient>'
    + SQUARE.format(' fill="url(#g)"'),
    "mask-thresholded": '<mask id="m"><rect width="60" height="40" fill="#ccc"/></mask>'
    + SQUARE.format(' mask="url(#m)"'),
    "blend-ignored": SQUARE.format(' style="mix-blend-mode:multiply"'),
    "filter-ignored": SQUARE.format(' filter="url(#f)"'),
    "translucent-as-solid": SQUARE.format(' opacity=".51"'),
}


@pytest.mark.parametrize("code", HALVES)
def test_the_share_of_the_ink_that_is_in_doubt_is_told_with_its_place(code):
    mark = read_artwork(svg(HALVES[code] + '<path d="M30 5h9v9h-9z"/>'), ArtworkChoice(), scale_of=lambda _box: 1.0)
    (notice,) = (*mark.repaired, *mark.left_out)
    assert (notice.code, notice.ink_share) == (code, pytest.approx(0.5))
    assert notice.bounds_mm == pytest.approx((10, 5, 19, 14), abs=1e-6)


def test_what_is_met_often_is_told_once_with_its_count_and_the_first_element_by_path_and_name():
    lost = '<g><use id="bee" href="#none"/><use href="#none"/></g><use href="#none"/>'
    (notice,) = read(f"<g/>{lost}").left_out
    assert (notice.code, notice.count, notice.element) == ("broken-reference", 3, "/svg/g[2]/use[1]#bee")
    assert notice.remedy


def test_what_refuses_says_where_it_is_how_to_convert_it_and_how_to_go_on_without_it():
    text, image = '<text id="name" y="9">Apis</text>', '<image width="9" height="9" href="a.png"/>'
    with pytest.raises(ArtworkError) as refused:
        read(text + image)
    found = {each.code: each for each in refused.value.refusals}
    assert found["text-not-outlined"].element == "/svg/text[1]#name"
    assert "outlines" in found["text-not-outlined"].detail
    assert "race it" in found["raster-image"].detail
    assert all(f"`{code}` in artwork.ignore" in each.detail for code, each in found.items())


@pytest.mark.parametrize(
    ("ink", "paint", "others"), [("dark", "#fff", ("painted", "light")), ("light", "#000", ("dark", "painted"))]
)
def test_a_drawing_without_ink_is_refused_by_the_rule_and_the_rules_that_would_give_some(ink, paint, others):
    with pytest.raises(ArtworkError, match="no-ink") as refused:
        read_artwork(svg(SQUARE.format(f' fill="{paint}"')), ArtworkChoice(ink=ink), scale_of=lambda _box: 1.0)
    (refusal,) = refused.value.refusals
    rule, would = refusal.detail.split(". ", 1)
    assert f'"{ink}"' in rule
    assert all(f'"{other}"' in would for other in others)


def places(mark):
    return {notice.code: notice.element for notice in (*mark.repaired, *mark.left_out)}


@pytest.mark.parametrize("code", TOLD)
def test_a_construct_is_told_with_its_element(code):
    assert places(read(TOLD[code]))[code].startswith("/svg/")


@pytest.mark.parametrize("code", REFUSED)
def test_a_construct_that_refuses_can_be_let_pass(code):
    with pytest.raises(ArtworkError, match=code):
        read(REFUSED[code])
    assert places(read(REFUSED[code], ignore=frozenset({code})))[code].startswith("/svg/")
