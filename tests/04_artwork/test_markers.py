"""Markers: drawings against an independent renderer (resvg); by hand where it differs from SVG 2.

It splits an arc in pieces and sets a marker between them, turns those of a closed path as if it were open, takes a
control point on its end for a direction, and cuts a sliced view box to the box instead of the view.
"""

import math

import pytest
import shapely

from corpora.compare import compare
from features import svg
from marker_features import BODIES
from stampwright.artwork import read_artwork
from stampwright.artwork.svg.grammar import path_of
from stampwright.artwork.svg.vertices import vertices_of
from stampwright.base import ArtworkError, TooComplex
from stampwright.job import ArtworkChoice


@pytest.mark.parametrize("name", sorted(BODIES))
def test_markers_are_drawn_as_the_renderer_draws_them(name):
    found = compare(svg(BODIES[name]))
    assert (found.refused, found.notices) == (None, ())
    assert found.matches, f"{found.mismatch_px} px differ of {found.ink_px}"


def towards(*way):
    return math.degrees(math.atan2(way[1], way[0]))


# SVG 2, Paths (directionality), Markers (orient): halfway between arriving and leaving, a closed path too
@pytest.mark.parametrize(
    ("data", "along_deg"),
    [
        ("M0 0H9V9", [0, 45, 90]),
        ("M0 0H9V9z", [-67.5, 45, 157.5, -67.5]),  # z heads for -135°
        ("M0 0H9V9L0 0z", [-67.5, 45, 157.5, -135, -67.5]),  # z without length heads where the last line did
        ("M0 0h0H9", [0, 0, 0]),
        ("M0 0V9v0H9", [90, 90, 45, 0]),  # a line without length keeps the way that was arrived by
        ("M0 0h0v0V-9", [-90, -90, -90, -90]),  # and before any, takes the first that comes
        ("M5 5z", [0, 0]),
        ("M5 5", [0]),
        ("M0 0H9H3", [0, 90, 180]),
        ("M0 0H9M20 0V9H30", [0, 0, 90, 45, 0]),
        ("M0 0H9V9zV-5", [-67.5, 45, 157.5, -67.5, -90]),  # what follows z begins at the vertex that z ended in
        ("M0 0A9 9 0 0 1 9 9", [0, 90]),  # a quarter of a circle about (0, 9)
        ("M0 0A9 9 0 0 0 9 9", [90, 0]),
        ("M0 0A9 9 0 1 1 0 9", [towards(9 / 2, -math.sqrt(81 - 81 / 4)), towards(-9 / 2, -math.sqrt(81 - 81 / 4))]),
        ("M0 0C0 0 5 9 9 0", [towards(5, 9), towards(4, -9)]),
        ("M0 0C5 9 9 0 9 0", [towards(5, 9), towards(4, -9)]),
        ("M0 0C0 0 9 0 9 0", [0, 0]),
        ("M0 0C4 0 4 9 4 9", [0, 90]),
        ("M0 0Q9 0 9 9T18 18", [0, 90, 0]),
    ],
)
def test_the_direction_at_each_vertex(data, along_deg):
    found = [vertex.along_deg for vertex in vertices_of(path_of(data))]
    assert [(a - b + 180) % 360 - 180 for a, b in zip(found, along_deg, strict=True)] == pytest.approx(
        [0] * len(found), abs=1e-9
    )


def ink(body, **choice):
    return read_artwork(svg(body), ArtworkChoice(**choice), scale_of=lambda _box: 1.0).ink


def dot(attributes, *, x=2):
    """A marker of 10 x 10 units whose ink is a square millimetre right of its reference point."""
    more = 'markerUnits="userSpaceOnUse" markerWidth="10" markerHeight="10" refX="5" refY="5"'
    return f'<marker id="m" {more} {attributes}><path d="M{5 + x - 0.5} 4.5h1v1h-1z"/></marker>'


def dots(area):
    return sorted((round(land.centroid.x, 6) + 0.0, round(land.centroid.y, 6) + 0.0) for land in area.geoms)


def test_both_markers_of_a_closed_path_look_halfway():
    body = dot('orient="auto"') + '<path fill="none" d="M20 10H40V30H20z" style="marker:url(#m)"/>'
    half = math.sqrt(2)
    corners = [(20 + half, 10 - half), (40 + half, 10 + half), (40 - half, 30 + half), (20 - half, 30 - half)]
    assert dots(ink(body)) == [pytest.approx(place, abs=1e-5) for place in sorted(corners)]


def test_the_start_is_reversed_when_asked():
    body = dot('orient="auto-start-reverse"') + '<path fill="none" d="M20 10H40" style="marker:url(#m)"/>'
    assert dots(ink(body)) == [(18, 10), (42, 10)]


