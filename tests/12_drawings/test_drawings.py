"""The drawings, rendered by resvg (an SVG renderer of its own) and held against the face's polygons."""

import dataclasses
import io
import re
from functools import cache, lru_cache
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from odd_heads import HEADS, odd_stamp
from stamped import NAMES, stamp_of
from stampwright.base import Finding
from stampwright.drawings import VIEWS, draw_face, draw_print, svg_of
from stampwright.job import read_job
from stampwright.pipeline import make_stamp
from stampwright.plane import grown

PX_PER_MM = 8
SVG = "{http://www.w3.org/2000/svg}"
EDGE_MM = 8.5  # pages keep their last millimetres empty, so ink there means words that ran off
HOSTILE = 'A</text><script>alert(1)</script>&lt; "\x00\x07\ud800\u202e\u05e9\u05dc\u05d5\u05dd' + "m" * 400


@pytest.fixture(params=NAMES)
def name(request):
    return request.param


@cache
def drawn(view, name):
    return svg_of(VIEWS[view](stamp_of(name)))


def tree(svg):
    return ET.fromstring(svg.encode())  # noqa: S314  our own drawing, small


@lru_cache(maxsize=4)  # a test looks at one picture in several places
def pixels(svg):
    # zoom, not a width in pixels: that would first round the page to whole pixels and shift the picture by it
    png = resvg_py.svg_to_bytes(svg_string=svg, zoom=PX_PER_MM * 25.4 / 96, dpi=96.0, background="#fff")
    return np.asarray(Image.open(io.BytesIO(png)).convert("L"))


def bare(stamp):
    """The stamp without findings and section: badges and the line of the cut would cover the picture."""
    nothing = {"findings": (), "findings_left_out": {}, "land_min_at_mm": None}
    return dataclasses.replace(stamp, review=dataclasses.replace(stamp.review, **nothing))


def samples(area):
    """Places well inside an area, spread over all of it."""
    x0, y0, x1, y1 = area.bounds
    grid = np.stack(np.meshgrid(np.arange(x0, x1, 0.37), np.arange(y0, y1, 0.41)), axis=-1).reshape(-1, 2)
    return grid[shapely.contains_xy(area, *grid.T)]


def scale_told(svg):
    """How much larger than true size the drawing says that it is."""
    told = re.search(r"drawn (?:at true size|(\d+):1)<", svg)
    return int(told[1] or 1)


def greys(svg, places, *, sense):
    """Brightness of the drawing at places of the face."""
    (head,) = [path.get("d") for path in tree(svg).iter(f"{SVG}path") if path.get("id") == "head"]
    ring = np.array([float(number) for number in head.strip("MZ").split()]).reshape(-1, 2)
    middle = (ring.min(axis=0) + ring.max(axis=0)) / 2
    at = np.rint((middle + scale_told(svg) * places * (sense, -1.0)) * PX_PER_MM - 0.5).astype(int)
    return pixels(svg)[at[:, 1], at[:, 0]]


@pytest.mark.parametrize(("view", "sense"), [("print", -1.0), ("face", 1.0)])
def test_dark_is_where_the_lands_are(name, view, sense):
    stamp = bare(stamp_of(name))
    svg = svg_of(VIEWS[view](dataclasses.replace(stamp, solid=dataclasses.replace(stamp.solid, hole=None))))
    lands = samples(grown(stamp.face.ink, -0.15))
    floor = samples(shapely.difference(grown(stamp.face.head, -1.0), grown(stamp.face.ink, 1.0)))
    assert np.mean(greys(svg, lands, sense=sense) < 110) > 0.999
    assert np.mean(greys(svg, floor, sense=sense) > 110) > 0.97


def test_the_cutting_drawing_shows_lands_what_stays_and_what_the_first_cutter_clears(name):
    stamp = stamp_of(name)
    svg = drawn("cutting", name)
    first = next(ground for ground in stamp.plan.cleared if not ground.is_empty)
    # of the lands, of what stays, and the tint of the first step: luma by ITU-R BT.601, which the image library takes
    for area, luma in ((stamp.face.ink, 99), (stamp.plan.left_uncut, 25), (first, 241)):
        inner = grown(area, -0.15)
        if not inner.is_empty and len(places := samples(inner)):
            assert np.mean(np.abs(greys(svg, places, sense=1.0) - float(luma)) < 6) > 0.98


@pytest.mark.parametrize(("mark", "scale"), [("frost", 2), ("dandelion", 2), ("comb", 1)])  # 0.12, 0.27, 1.1 mm wide
def test_what_is_cleared_around_thin_lands_is_drawn_larger_and_the_drawing_says_so(mark, scale):
    svg = drawn("cutting", mark)
    (head,) = [path.get("d") for path in tree(svg).iter(f"{SVG}path") if path.get("id") == "head"]
    ring = np.array([float(number) for number in head.strip("MZ").split()]).reshape(-1, 2)
    assert scale_told(svg) == scale
    head = stamp_of(mark).job.head
    assert np.ptp(ring, axis=0) == pytest.approx((head.width_mm * scale, head.height_mm * scale), abs=0.02)


def test_the_print_is_the_mirror_image_of_the_face():
    stamp = bare(stamp_of("initials"))
    lands = samples(grown(stamp.face.ink, -0.15))
    assert np.mean(greys(svg_of(draw_print(stamp)), lands, sense=1.0) < 110) < 0.9
    assert np.mean(greys(svg_of(draw_print(stamp)), lands, sense=-1.0) < 110) > 0.999


