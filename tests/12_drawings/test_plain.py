"""The print alone, rendered by resvg: dark where the lands print, and its middle the middle of the head."""

from __future__ import annotations

import io
from functools import cache, lru_cache
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from stamped import MARKS, NAMES
from stampwright.drawings import draw_plain, svg_of
from stampwright.job import read_job
from stampwright.pipeline import review_mark
from stampwright.plane import grown

PX_PER_MM = 8


@cache
def plain(name):
    job = read_job(MARKS[name].job)
    reviewed = review_mark(MARKS[name].svg, job)
    return reviewed.face, svg_of(draw_plain(reviewed, job))


@lru_cache(maxsize=1)
def pixels(svg):
    png = resvg_py.svg_to_bytes(svg_string=svg, zoom=PX_PER_MM * 25.4 / 96, dpi=96.0, background="#fff")
    return np.asarray(Image.open(io.BytesIO(png)).convert("L"))


def greys(svg, area):
    """Brightness over an area of the face, counted from the middle of the picture; x runs the other way in a print."""
    grey = pixels(svg)
    x0, y0, x1, y1 = area.bounds
    grid = np.stack(np.meshgrid(np.arange(x0, x1, 0.37), np.arange(y0, y1, 0.41)), axis=-1).reshape(-1, 2)
    at = grid[shapely.contains_xy(area, *grid.T)] * (-PX_PER_MM, -PX_PER_MM) + np.array(grey.shape)[::-1] / 2
    column, row = np.rint(at - 0.5).astype(int).T
    return grey[row, column]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_dark_is_the_ink(name):
    face, svg = plain(name)
    assert np.mean(greys(svg, grown(face.ink, -0.15)) < 110) > 0.999
    floor = shapely.difference(grown(face.head, -1.0), grown(face.ink, 1.0))
    assert np.mean(greys(svg, floor) > 110) > 0.97


def test_it_is_at_true_size_with_three_millimetres_around_the_head():
    _, svg = plain("initials")
    root = ET.fromstring(svg.encode())  # noqa: S314  our own drawing
    side = 1.625 * 25.4 + 6  # the job's diameter in inches
    assert [float(value) for value in root.get("viewBox").split()] == pytest.approx([0, 0, side, side], abs=0.001)
    assert float(root.get("width").removesuffix("mm")) == pytest.approx(side, abs=0.001)


def test_nothing_in_it_is_a_word():
    root = ET.fromstring(plain("skep")[1].encode())  # noqa: S314  likewise
    assert not list(root.iter("{http://www.w3.org/2000/svg}text"))
