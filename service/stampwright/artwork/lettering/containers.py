"""What a font file is packed in, undone within bounds: WOFF, WOFF2, a collection, or a bare font (ISO 14496-22).

Declared sizes are looked at before anything is unpacked, and no stream is inflated beyond what was declared: a few
hundred kB can hold a gigabyte. WOFF: W3C Recommendation of 2012, WOFF2: of 2022.
"""

from __future__ import annotations

import io
import struct
import zlib
from typing import TYPE_CHECKING, NamedTuple

import brotli
from fontTools.ttLib import woff2

from stampwright.artwork.limits import LIMITS, keep_within

if TYPE_CHECKING:
    from collections.abc import Callable

_BARE = (b"\0\1\0\0", b"true", b"OTTO")
_DIRECTORY = struct.Struct(">4sHHHH")  # version, number of tables, and three numbers nobody needs
_ENTRY = struct.Struct(">4sIII")  # tag, checksum, place, length
_MOST_FACES = 64  # in one collection; a large family of book fonts has some 20
_KNOWN_TAGS = 63  # of WOFF2: flags with this number are followed by a tag written out
_TRANSFORMED_TAGS = {10, 11}  # glyf and loca in the list of known tags: transformed unless they say 3


class Unpacked(NamedTuple):
    """A bare font or collection, and the numbers of the faces in it."""

    data: bytes
    faces: range


class UnreadableFontError(ValueError):
    """The bytes are no font that is read here."""


def unpacked(data: bytes, *, pointer: str, before: int = 0) -> Unpacked:
    """Undo the packing, where `before` bytes of fonts are unpacked already.

    Raises `UnreadableFontError`, `TooComplex`, or what its broken parts make the readers raise.
    """
    kind = data[:4]

    def keep(size: int) -> None:
        keep_within("font_unpacked", size + before, pointer=pointer)

    if kind == b"wOFF":
        return Unpacked(_from_woff(data, keep), range(1))
    if kind == b"wOF2":
        return Unpacked(_from_woff2(data, keep), range(1))
    if kind == b"ttcf":
        count = struct.unpack_from(">I", data, 8)[0]
        if not 1 <= count <= _MOST_FACES:
            raise UnreadableFontError(f"the collection says it holds {count} fonts")
        return Unpacked(data, range(count))
    if kind in _BARE:
        return Unpacked(data, range(1))
    raise UnreadableFontError("it is no TrueType, OpenType, WOFF or WOFF2 font")


def _from_woff(data: bytes, keep: Callable[[int], None]) -> bytes:
    flavour, _, count = struct.unpack_from(">4sIH", data, 4)
    rows = [struct.unpack_from(">4sIIII", data, 44 + 20 * place) for place in range(count)]
    keep(sum(row[3] for row in rows))
    tables = {tag: _inflated(data[at : at + packed], full) for tag, at, packed, full, _ in rows}
    return _bare(flavour, tables)


def _inflated(data: bytes, size: int) -> bytes:
    if len(data) == size:  # a table that packing would not have made smaller is stored as it is
        return data
    plain = zlib.decompressobj().decompress(data, size + 1)
    if len(plain) != size:
        raise UnreadableFontError("a table is not as large as it says")
    return plain


def _bare(flavour: bytes, tables: dict[bytes, bytes]) -> bytes:
    """A bare font of these tables."""
    at = _DIRECTORY.size + _ENTRY.size * len(tables)
    entries, bodies = [], []
    for tag in sorted(tables):
        body = tables[tag]
        entries.append(_ENTRY.pack(tag, 0, at, len(body)))
        bodies.append(body + bytes(-len(body) % 4))
        at += len(bodies[-1])
    return b"".join([_DIRECTORY.pack(flavour, len(tables), 0, 0, 0), *entries, *bodies])


def _from_woff2(data: bytes, keep: Callable[[int], None]) -> bytes:
    flavour, _, count = struct.unpack_from(">4sIH", data, 4)
    if flavour == b"ttcf":
        raise UnreadableFontError("it is a collection packed as WOFF2; send its fonts one by one")
    (packed,) = struct.unpack_from(">I", data, 20)
    full, stored, at = _declared(data, count)
    keep(max(full, stored))
    _keep_stream(data[at : at + packed], stored)
    out = io.BytesIO()
    woff2.decompress(io.BytesIO(data), out)
    return out.getvalue()


def _declared(data: bytes, count: int) -> tuple[int, int, int]:
    """Bytes of all tables as they will be and as they are stored in the stream, and where the stream begins."""
    full = stored = 0
    at = 48
    for _ in range(count):
        flags = data[at]
        at += 5 if flags & 63 == _KNOWN_TAGS else 1
        size, at = _base128(data, at)
        full += size
        if (flags >> 6 != 3) if flags & 63 in _TRANSFORMED_TAGS else (flags >> 6 != 0):
            size, at = _base128(data, at)
        stored += size
    return full, stored, at


def _base128(data: bytes, at: int) -> tuple[int, int]:
    """A number of at most five groups of seven bits, and the place after it."""
    value = 0
    for place in range(at, at + 5):
        value = value << 7 | data[place] & 127
        if data[place] < 128:
            return value, place + 1
    raise UnreadableFontError("a size in its directory has no end")


def _keep_stream(packed: bytes, size: int) -> None:
    """See that the stream holds no more than the directory says, before a library unpacks it whole."""
    most = min(size, int(LIMITS["font_unpacked"].most))
    stream = brotli.Decompressor()
    found = len(stream.process(packed, output_buffer_limit=most + 1))
    while found <= most and not stream.is_finished():
        more = len(stream.process(b"", output_buffer_limit=most + 1 - found))
        if not more:
            break
        found += more
    if found > most:
        raise UnreadableFontError("its stream holds more than its directory says")