@pytest.mark.parametrize("view", VIEWS)
def test_a_drawing_is_at_true_size(name, view):
    root = tree(drawn(view, name))
    _, _, width, height = root.get("viewBox").split()
    assert (root.get("width"), root.get("height")) == (f"{width}mm", f"{height}mm")


@pytest.mark.parametrize("view", VIEWS)
def test_nothing_runs_off_the_page(name, view):
    grey = pixels(drawn(view, name))
    edge = int(EDGE_MM * PX_PER_MM)
    assert grey[:, -edge:].min() > 240
    assert grey[:edge].min() > 240
    assert grey[-PX_PER_MM:].min() > 240


@pytest.mark.parametrize("view", VIEWS)
def test_a_drawing_tells_its_content_in_words(name, view):
    root = tree(drawn(view, name))
    assert root.get("role") == "img"
    assert [root.find(f"{SVG}{tag}").get("id") for tag in ("title", "desc")] == root.get("aria-labelledby").split()


def test_every_kind_of_finding_is_told_with_its_number_and_weight(name):
    words = [text.text for text in tree(drawn("print", name)).iter(f"{SVG}text")]
    kinds = dict.fromkeys((finding.code, finding.severity) for finding in stamp_of(name).review.findings)
    for number, (code, severity) in enumerate(kinds, start=1):
        assert str(number) in words
        assert any(word.startswith(f"{code.replace('-', ' ')} · {severity}") for word in words)


def test_every_place_of_a_finding_is_marked(name):
    # dots are strokes without length, each set drawn twice: its pale rim, then the dot
    sets = [g for g in tree(drawn("face", name)).iter(f"{SVG}g") if g.get("stroke-linecap") == "round"]
    marks = sum(path.get("d").count("M") for dots in sets for path in dots) / 2
    assert marks == sum(finding.at_mm is not None for finding in stamp_of(name).review.findings)


def test_a_number_of_the_list_stands_in_the_picture_or_the_list_says_that_it_has_no_place(name):
    words = [text.text for text in tree(drawn("print", name)).iter(f"{SVG}text")]
    kinds = dict.fromkeys((finding.code, finding.severity) for finding in stamp_of(name).review.findings)
    for number, (code, severity) in enumerate(kinds, start=1):
        (told,) = [word for word in words if word.startswith(f"{code.replace('-', ' ')} · {severity}")]
        assert (words.count(str(number)) == 1) == told.endswith("no one place")


@pytest.mark.parametrize("view", VIEWS)
def test_no_letter_is_smaller_than_two_millimetres(name, view):
    sizes = [float(text.get("font-size")) for text in tree(drawn(view, name)).iter(f"{SVG}text")]
    assert min(sizes) >= 2.0


@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("view", VIEWS)
def test_nothing_runs_off_the_page_on_an_odd_head(head, view):
    grey = pixels(svg_of(VIEWS[view](odd_stamp(head))))
    edge = int(EDGE_MM * PX_PER_MM)
    assert grey[:, -edge:].min() > 240
    assert grey[:, :edge].min() > 240
    assert grey[:edge].min() > 240


@pytest.mark.parametrize("view", VIEWS)
def test_a_drawing_says_whose_it_is_as_far_as_there_is_room(view):
    stamp = stamp_of("skep")
    for name, told in (("Orla's hive", "Orla's hive"), ("m" * 200, "mmm"), (HOSTILE, "A</text><script>")):
        named = dataclasses.replace(stamp, job=dataclasses.replace(stamp.job, name=name))
        svg = svg_of(VIEWS[view](named))
        root = tree(svg)
        assert told in root.find(f"{SVG}title").text
        assert root.find(f".//{SVG}script") is None
        assert pixels(svg)[:, -int(EDGE_MM * PX_PER_MM) :].min() > 240


def figures(name):
    """What is dimensioned on the face."""
    groups = [g for g in tree(svg_of(draw_face(odd_stamp(name)))).iter(f"{SVG}g") if g.get("transform")]
    return [text.text for group in groups for text in group.iter(f"{SVG}text")]


def test_a_round_head_has_one_measure_and_the_sign_of_a_diameter():
    assert [figure for figure in figures("tiny round") if "8.00" in figure] == ["Ø 8.00"]
    assert figures("tiny").count("8.00") == 2


@pytest.mark.parametrize("view", VIEWS)
def test_hostile_words_stay_words(view):
    stamp = stamp_of("skep")
    finding = Finding("thin-land", "stop", HOSTILE, HOSTILE, at_mm=(0.0, 0.0))
    reviewed = dataclasses.replace(stamp, review=dataclasses.replace(stamp.review, findings=(finding,)))
    svg = svg_of(VIEWS[view](reviewed))
    root = tree(svg)
    assert root.find(f".//{SVG}script") is None
    assert pixels(svg)[:, -int(EDGE_MM * PX_PER_MM) :].min() > 240


@pytest.mark.parametrize("view", VIEWS)
def test_the_same_stamp_is_drawn_the_same(view):
    assert len({svg_of(VIEWS[view](stamp_of("comb"))) for _ in range(2)}) == 1


def test_the_print_says_what_of_the_drawing_it_lacks():
    over = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 9"><path d="M-4 2h16v5h-16z"/></svg>'
    texts = [text.text for text in tree(svg_of(draw_print(make_stamp(over, read_job({}))))).iter(f"{SVG}text")]
    assert any(text.startswith("Will not print: Ink outside the page") for text in texts)
    assert not any("Will not print" in text.text for text in tree(drawn("print", "skep")).iter(f"{SVG}text"))
