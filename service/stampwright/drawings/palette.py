"""The few colours of a picture, and which of them each of its pixels has."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PIL import Image

if TYPE_CHECKING:
    from numpy.typing import NDArray

_MOST = 255
_EACH = 4  # of the pixels each way: colours found on a sixteenth are as near to the picture as those of all


def in_few_colours(pixels: NDArray[np.uint32]) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """Palette (colours, 3), and which colour each pixel has, (high, wide); `pixels` are red, green, blue and one idle.

    Rows and columns that have the first pixel's colour alone, as between lines and at the edges, are left out.
    """
    is_drawn = pixels != pixels[0, 0]
    rows, columns = is_drawn.any(axis=1), is_drawn.any(axis=0)
    rows[0] = True  # the ground's own colour
    first, last = int(np.argmax(columns)), len(columns) - int(np.argmax(columns[::-1]))
    part = np.ascontiguousarray(pixels[rows, first:last])
    image = Image.frombytes("RGB", part.shape[::-1], part, "raw", "RGBX")
    some = image.resize((max(1, image.width // _EACH), max(1, image.height // _EACH)), Image.Resampling.NEAREST)
    found = some.quantize(_MOST, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    colours = np.array(found.getpalette(), np.uint8).reshape(-1, 3)
    counted = np.asarray(image.quantize(palette=found, dither=Image.Dither.NONE))
    every = np.full(pixels.shape, counted[0, 0])
    every[rows, first:last] = counted
    return colours, every
