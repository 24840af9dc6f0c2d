"""Writes PNG of at most 256 colours (ISO/IEC 15948): resolution, words, pixels; no date, so the same bytes again."""

from __future__ import annotations

import struct
import zlib
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

MM_PER_INCH = 25.4
_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_DEPTH, _INDEXED = 8, 3  # bits of a pixel, and that they count in the palette (11.2.2)
_PER_METRE = 1  # unit of the resolution (11.3.5.3)
_UNFILTERED = 0  # begins each row (9.2); filters help photographs
_PACKING = 1  # of 9: the next take longer for a twentieth less


def png_bytes(pixels: NDArray[np.uint8], palette: NDArray[np.uint8], *, dpi: float, says: str = "") -> bytes:
    """Write `pixels` (high, wide), which count in `palette` (colours, 3), and in words what the picture shows."""
    return _SIGNATURE + b"".join(_chunk(*part) for part in _parts(pixels, palette, dpi=dpi, says=says))


def _parts(
    pixels: NDArray[np.uint8], palette: NDArray[np.uint8], *, dpi: float, says: str
) -> Iterator[tuple[bytes, bytes]]:
    high, wide = pixels.shape
    yield b"IHDR", struct.pack(">2I5B", wide, high, _DEPTH, _INDEXED, 0, 0, 0)
    yield b"PLTE", palette.tobytes()
    per_metre = round(1000 * dpi / MM_PER_INCH)
    yield b"pHYs", struct.pack(">2IB", per_metre, per_metre, _PER_METRE)
    if says:
        yield b"iTXt", b"Description" + bytes(5) + says.encode("utf-8")  # not packed, in no one language (11.3.4.5)
    rows = np.full((high, wide + 1), _UNFILTERED, np.uint8)
    rows[:, 1:] = pixels
    yield b"IDAT", zlib.compress(rows.data, _PACKING)
    yield b"IEND", b""


def _chunk(name: bytes, data: bytes) -> bytes:
    return b"".join((struct.pack(">I", len(data)), name, data, struct.pack(">I", zlib.crc32(data, zlib.crc32(name)))))
