"""PNG of a drawing, by pdfium, with the one font. The same pixels on every machine.

Shapes come as a page of PDF, whose operators pdfium reads as fast as it draws. Words are objects of a page that stays
open with its font: no letter is scanned twice at one size, and no font is written and read again for each picture.
"""

from __future__ import annotations

import ctypes
import io
import math
import threading
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium

from stampwright.base.quantities import MM_PER_INCH

from .painter import Painter
from .palette import in_few_colours
from .paper import add_page, resources
from .png import png_bytes
from .svg import rgb_of, size_mm
from .typeface import font_file, glyph_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from xml.etree import ElementTree as ET

    from numpy.typing import NDArray

    from .painter import Words

DPI = 144.0
"""Three pixels for two of a screen of 96 an inch: the smallest letters have 11. For print there are SVG and PDF."""

_MOST_PX = 12e6  # a page of half a metre is drawn coarser, in bounded memory
_FAR_MM = 4096.0  # side of the page of words, which holds any drawing of ours
_ALONE = threading.Lock()  # pdfium knows one thread at a time


def png_of(page: ET.Element, *, dpi: float = DPI) -> bytes:
    """Render one of our drawings as PNG of `dpi`, which its metadata says; a huge page gets fewer."""
    wide_mm, high_mm = size_mm(page)
    dpi = min(dpi, (_MOST_PX / (wide_mm * high_mm / MM_PER_INCH**2)) ** 0.5)
    px_mm = dpi / MM_PER_INCH
    ground = next(iter(page.findall("rect")))  # of the whole page: its pixels begin with that colour
    empty = np.frombuffer(bytes((*rgb_of(ground.get("fill", "")), 255)), np.uint32)
    pixels = np.full((math.ceil(high_mm * px_mm), math.ceil(wide_mm * px_mm)), empty)
    painter = Painter(page, but=ground)
    with _ALONE:
        with pypdfium2.PdfDocument(_shapes_pdf(painter, (wide_mm, high_mm))) as shapes:
            page_of_shapes = shapes[0]  # closes itself when it is let go
            _draw(page_of_shapes.raw, pixels, px_mm=px_mm)
        with _standing(painter.words) as words:
            _draw(words, pixels, px_mm=px_mm)
    palette, counted = in_few_colours(pixels)
    return png_bytes(counted, palette, dpi=dpi)


def _draw(page: Any, pixels: NDArray[np.uint32], *, px_mm: float) -> None:  # noqa: ANN401  the library has no types
    """Draw a page whose unit is a millimetre over pixels (high, wide): red, green, blue and one idle."""
    high, wide = pixels.shape
    held = pixels.ctypes.data_as(ctypes.c_void_p)
    bitmap = pdfium.FPDFBitmap_CreateEx(wide, high, pdfium.FPDFBitmap_BGRx, held, 4 * wide)
    scaled, within = pdfium.FS_MATRIX(px_mm, 0, 0, px_mm, 0, 0), pdfium.FS_RECTF(0, 0, wide, high)
    pdfium.FPDF_RenderPageBitmapWithMatrix(bitmap, page, scaled, within, pdfium.FPDF_REVERSE_BYTE_ORDER)
    pdfium.FPDFBitmap_Destroy(bitmap)


def _shapes_pdf(painter: Painter, size: tuple[float, float]) -> bytes:
    document, packed = pikepdf.new(), io.BytesIO()
    content = f"1 0 0 -1 0 {size[1]} cm\n{painter.content}"
    add_page(document, document.make_stream(content.encode("ascii")), size=size, kept=resources(painter.alphas))
    document.save(packed, compress_streams=False)
    return packed.getvalue()


@cache
def _open() -> tuple[Any, Any, Any]:
    """A document that stays open, its font, and its page, which is empty between two drawings."""
    document = pypdfium2.PdfDocument.new()
    program = Path(font_file()).read_bytes()
    held = (ctypes.c_uint8 * len(program)).from_buffer_copy(program)
    font = pdfium.FPDFText_LoadFont(document.raw, held, len(program), pdfium.FPDF_FONT_TRUETYPE, 1)
    return document, font, pdfium.FPDFPage_New(document.raw, 0, _FAR_MM, _FAR_MM)


@contextmanager
def _standing(lines: Sequence[Words]) -> Iterator[Any]:
    """The page of words with these lines on it, its upper left corner where the drawing's is."""
    document, font, page = _open()
    placed = []
    try:
        for line in lines:
            placed.append(_object(line, document, font))
            pdfium.FPDFPage_InsertObject(page, placed[-1])
        yield page
    finally:
        for line in placed:
            pdfium.FPDFPage_RemoveObject(page, line)
            pdfium.FPDFPageObj_Destroy(line)


def _object(line: Words, document: Any, font: Any) -> Any:  # noqa: ANN401  the library has no types
    made = pdfium.FPDFPageObj_CreateTextObj(document.raw, font, line.size_mm)
    codes = (ctypes.c_uint32 * len(line.letters))(*map(glyph_of, line.letters))
    pdfium.FPDFText_SetCharcodes(made, codes, len(codes))
    a, b, c, d, e, f = line.place  # of a page that counts downwards; this one counts upwards
    pdfium.FPDFPageObj_Transform(made, a, -b, -c, d, e, _FAR_MM - f)
    pdfium.FPDFPageObj_SetFillColor(made, *rgb_of(line.colour), 255)
    if line.rim != "none":
        pdfium.FPDFTextObj_SetTextRenderMode(made, pdfium.FPDF_TEXTRENDERMODE_FILL_STROKE)
        pdfium.FPDFPageObj_SetStrokeColor(made, *rgb_of(line.rim), 255)
        pdfium.FPDFPageObj_SetStrokeWidth(made, line.rim_mm)
        pdfium.FPDFPageObj_SetLineJoin(made, pdfium.FPDF_LINEJOIN_ROUND)
    return made
