"""Letters of an open font (DejaVu Sans): their counters are known by the alphabet, their stems by the font's tables."""

from functools import cache
from pathlib import Path

import pytest
import shapely
import ziafont
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

from faces import job_with, reviewed
from stampwright.artwork import read_artwork
from stampwright.job import ArtworkChoice
from stampwright.plane import on_grid

CAP_MM = 6.0
COUNTERS = dict.fromkeys("ADOPQRabdegopq4690", 1) | dict.fromkeys("B8", 2) | dict.fromkeys("CEFHIJKLSTXZcfhlstz1237", 0)


@cache
def font():
    return TTFont(Path(ziafont.__file__).parent / "fonts" / "DejaVuSans.ttf")


def units_per_mm():
    return font()["glyf"]["H"].yMax / CAP_MM


def letter(character):
    """The outline of a letter whose capitals are 6 mm high, read as a drawing."""
    glyphs, pen = font().getGlyphSet(), SVGPathPen(None)
    glyphs[font().getBestCmap()[ord(character)]].draw(pen)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20">'
        f'<path transform="scale({1 / units_per_mm():.9f})" d="{pen.getCommands()}"/></svg>'
    )
    ink = read_artwork(svg.encode(), ArtworkChoice(), scale_of=lambda _: 1.0).ink
    return on_grid(shapely.transform(ink, lambda xy: xy - (5, 5)))


@pytest.mark.parametrize("character", COUNTERS)
def test_a_cutter_too_large_for_any_counter_fills_as_many_as_the_letter_has(character):
    review = reviewed(letter(character), job_with("flat-6.35"))
    assert review.cutters[0].filled_counters == COUNTERS[character]


@pytest.mark.parametrize("character", COUNTERS)
def test_a_fine_cutter_fills_none(character):
    assert reviewed(letter(character), job_with("flat-0.5")).cutters[0].filled_counters == 0


@pytest.mark.parametrize("character", ["l", "I", "|"])
def test_a_stem_is_as_wide_as_the_font_says(character):
    box = font()["glyf"][font().getBestCmap()[ord(character)]]
    stem_mm = (box.xMax - box.xMin) / units_per_mm()
    assert reviewed(letter(character)).land_min_mm == pytest.approx(stem_mm, abs=0.005)
