"""The contact sheet, held against the faces: rendered by resvg, opened by pdfium."""

import io
from functools import cache
from xml.etree import ElementTree as ET

import numpy as np
import pypdfium2
import pytest
import resvg_py
import shapely
from PIL import Image

from odd_heads import JOBS
from pdf_fonts import fonts_of, without_glyph
from stamped import MARKS
from stampwright.drawings import PAPERS, Tile, contact_pdf, contact_svg
from stampwright.job import read_job
from stampwright.pipeline import review_mark
from stampwright.plane import grown

PX_PER_MM = 16
SVG = "{http://www.w3.org/2000/svg}"
ALL = {name: (mark.svg, mark.job) for name, mark in MARKS.items()} | {
    name: JOBS[name] for name in ("wide", "tall", "tiny round")
}


@cache
def tiles():
    return tuple(Tile(name, read_job(job), review_mark(svg, read_job(job))) for name, (svg, job) in ALL.items())


def tree():
    return ET.fromstring(contact_svg(tiles()).encode())  # noqa: S314  our own drawing


def test_each_tile_shows_the_print_of_its_mark():
    """Dark where the lands are, seen from behind; light on the floor."""
    png = resvg_py.svg_to_bytes(
        svg_string=contact_svg(tiles()), zoom=PX_PER_MM * 25.4 / 96, dpi=96.0, background="#fff"
    )
    grey = np.asarray(Image.open(io.BytesIO(png)).convert("L"))
    heads = [path for path in tree().iter(f"{SVG}path") if path.get("stroke-dasharray")]
    for tile, head in zip(tiles(), heads, strict=True):
        face = tile.reviewed.face
        ring = np.array([float(number) for number in head.get("d").strip("MZ").split()]).reshape(-1, 2)
        (left, top), (right, low) = ring.min(axis=0), ring.max(axis=0)
        x0, _, x1, _ = face.head.bounds
        scale = (right - left) / (x1 - x0)
        for area, is_dark in ((grown(face.ink, -0.12 / scale), True), (_floor(face, scale), False)):
            at = _samples(area) * (-scale, -scale) + ((left + right) / 2, (top + low) / 2)
            column, row = np.rint(at * PX_PER_MM - 0.5).astype(int).T
            assert np.mean((grey[row, column] < 110) == is_dark) > 0.98, tile.name


def _floor(face, scale):
    return shapely.difference(grown(face.head, -0.2 / scale), grown(face.ink, 0.2 / scale))


def _samples(area):
    x0, y0, x1, y1 = area.bounds
    step = max(x1 - x0, y1 - y0) / 60
    grid = np.stack(np.meshgrid(np.arange(x0, x1, step), np.arange(y0, y1, step)), axis=-1).reshape(-1, 2)
    return grid[shapely.contains_xy(area, *grid.T)]


def test_no_print_leaves_its_field_and_no_two_meet():
    fields = [field for field in tree().iter(f"{SVG}rect") if field.get("rx")]
    sides = [[float(field.get(key)) for key in ("x", "y", "width", "height")] for field in fields]
    boxes = [shapely.box(x, y, x + wide, y + high) for x, y, wide, high in sides]
    heads = [path for path in tree().iter(f"{SVG}path") if path.get("stroke-dasharray")]
    for box, head in zip(boxes, heads, strict=True):
        ring = np.array([float(number) for number in head.get("d").strip("MZ").split()]).reshape(-1, 2)
        assert box.contains(shapely.MultiPoint(ring))
    assert not any(a.intersects(b) for place, a in enumerate(boxes) for b in boxes[:place])


@pytest.mark.parametrize("paper", PAPERS)
def test_a_mark_without_a_name_is_told_by_its_number(paper):
    nameless = [Tile(name, read_job({}), None, "why not") for name in ("", "\u202e", "Orla")]
    text = pypdfium2.PdfDocument(contact_pdf(nameless, paper=paper))[0].get_textpage().get_text_range()
    assert "mark 1" in text
    assert "mark 2" in text
    assert "mark 3" not in text


def test_no_letter_is_smaller_than_two_millimetres():
    assert min(float(text.get("font-size")) for text in tree().iter(f"{SVG}text")) >= 2.0


@pytest.mark.parametrize("paper", PAPERS)
def test_its_font_is_embedded_and_has_every_letter_of_every_name(paper):
    names = ["Größe", "דבורה 12", "العسل", "养蜂场 🐝", "<b>\x00\u202e(x) Tj", "m" * 200]
    pdf = contact_pdf([Tile(name, read_job({}), None, name) for name in names], paper=paper)
    fonts = [font for font, _ in fonts_of(pdf)]
    assert fonts
    assert all(fonts)
    assert without_glyph(pdf) == set()
