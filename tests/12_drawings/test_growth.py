"""Grown lands in the drawings, rendered by resvg: what was added shows, beside what was drawn."""

import dataclasses
import io

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from stamped import MARKS
from stampwright.drawings import draw_face, draw_print, svg_of
from stampwright.job import read_job
from stampwright.pipeline import make_stamp

PX_PER_MM = 24
LINES = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24" width="24mm">'
    b'<path d="M2 4h20v.3H2zM2 9h20v.3H2z"/></svg>'
)


@pytest.fixture(scope="module")
def stamp():
    made = make_stamp(LINES, read_job({"relief": {"thicken": True}, "limits": {"land": 1.0}, "thread": None}))
    bare = dataclasses.replace(made.review, findings=(), findings_left_out={}, land_min_at_mm=None)
    return dataclasses.replace(made, review=bare)  # no number and no section's line covers the ink


def shades(svg):
    png = resvg_py.svg_to_bytes(svg_string=svg, zoom=PX_PER_MM * 25.4 / 96, dpi=96.0, background="#fff")
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).reshape(-1, 3)


@pytest.mark.parametrize(
    ("draw", "grown", "drawn"), [(draw_face, "776a60", "4a4440"), (draw_print, "52362a", "2a1a12")]
)
def test_what_was_added_has_a_shade_of_its_own(stamp, draw, grown, drawn):
    pixels = shades(svg_of(draw(stamp)))
    areas = [(pixels == list(bytes.fromhex(shade))).all(axis=1).sum() / PX_PER_MM**2 for shade in (grown, drawn)]
    added = shapely.area(stamp.face.ink) - stamp.growth.drawn.area
    assert areas[0] == pytest.approx(added, rel=0.15)  # less blended edges
    assert areas[1] == pytest.approx(stamp.growth.drawn.area, rel=0.15)


@pytest.mark.parametrize("draw", [draw_face, draw_print])
def test_it_is_told_in_words(stamp, draw):
    assert "were grown to 1 mm at 2 places" in svg_of(draw(stamp))


@pytest.mark.parametrize("draw", [draw_face, draw_print])
def test_without_growing_nothing_is_told(draw):
    mark = MARKS["initials"]
    assert 'id="drawn"' not in svg_of(draw(make_stamp(mark.svg, read_job(mark.job))))
