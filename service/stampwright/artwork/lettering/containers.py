"""What a font file is packed in, undone within bounds: WOFF, WOFF2, a collection, or a bare font (ISO 14496-22).

Declared sizes are looked at before anything is unpacked, and no stream is inflated beyond what was declared: a few
hundred kB can hold a gigabyte. WOFF: W3C Recommendation of 2012, WOFF2: of 2022.
"""

from __future__ import annotations

import struct
import zlib
from typing import TYPE_CHECKING, NamedTuple

from stampwright.artwork.limits import keep_within

from .sfnt import UnreadableFontError, bare
from .woff2 import from_woff2

if TYPE_CHECKING:
    from collections.abc import Callable

_BARE = (b"\0\1\0\0", b"true", b"OTTO")
_MOST_FACES = 64  # in one collection; a large family of book fonts has some 20


class Unpacked(NamedTuple):
    """A bare font or collection, and the numbers of the faces in it."""

    data: bytes
    faces: range


def unpacked(data: bytes, *, pointer: str, before: int = 0) -> Unpacked:
    """Undo the packing, where `before` bytes of fonts are unpacked already.

    Raises `UnreadableFontError`, `TooComplex`, or what its broken parts make the readers raise.
    """
    kind = data[:4]

    def keep(limit: str, value: int) -> None:
        keep_within(limit, value + (before if limit == "font_unpacked" else 0), pointer=pointer)

    if kind == b"wOFF":
        return Unpacked(_from_woff(data, keep), range(1))
    if kind == b"wOF2":
        return Unpacked(from_woff2(data, keep), range(1))
    if kind == b"ttcf":
        count = struct.unpack_from(">I", data, 8)[0]
        if not 1 <= count <= _MOST_FACES:
            raise UnreadableFontError(f"the collection says it holds {count} fonts")
        return Unpacked(data, range(count))
    if kind in _BARE:
        return Unpacked(data, range(1))
    raise UnreadableFontError("it is no TrueType, OpenType, WOFF or WOFF2 font")


def _from_woff(data: bytes, keep: Callable[[str, int], None]) -> bytes:
    flavour, _, count = struct.unpack_from(">4sIH", data, 4)
    rows = [struct.unpack_from(">4sIIII", data, 44 + 20 * place) for place in range(count)]
    keep("font_unpacked", sum(row[3] for row in rows))
    tables = {tag: _inflated(data[at : at + packed], full) for tag, at, packed, full, _ in rows}
    return bare(flavour, tables)


def _inflated(data: bytes, size: int) -> bytes:
    if len(data) == size:  # a table that packing would not have made smaller is stored as it is
        return data
    plain = zlib.decompressobj().decompress(data, size + 1)
    if len(plain) != size:
        raise UnreadableFontError("a table is not as large as it says")
    return plain
