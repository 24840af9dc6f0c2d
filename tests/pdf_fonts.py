"""Fonts of a PDF, read by pikepdf and fontTools: embedded, and every letter in them."""

import io

import pikepdf
from fontTools.ttLib import TTFont


def fonts_of(pdf):
    """The file of each font of each page, None where it is not embedded, with the bytes that are set in it."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for page in document.pages:
            font, shown = None, {}
            for operands, operator in pikepdf.parse_content_stream(page):
                if str(operator) == "Tf":
                    font = str(operands[0])
                elif str(operator) == "Tj":
                    shown.setdefault(font, set()).update(bytes(operands[0]))
            for name, found in page.Resources.Font.items():
                file = found.get("/FontDescriptor", {}).get("/FontFile2")
                yield file and file.read_bytes(), shown.get(name, set())


def without_glyph(pdf):
    """Codes that stand on paper without a shape of the embedded font, by fontTools; the space has none to have."""
    missing = set()
    for font, codes in fonts_of(pdf):
        subset = TTFont(io.BytesIO(font))
        glyphs = subset.getBestCmap() or subset["cmap"].tables[0].cmap
        drawn = {
            code for code, glyph in glyphs.items() if subset["glyf"][glyph].numberOfContours and glyph != ".notdef"
        }
        missing |= codes - drawn - {ord(" ")}
    return missing
