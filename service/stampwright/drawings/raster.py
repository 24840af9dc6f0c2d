"""PNG of a drawing: its PDF, drawn by pdfium, with the one font. The same pixels on every machine."""

from __future__ import annotations

import io
import math
import threading
from xml.etree import ElementTree as ET

import pypdfium2
from PIL import Image, PngImagePlugin

from .paper import POINTS_PER_MM, pdf_of
from .svg import num

DPI = 144.0
"""Three pixels for two of a screen of 96 an inch: the smallest letters have 11. For print there are SVG and PDF."""

MM_PER_INCH = 25.4
_MOST_PX = 12e6  # a page of half a metre is drawn coarser, in bounded memory
_COLOURS = 255
_PACKING = 2  # of 9: the next ones take longer for a twentieth less, from 4 on twice as long
_ALONE = threading.Lock()  # pdfium knows one thread at a time


def png_of(svg: str, *, dpi: float = DPI) -> bytes:
    """Render one of our drawings as PNG of `dpi`, which its metadata says; a huge page gets fewer."""
    page = ET.fromstring(svg.partition("?>")[2].replace(' xmlns="http://www.w3.org/2000/svg"', "", 1))  # noqa: S314  we wrote it
    _, _, wide_mm, high_mm = (float(number) for number in page.get("viewBox", "").split())
    dpi = min(dpi, (_MOST_PX / (wide_mm * high_mm / MM_PER_INCH**2)) ** 0.5)
    px_mm = MM_PER_INCH / dpi
    # a hundredth less than whole, for numbers are rounded on the way, and pdfium rounds up
    _widen(page, [(math.ceil(side_mm / px_mm) - 0.01) * px_mm for side_mm in (wide_mm, high_mm)])
    return with_resolution(_rendered(pdf_of([page], title="", says="", is_packed=False), dpi=dpi), dpi=dpi)


def _widen(page: ET.Element, sides_mm: list[float]) -> None:
    """Give a page whole pixels: pdfium would stretch its drawing to them, by up to a pixel."""
    wide, high = map(num, sides_mm)
    page.set("viewBox", f"0 0 {wide} {high}")
    for ground in page.findall("rect")[:1]:
        ground.attrib |= {"width": wide, "height": high}


def _rendered(pdf: bytes, *, dpi: float) -> Image.Image:
    with _ALONE, pypdfium2.PdfDocument(pdf) as document:
        drawn = document[0].render(scale=dpi / (POINTS_PER_MM * MM_PER_INCH), rev_byteorder=True, may_draw_forms=False)
        image: Image.Image = drawn.to_pil()  # in the order of the image: there is nothing to turn round
        return image


def with_resolution(image: Image.Image, *, dpi: float, says: str = "") -> bytes:
    """Write an image as PNG that says its resolution, and in words what it shows; no date, so the same bytes again."""
    info = PngImagePlugin.PngInfo()
    if says:
        info.add_itxt("Description", says)
    packed = io.BytesIO()
    _coloured(image).save(packed, "PNG", dpi=(dpi, dpi), pnginfo=info, compress_level=_PACKING)
    return packed.getvalue()


def _coloured(image: Image.Image) -> Image.Image:
    """The image in few colours, found on a ninth of its pixels: as near to it as by all of them, in half the time."""
    some = image.resize((max(1, image.width // 3), max(1, image.height // 3)), Image.Resampling.NEAREST)
    palette = some.quantize(_COLOURS, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    return image.quantize(palette=palette, dither=Image.Dither.NONE)
