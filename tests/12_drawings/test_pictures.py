"""PNG of drawings and of the solid: size, resolution, and what they show, judged by resvg."""

import io
import re

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from odd_heads import HEADS, odd_stamp
from stamped import NAMES, stamp_of
from stampwright.drawings import VIEWS, font_file, picture_png, png_of, svg_of
from stampwright.drawings.picture import HIGH_PX, WIDE_PX, shaded
from stampwright.drawings.raster import DPI
from stampwright.drawings.section import section_of
from stampwright.drawings.svg import add, page
from stampwright.job import read_job
from stampwright.pipeline import make_solid
from xml_tree import plain_tree


# straight and sloped, fine and coarse, round and rectangular
@pytest.fixture(params=["skep", "initials", "hourglass", "basket"])
def name(request):
    return request.param


def opened(png):
    return Image.open(io.BytesIO(png))


def by_resvg(svg):
    more = {"skip_system_fonts": True, "font_files": [font_file()], "sans_serif_family": "DejaVu Sans"}
    return opened(resvg_py.svg_to_bytes(svg_string=svg, zoom=DPI / 96, dpi=96.0, background="#fff", **more))


def greys(image, size):
    return np.asarray(image.convert("L").resize(size, Image.Resampling.BOX), float)


@pytest.mark.parametrize("view", VIEWS)
def test_a_png_has_the_size_and_the_resolution_it_says(view):
    drawing = VIEWS[view](stamp_of("skep"))
    image = opened(png_of(drawing))
    _, _, wide, high = (float(number) for number in plain_tree(svg_of(drawing)).get("viewBox").split())
    dpi = image.info["dpi"][0]
    assert dpi == pytest.approx(DPI, abs=0.02)  # the format counts whole pixels a metre
    assert np.allclose(np.array(image.size) / dpi * 25.4, (wide, high), atol=0.2)


