"""A mark is the same mark wherever it lies on its page, however large, and whichever way round it is drawn."""

from __future__ import annotations

import re

import pytest
import shapely

from stamped import MARKS
from stampwright.base.tolerances import CHORD_MM
from stampwright.job import read_job
from stampwright.pipeline import review_mark

APART_MM = 2 * CHORD_MM  # each reading may lie a chord error off the true curve

WAYS = {  # of a drawing with the view x, y, w, h: what is done to it, and the view then
    "elsewhere on its page": lambda x, y, w, h: ("translate(370 -190)", (x + 370, y - 190, w, h)),
    "three times as large": lambda x, y, w, h: ("scale(3)", (3 * x, 3 * y, 3 * w, 3 * h)),
    "on its head and back again": lambda x, y, w, h: ("rotate(180) scale(-1) translate(5 5)", (x + 5, y + 5, w, h)),
    "from behind": lambda x, y, w, h: (f"translate({2 * x + w} 0) scale(-1 1)", (x, y, w, h)),
}


def drawn(svg, way):
    """The drawing with all of it in one group, moved, and its view moved likewise."""
    head, body = re.fullmatch(rb"(.*?<svg\b[^>]*>)(.*)</svg>\s*", svg, re.DOTALL).groups()
    view = [float(number) for number in re.search(rb'viewBox="([^"]*)"', head)[1].split()]
    moved, view = WAYS[way](*view)
    head = re.sub(rb'viewBox="[^"]*"', f'viewBox="{" ".join(map(str, view))}"'.encode(), head)
    return head + f'<g transform="{moved}">'.encode() + body + b"</g></svg>"


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", ["skep", "clover", "river", "queen"])
def test_the_face_is_the_same(name, way):
    mark, asked = MARKS[name], {"placement": {"margin": 2, "turn_deg": 0}}
    unreversed = {"placement": asked["placement"] | {"reverse": way != "from behind"}}
    face = review_mark(mark.svg, read_job(asked)).face.ink
    other = review_mark(drawn(mark.svg, way), read_job(unreversed)).face.ink
    assert shapely.covers(shapely.buffer(face, APART_MM), other)
    assert shapely.covers(shapely.buffer(other, APART_MM), face)
    assert len(face.geoms) == len(other.geoms)
