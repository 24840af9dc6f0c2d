"""The board under a print: its grain runs along it and nowhere over its round corners."""

import re

import numpy as np
import pytest
import shapely

from stampwright.drawings import board
from stampwright.drawings.svg import page

BOX = (3.0, 4.0, 63.0, 41.0)
ROUND_MM, LINE_MM = 1.2, 0.16


@pytest.mark.parametrize("kind", ["softwood", "hardwood"])
def test_the_grain_stays_on_its_board(kind):
    root = page(70, 50, title="", says="")
    board.draw_board(root, kind, box=BOX)
    ground, grain = root[-2:]
    x, y, wide, high, corner = (float(ground.get(key)) for key in ("x", "y", "width", "height", "rx"))
    assert (x, y, x + wide, y + high, corner) == (*BOX, ROUND_MM)
    assert float(grain.get("stroke-width")) == LINE_MM
    lines = [
        shapely.LineString(np.array(re.findall(r"-?[\d.]+", line), float).reshape(-1, 2))
        for line in grain.get("d").split("M")[1:]
    ]
    assert len(lines) > 10
    inset = np.array((ROUND_MM, ROUND_MM, -ROUND_MM, -ROUND_MM))
    on_board = shapely.buffer(shapely.box(*(BOX + inset)), ROUND_MM + 0.003)
    assert shapely.covers(on_board, shapely.MultiLineString(lines))
    _, low, _, high = shapely.MultiLineString(lines).bounds
    assert BOX[1] + LINE_MM / 2 - 0.003 <= low < high <= BOX[3] - LINE_MM / 2 + 0.003  # with all of its width


def test_a_hide_has_no_grain():
    root = page(70, 50, title="", says="")
    board.draw_board(root, "leather", box=BOX)
    assert not list(root.iter("path"))
