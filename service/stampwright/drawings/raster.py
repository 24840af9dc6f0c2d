"""PNG of a drawing, by resvg, with the one font: the same pixels on every machine."""

from __future__ import annotations

import io
import re

import resvg_py
from PIL import Image, PngImagePlugin

from .lettering import font_file, legible

MM_PER_INCH = 25.4
CSS_DPI = 96.0  # an SVG millimetre is 96/25.4 px, by CSS
_MOST_PX = 12e6  # a page of half a metre is drawn coarser, in bounded memory
_SIZE = re.compile(r'<svg [^>]*?width="([\d.]+)mm" height="([\d.]+)mm"')
_BOLD = re.compile(r'font-size="([\d.]+)"((?: [a-z-]+="[^"]*")*?) font-weight="bold"')


def png_of(svg: str, *, dpi: float = 200.0) -> bytes:
    """Render one of our drawings as PNG of `dpi`, which its metadata says; a huge page gets fewer."""
    found = _SIZE.search(svg)
    if found is None:
        raise ValueError("a drawing of ours says its size in millimetres")
    area_in2 = float(found[1]) * float(found[2]) / MM_PER_INCH**2
    dpi = min(dpi, (_MOST_PX / area_in2) ** 0.5)
    image = resvg_py.svg_to_bytes(
        svg_string=legible(_emboldened(svg)),
        zoom=dpi / CSS_DPI,
        dpi=CSS_DPI,
        background="#fff",
        skip_system_fonts=True,
        font_files=[font_file()],
        font_family="DejaVu Sans",
        sans_serif_family="DejaVu Sans",
    )
    return with_resolution(Image.open(io.BytesIO(image)).convert("RGB"), dpi=dpi)


def with_resolution(image: Image.Image, *, dpi: float, says: str = "") -> bytes:
    """Write an image as PNG that says its resolution, and in words what it shows; no date, so the same bytes again."""
    info = PngImagePlugin.PngInfo()
    if says:
        info.add_itxt("Description", says)
    packed = io.BytesIO()
    colours = image.quantize(255, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    colours.save(packed, "PNG", dpi=(dpi, dpi), pnginfo=info, compress_level=6)
    return packed.getvalue()


def _emboldened(svg: str) -> str:
    # The font comes in one weight: bold is a thin rim of the letter's own colour.
    def thicker(found: re.Match[str]) -> str:
        rim = 0.045 * float(found[1])
        return f'font-size="{found[1]}"{found[2]} stroke="#2a2521" stroke-width="{rim:.3f}"'

    return _BOLD.sub(thicker, svg)
