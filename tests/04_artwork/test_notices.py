"""What is not read exactly is told by its code and its element, and can be let pass where it refuses."""

import pytest

from features import svg
from stampwright.artwork import read_artwork
from stampwright.base import ArtworkError
from stampwright.job import ArtworkChoice

SQUARE = '<rect x="10" y="5" width="9" height="9"{}/>'
STOPS = '<stop stop-color="#000"/><stop offset="1" stop-color="#fff"/>'
TOLD = {
    "css-ignored": "<style>@layer a{rect{fill:red}}</style>",
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