@pytest.mark.parametrize("view", VIEWS)
def test_png_and_svg_of_a_drawing_agree_though_two_renderers_paint_them(name, view):
    """pdfium paints the PNG, resvg the SVG. Blocks of a millimetre, for letters differ in detail."""
    drawing = VIEWS[view](stamp_of(name))
    ours, theirs = opened(png_of(drawing)), by_resvg(svg_of(drawing))
    wide, high = (min(pair) // 6 for pair in zip(ours.size, theirs.size, strict=True))
    box = (0, 0, 6 * wide, 6 * high)
    off = np.abs(greys(ours.crop(box), (wide, high)) - greys(theirs.crop(box), (wide, high)))
    assert off.mean() < 3.5
    assert np.percentile(off, 99) < 50


def test_see_through_ink_is_so_in_every_picture():
    root = page(20, 10, title="", says="")
    add(root, "path", d="M0 5 20 5", fill="none", stroke="#9a6a38", stroke_width=4, opacity=0.3)
    middles = [image.convert("RGB").getpixel((59, 29)) for image in (opened(png_of(root)), by_resvg(svg_of(root)))]
    assert np.allclose(*middles, atol=2)


def dark_mm2(root):
    """Dark area of a drawing's picture: shares of pixels, so that edges count by how much of them is covered."""
    image = opened(png_of(root))
    return float(np.sum(1 - np.asarray(image.convert("L"), float) / 255)) * (25.4 / DPI) ** 2


def test_a_circle_in_a_picture_is_round():
    """π r², and r by its widest places; by hand."""
    white, root = page(20, 20, title="", says=""), page(20, 20, title="", says="")
    add(root, "circle", cx=10, cy=10, r=8, fill="#000000")
    assert dark_mm2(root) - dark_mm2(white) == pytest.approx(np.pi * 64, rel=0.02)
    dark = np.asarray(opened(png_of(root)).convert("L")) < 128
    sides = [np.ptp(np.flatnonzero(dark.any(axis=axis))) * 25.4 / DPI for axis in (0, 1)]
    assert sides == pytest.approx([16, 16], abs=0.3)


def test_the_corners_of_a_rectangle_in_a_picture_are_round():
    """A b − (4 − π) r²; by hand."""
    white, root = page(20, 20, title="", says=""), page(20, 20, title="", says="")
    add(root, "rect", x=2, y=4, width=16, height=12, rx=5, fill="#000000")
    assert dark_mm2(root) - dark_mm2(white) == pytest.approx(16 * 12 - (4 - np.pi) * 25, rel=0.02)


def chunks(png):
    """Names of the parts of a PNG (ISO/IEC 15948, 5.3)."""
    at = 8
    while at < len(png):
        yield png[at + 4 : at + 8].decode()
        at += 12 + int.from_bytes(png[at : at + 4])


def test_a_png_holds_the_picture_and_its_resolution_and_no_date():
    stamp = stamp_of("skep")
    allowed = {"IHDR", "PLTE", "IDAT", "IEND", "pHYs"}
    assert set(chunks(png_of(VIEWS["print"](stamp)))) == allowed
    assert set(chunks(picture_png(stamp.solid, digest=stamp.digest))) == allowed | {"iTXt"}


def brightest(mark):
    """How many pixels of the solid's picture show what prints."""
    job = read_job({"placement": {"fit": "actual_size"}, "thread": None})
    solid = make_solid(b'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" viewBox="0 0 40 28">%b</svg>' % mark, job)
    red, _, blue = np.moveaxis(shaded(solid), -1, 0)
    return np.sum((red > 215) & (blue < 160))  # brass in full light; the ground is bluish


def test_the_tops_in_the_picture_have_the_areas_of_the_lands():
    # nothing stands over the tops; the same block is shown at the same size: pixels are as areas
    square, ring = (
        brightest(b'<path d="M10 4h20v20h-20z"/>'),
        brightest(b'<path d="M10 4h20v20h-20zM15 9v10h10v-10z"/>'),
    )
    assert ring / square == pytest.approx((400 - 100) / 400, rel=0.015)


def test_a_picture_says_what_it_shows():
    stamp = stamp_of("skep")
    image = opened(picture_png(stamp.solid, digest=stamp.digest))
    assert image.size == (WIDE_PX, HIGH_PX)
    assert image.info["dpi"][0] == pytest.approx(150, abs=0.02)
    assert stamp.digest[:16] in image.text["Description"]


def test_the_same_solid_gives_the_same_picture():
    stamp = stamp_of("comb")
    assert len({picture_png(stamp.solid, digest=stamp.digest) for _ in range(2)}) == 1


@pytest.mark.parametrize("name", NAMES)
def test_the_section_cuts_the_land_that_the_review_found_thinnest(name):
    # where it lies between inside corners no cut shows it; the nearest that does is a little wider
    stamp = stamp_of(name)
    assert 0.99 < section_of(stamp).width_mm / stamp.review.land_min_mm < 1.05


@pytest.mark.parametrize(
    ("made", "of"), [*((stamp_of, name) for name in NAMES), *((odd_stamp, head) for head in HEADS)]
)
def test_the_section_shows_both_walls_of_its_land_and_the_floor_beside_them(made, of):
    stamp = made(of)
    section = section_of(stamp)
    half, deep = section.width_mm / 2, stamp.face.relief_mm
    beyond = 0.02 + deep * np.tan(np.radians(stamp.job.relief.draft_deg))  # a sloped wall stands out at its foot
    inside, outside = (
        [(way * (half - 0.02), -0.01) for way in (-1, 1)],
        [(way * (half + beyond), -0.01) for way in (-1, 1)],
    )
    assert shapely.contains_xy(section.metal, inside).all()
    assert not shapely.contains_xy(section.metal, outside).any()


def test_the_outline_of_a_section_is_drawn_where_its_metal_is(name):
    drawn = list(plain_tree(svg_of(VIEWS["face"](stamp_of(name)))).iter("path"))
    at = next(place for place, path in enumerate(drawn) if path.get("id") == "section")
    metal = places_in(drawn[at])
    outline = places_in(next(path for path in drawn[at + 1 :] if path.get("stroke-width") == "0.25"))
    assert outline[:, 1].min() == pytest.approx(metal[:, 1].min(), abs=0.002)
    assert set(map(tuple, outline.round(2))) <= set(map(tuple, metal.round(2)))


def places_in(path):
    return np.array(re.findall(r"-?[\d.]+", path.get("d")), float).reshape(-1, 2)


def test_the_section_shows_as_much_metal_as_the_line_has_ink(name):
    stamp, section = stamp_of(name), section_of(stamp_of(name))
    ends = np.array(section.at) + np.outer((-section.half_mm, section.half_mm), section.along)
    ink_mm = shapely.length(shapely.intersection(shapely.LineString(ends), stamp.face.ink))
    x0, y0, x1, _ = section.metal.bounds
    raised = section.metal.area - (x1 - x0) * (-stamp.face.relief_mm - y0)
    if stamp.job.relief.draft_deg:  # sloped walls stand wider at their feet
        assert raised > ink_mm * stamp.face.relief_mm
    else:
        assert raised == pytest.approx(ink_mm * stamp.face.relief_mm, rel=1e-3, abs=2e-3)
