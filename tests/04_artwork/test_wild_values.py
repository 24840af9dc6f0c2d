"""Every property and attribute under values that nobody means: read or refused, never broken."""

import pytest

from features import svg
from stampwright.artwork import faults, read_artwork
from stampwright.artwork.svg.properties import PROPERTIES
from stampwright.base import InternalFault, StampwrightError
from stampwright.job import ArtworkChoice

WILD = (
    "",
    "0",
    "-1",
    "1e999",
    "nan",
    "150%",
    "calc(3em + 9%)",
    "oops",
    "inherit",
    "var(--a, unset)",
    "none",
    "url(#m)",
    "M0 0h9v9z",
)
LENGTHS = (
    "x",
    "y",
    "width",
    "height",
    "cx",
    "cy",
    "r",
    "rx",
    "ry",
    "x1",
    "y1",
    "x2",
    "y2",
    "d",
    "points",
    "pathLength",
)
OTHERS = (
    "viewBox",
    "preserveAspectRatio",
    "href",
    "offset",
    "orient",
    "refX",
    "markerWidth",
    "maskUnits",
    "class",
    "id",
)
OTHERS += ("clipPathUnits", "gradientUnits", "gradientTransform", "fr", "fx", "font", "marker", "all")
BODY = (
    '<defs><linearGradient id="l" {0}><stop {0}/><stop offset="1" {0}/></linearGradient><radialGradient id="o" {0}/>'
    '<marker id="m" {0}><path d="M0 0h1v1z" {0}/></marker><mask id="k" {0}><rect width="9" height="9" {0}/></mask>'
    '<clipPath id="c" {0}><circle r="9" {0}/><use href="#a" {0}/></clipPath><symbol id="s" {0}><g {0}/></symbol></defs>'
    '<g stroke="#000" {0}><path id="a" d="M1 1h20v9z" stroke-dasharray="3 1" marker-end="url(#m)" {0}/></g>'
    '<rect width="9" height="9" fill="url(#l)" clip-path="url(#c)" {0}/><ellipse rx="9" ry="9" mask="url(#k)" {0}/>'
    '<polygon points="1 1 9 1 9 9" fill="url(#o)" {0}/><line x2="30" y2="20" {0}/><use href="#s" width="9" {0}/>'
    '<svg width="9" height="9" viewBox="0 0 2 2" {0}><circle r="2" {0}/></svg><switch {0}><g {0}/></switch>'
)
IGNORED = frozenset({"text-not-outlined", "raster-image", "pattern-fill", "foreign-object"})


def try_out(attribute):
    """Read a drawing in which every element has an attribute; one that had it twice is no XML, and refused."""
    try:
        mark = read_artwork(svg(BODY.format(attribute)), ArtworkChoice(ignore=IGNORED), scale_of=lambda _box: 1.0)
    except InternalFault:
        raise
    except StampwrightError:
        return
    assert not faults(mark)


@pytest.mark.parametrize("name", sorted({*PROPERTIES, *LENGTHS, *OTHERS}))
def test_an_attribute_and_a_property_of_any_value_are_read_or_refused(name):
    for value in WILD:
        try_out(f'{name}="{value}" style="{name}:{value}"')