@pytest.mark.parametrize(("orient", "place"), [("90", (20, 12)), (".25turn", (20, 12)), ("1.5707963268rad", (20, 12))])
def test_a_marker_turns_by_an_angle_of_any_unit(orient, place):
    body = dot(f'orient="{orient}"') + '<path fill="none" d="M20 10H40" marker-start="url(#m)"/>'
    assert dots(ink(body)) == [pytest.approx(place, abs=1e-5)]


@pytest.mark.parametrize(("ref", "x"), [("left", 22.5), ("center", 20), ("right", 17.5), ("100%", 17.5), ("2.5", 20)])
def test_the_reference_point_may_be_a_word_or_a_share(ref, x):  # SVG 2, Markers: refX
    marker = (
        f'<marker id="m" markerUnits="userSpaceOnUse" viewBox="0 0 5 5" markerWidth="5" markerHeight="5" refX="{ref}">'
    )
    body = marker + '<path d="M2 2h1v1h-1z"/></marker><path fill="none" d="M20 10H40" marker-start="url(#m)"/>'
    assert dots(ink(body)) == [(x, 12.5)]


def test_a_sliced_marker_is_cut_to_its_view():  # SVG 2, Markers: overflow clips to the marker's viewport
    marker = '<marker id="m" markerUnits="userSpaceOnUse" viewBox="0 0 10 10" markerWidth="8" markerHeight="4" '
    body = marker + 'preserveAspectRatio="xMidYMin slice"><path d="M0 0H10V10H0z"/></marker>'
    found = ink(body + '<path fill="none" d="M20 10H40" marker-start="url(#m)"/>')
    assert shapely.bounds(found) == pytest.approx([20, 10, 28, 14])


def test_an_arc_has_two_vertices():
    body = dot("", x=0) + '<path fill="none" d="M10 20A15 15 0 0 1 40 20" style="marker:url(#m)"/>'
    assert dots(ink(body)) == [(10, 20), (40, 20)]


@pytest.mark.parametrize(("paint", "area"), [("context-fill", 1.0), ("context-stroke", 0.0)])
def test_a_copy_takes_the_paint_of_its_use(paint, area):  # SVG 2, Painting: context-fill, context-stroke
    body = f'<defs><path id="p" fill="{paint}" d="M5 5h1v1h-1z"/></defs><use href="#p" fill="#000"/>'
    assert ink(body + '<path d="M20 20h9v9h-9z"/>').area == pytest.approx(81 + area)


def test_the_box_of_a_group_does_not_hold_markers():  # SVG 2, 8.10: the fill box; here from x = 10 to 40
    clip = '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="99"/></clipPath>'
    body = clip + dot("") + '<g clip-path="url(#c)"><path d="M10 8H40V9H10z" style="marker:url(#m)"/></g>'
    assert ink(body).bounds[2] == pytest.approx(25)


def test_a_marker_without_content_draws_nothing():
    body = '<marker id="m" markerWidth="9" markerHeight="9"/><path d="M10 8H40V9H10z" style="marker:url(#m)"/>'
    assert ink(body).area == pytest.approx(30)


def notices(body):
    mark = read_artwork(svg(body + '<path d="M2 30h9v9h-9z"/>'), ArtworkChoice(), scale_of=lambda _box: 1.0)
    return [notice.code for notice in (*mark.repaired, *mark.left_out)]


PATH = '<path fill="none" d="M20 10H40" style="marker:url(#m)"/>'


@pytest.mark.parametrize(
    ("body", "codes"),
    [
        ('<marker id="m" markerWidth="9" orient="auto">' + PATH + "</marker>" + PATH, ["use-cycle"]),
        (PATH, ["broken-reference"]),
        (PATH.replace("#m", "other.svg#m"), ["external-reference"]),
        ('<rect id="m" width="1" height="1"/>' + PATH, ["broken-reference"]),
        (dot("") + '<rect x="20" y="10" width="9" height="9" style="marker:url(#m)"/>', ["marker-ignored"]),
        (dot("") + '<rect x="20" y="10" width="9" height="9"/>', []),
    ],
)
def test_a_marker_that_is_not_drawn_is_told(body, codes):
    assert notices(body) == codes


def test_markers_in_markers_end():
    inner = "".join(
        f'<marker id="m{i}" markerWidth="9" markerHeight="9">'
        f'<path d="M0 0{"h1" * 60}" style="marker:url(#m{i + 1})"/></marker>'
        for i in range(9)
    )
    with pytest.raises(TooComplex) as refused:
        ink(inner + '<path d="M0 0H9" style="marker:url(#m0)"/>')
    assert refused.value.refusals[0].code == "too-many-segments"


def test_a_text_in_a_marker_refuses_like_any_other():
    body = '<marker id="m" markerWidth="9" markerHeight="9"><text y="5">Apis</text></marker>' + PATH
    with pytest.raises(ArtworkError) as refused:
        ink(body)
    assert "text-not-outlined" in str(refused.value)
