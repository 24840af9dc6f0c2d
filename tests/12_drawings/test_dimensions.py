"""Dimensions: what they say is what they span, and no figure lies on a line."""

from xml.etree import ElementTree as ET

import pytest

from stampwright.drawings.dimensions import across, figure_of, upright
from stampwright.drawings.words import width_of

SIZE_MM = 2.3
LENGTHS = [1.0, 3.0, 5.5, 7.0, 20.0]


def dimensioned(draw, length, away):
    """Lines and figure of one dimension in its own axes, the measured line level at y = 0."""
    root = ET.Element("svg")
    if draw is across:
        across(root, 0.0, length, y=0.0, from_y=away)
    else:
        upright(root, 0.0, length, x=0.0, from_x=away)
    (group,) = root
    lines = [tuple(float(line.get(key)) for key in ("x1", "y1", "x2", "y2")) for line in group.iter("line")]
    (figure,) = group.iter("text")
    return group, lines, figure


@pytest.mark.parametrize("draw", [across, upright])
@pytest.mark.parametrize("away", [-6.0, 6.0])
@pytest.mark.parametrize("length", LENGTHS)
def test_no_figure_lies_on_a_line_of_its_dimension(draw, length, away):
    group, lines, figure = dimensioned(draw, length, away)
    x, base = float(figure.get("x")), float(figure.get("y"))
    half = width_of(figure.text, size_mm=SIZE_MM) / 2
    top = base - 0.73 * SIZE_MM
    cleared = list(group.iter("rect"))  # a figure on its line has a ground of its own
    for x0, y0, x1, y1 in lines:
        is_beside = max(x0, x1) <= x - half or min(x0, x1) >= x + half
        is_off = max(y0, y1) <= top or min(y0, y1) >= base
        is_own = y0 == y1 == 0.0 and cleared
        assert is_beside or is_off or is_own


@pytest.mark.parametrize("draw", [across, upright])
@pytest.mark.parametrize("length", LENGTHS)
def test_the_figure_is_the_length_between_the_extension_lines(draw, length):
    _, lines, figure = dimensioned(draw, length, 6.0)
    ends = sorted(x0 for x0, _, x1, _ in lines if x0 == x1)
    assert float(figure.text) == pytest.approx(ends[1] - ends[0])


@pytest.mark.parametrize(
    ("length", "figure"), [(1.625 * 25.4, "41.28"), (0.125, "0.13"), (2.0, "2.00"), (7.994, "7.99")]
)
def test_halves_of_a_hundredth_are_rounded_up(length, figure):
    """ISO 80000-1:2009, annex B, rule B: the greater of two that are as near."""
    assert figure_of(length) == figure
