"""The few colours of a picture, and which of them each of its pixels has."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PIL import Image

if TYPE_CHECKING:
    from numpy.typing import NDArray

_MOST = 255
_EACH = 4  # of the pixels each way: colours found on a sixteenth are as near to the picture as those of all


def in_few_colours(pixels: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """Palette (colours, 3), and which colour each pixel has, (high, wide).

    `pixels` are (high, wide times 4): red, green, blue and one that is idle.
    """
    high, line = pixels.shape
    image = Image.frombytes("RGB", (line // 4, high), pixels, "raw", "RGBX")
    some = image.resize((max(1, image.width // _EACH), max(1, image.height // _EACH)), Image.Resampling.NEAREST)
    found = some.quantize(_MOST, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    colours = np.array(found.getpalette(), np.uint8).reshape(-1, 3)
    return colours, np.asarray(image.quantize(palette=found, dither=Image.Dither.NONE))
