"""Writes PNG of at most 256 colours: resolution, words, pixels; no date, so the same bytes again."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from PIL import Image, PngImagePlugin

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_PACKING = 1  # of 9: the next take longer for a twentieth less


def png_bytes(pixels: NDArray[np.uint8], palette: NDArray[np.uint8], *, dpi: float, says: str = "") -> bytes:
    """Write `pixels` (high, wide), which count in `palette` (colours, 3), and in words what the picture shows."""
    image, info, packed = Image.fromarray(pixels), PngImagePlugin.PngInfo(), io.BytesIO()
    image.putpalette(palette.tobytes())
    if says:
        info.add_itxt("Description", says)
    image.save(packed, "PNG", dpi=(dpi, dpi), pnginfo=info, compress_level=_PACKING)
    return packed.getvalue()
