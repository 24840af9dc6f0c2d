"""Fonts of a PDF, read by pikepdf and fontTools: embedded, and every letter in them."""

import io
from functools import cache

import pikepdf
from fontTools.ttLib import TTFont

from stampwright.drawings import font_file


@cache
def spaces():
    """Glyphs of the spaces, which have no shape, as fontTools finds them in the whole font."""
    font = TTFont(font_file())
    return {font.getGlyphID(glyph) for code, glyph in font.getBestCmap().items() if chr(code).isspace()}


def fonts_of(pdf):
    """The file of each font of each page, None where it is not embedded, with the numbers of the glyphs set in it."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for page in document.pages:
            font, shown = None, {}
            for operands, operator in pikepdf.parse_content_stream(page):
                if str(operator) == "Tf":
                    font = str(operands[0])
                elif str(operator) == "Tj":
                    codes = bytes(operands[0])  # two bytes a glyph (ISO 32000-1, 9.7.5.2, Identity-H)
                    shown.setdefault(font, set()).update(zip(codes[::2], codes[1::2], strict=True))
            for name, found in page.Resources.Font.items():
                assert found.Encoding == "/Identity-H"
                (of_glyphs,) = found.DescendantFonts
                file = of_glyphs.get("/FontDescriptor", {}).get("/FontFile2")
                yield file and file.read_bytes(), {256 * high + low for high, low in shown.get(name, ())}


def without_glyph(pdf):
    """Glyphs that stand on paper without a shape in the embedded font, by fontTools; the space has none to have."""
    missing = set()
    for font, glyphs in fonts_of(pdf):
        subset = TTFont(io.BytesIO(font))
        order = subset.getGlyphOrder()
        drawn = {number for number in glyphs if number and subset["glyf"][order[number]].numberOfContours}
        missing |= glyphs - drawn - spaces()
    return missing
