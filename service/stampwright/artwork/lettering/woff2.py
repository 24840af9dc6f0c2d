"""WOFF2 undone (W3C Recommendation of 2022): one stream of tables, glyphs taken apart into streams of their own.

All points of a font are decoded at once. What the shaper does not look at is left out: the instructions of glyphs.
"""

from __future__ import annotations

import itertools
import re
import struct
from typing import TYPE_CHECKING, NamedTuple

import brotli
import numpy as np

from .sfnt import UnreadableFontError, bare

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from numpy.typing import NDArray

    Integers = NDArray[np.int64]

_KNOWN = """
    cmap head hhea hmtx maxp name OS/2 post cvt_ fpgm glyf loca prep CFF_ VORG EBDT EBLC gasp hdmx kern LTSH PCLT VDMX
    vhea vmtx BASE GDEF GPOS GSUB EBSC JSTF MATH CBDT CBLC COLR CPAL SVG_ sbix acnt avar bdat bloc bsln cvar fdsc feat
    fmtx fvar gvar hsty just lcar mort morx opbd prop trak Zapf Silf Glat Gloc Feat Sill
"""
KNOWN_TAGS = tuple(word.replace("_", " ").encode() for word in re.findall(r"\S+", _KNOWN))  # section 5.1
_HEAD_BYTES = 48
_WORD, _LONGER, _LONGEST = 253, 255, 254  # codes of a 255UInt16
_STREAMS = struct.Struct(">HHHH7I")
_WIDTHS = np.array([1] * 84 + [2] * 36 + [3] * 4 + [4] * 4)  # bytes of a point by its flag, section 5.2
_HAS_INSTRUCTIONS, _MORE_PARTS = 0x0100, 0x0020  # flags of a component (ISO 14496-22, glyf)


class _Row(NamedTuple):
    tag: bytes
    full: int
    stored: int
    is_transformed: bool


def from_woff2(data: bytes, keep: Callable[[str, int], None]) -> bytes:
    """The bare font in a WOFF2. `keep` refuses what is beyond a limit of this name, before it is unpacked."""
    flavour, _, count = struct.unpack_from(">4sIH", data, 4)
    if flavour == b"ttcf":
        raise UnreadableFontError("it is a collection packed as WOFF2; send its fonts one by one")
    (packed,) = struct.unpack_from(">I", data, 20)
    rows, at = _directory(data, count)
    stored = sum(row.stored for row in rows)
    keep("font_unpacked", max(sum(row.full for row in rows), stored))
    stream = _inflated(data[at : at + packed], stored)
    tables: dict[bytes, bytes] = {}
    changed: dict[bytes, bytes] = {}
    at = 0
    for row in rows:
        (changed if row.is_transformed else tables)[row.tag] = stream[at : at + row.stored]
        at += row.stored
    if b"glyf" in changed:
        glyphs = _glyphs(changed[b"glyf"], keep)
        tables |= glyphs.tables
        head = tables[b"head"]
        tables[b"head"] = head[:50] + b"\0\1" + head[52:]  # places of glyphs as long numbers
        if b"hmtx" in changed:
            tables[b"hmtx"] = _metrics(changed[b"hmtx"], tables[b"hhea"], glyphs.left)
    elif b"hmtx" in changed:
        raise UnreadableFontError("its widths lean on glyphs that are not there")
    return bare(flavour, tables)


def _directory(data: bytes, count: int) -> tuple[list[_Row], int]:
    """What the tables are, and where the stream begins."""
    rows, at = [], _HEAD_BYTES
    for _ in range(count):
        flags = data[at]
        at += 1
        tag = KNOWN_TAGS[flags & 63] if flags & 63 < 63 else data[at : at + 4]
        at += 4 if flags & 63 == 63 else 0
        full, at = _base128(data, at)
        is_transformed = (flags >> 6 != 3) if tag in {b"glyf", b"loca"} else flags >> 6 != 0
        stored, at = _base128(data, at) if is_transformed else (full, at)
        rows.append(_Row(tag, full, stored, is_transformed))
    return rows, at


def _base128(data: bytes, at: int) -> tuple[int, int]:
    """A number of at most five groups of seven bits, and the place after it."""
    value = 0
    for place in range(at, at + 5):
        value = value << 7 | data[place] & 127
        if data[place] < 128:
            return value, place + 1
    raise UnreadableFontError("a size in its directory has no end")


def _inflated(packed: bytes, size: int) -> bytes:
    """The stream, which holds exactly what the directory says."""
    reader = brotli.Decompressor()
    parts = [reader.process(packed, output_buffer_limit=size + 1)]
    found = len(parts[0])
    while found <= size and not reader.is_finished():
        parts.append(reader.process(b"", output_buffer_limit=size + 1 - found))
        if not parts[-1]:
            break
        found += len(parts[-1])
    if found != size:
        raise UnreadableFontError("its stream does not hold what its directory says")
    return b"".join(parts)


class _Glyphs(NamedTuple):
    tables: dict[bytes, bytes]  # glyf and loca
    left: list[int]  # least x of each glyph


def _glyphs(data: bytes, keep: Callable[[str, int], None]) -> _Glyphs:
    """Section 5.2: the table of glyphs out of its streams."""
    _, _, count, _, *sizes = _STREAMS.unpack_from(data)
    ends = np.cumsum([_STREAMS.size, *sizes]).tolist()
    if ends[-1] > len(data):
        raise UnreadableFontError("its streams of glyphs are cut short")
    contours, points, flags, shapes, parts, boxes, _ = (data[start:stop] for start, stop in itertools.pairwise(ends))
    counts = np.frombuffer(contours, ">i2", count).astype(np.int64)
    keep("font_points", len(flags))
    if np.maximum(counts, 0).sum() > len(flags):
        raise UnreadableFontError("it has more contours than points")
    joined = list(_composites(parts, int((counts < 0).sum())))
    composite = iter(joined)
    simple = _Simple(counts, points, flags, shapes, [each.has_instructions for each in joined])
    box = iter(_boxes(boxes, count))
    out, left, places = [], [], [0]
    for glyph, contour_count in enumerate(counts.tolist()):
        said = next(box)
        if contour_count < 0:
            if said is None:
                raise UnreadableFontError("a glyph of glyphs has no box")
            body = struct.pack(">h4h", -1, *said) + next(composite).parts
            left.append(said[0])
        else:
            body, least = simple.glyph(glyph, said) if contour_count else (b"", 0)
            left.append(least)
        out.append(body + bytes(-len(body) % 4))
        places.append(places[-1] + len(out[-1]))
    return _Glyphs({b"glyf": b"".join(out), b"loca": np.array(places, ">u4").tobytes()}, left)


class _Simple:
    """Glyphs of contours: all their points, decoded together."""

    def __init__(self, counts: Integers, points: bytes, flags: bytes, shapes: bytes, joined: Sequence[bool]) -> None:
        held = np.maximum(counts, 0)
        self._contour_at = np.concatenate([[0], np.cumsum(held)])
        per_contour = np.array(_numbers(points, int(self._contour_at[-1])), dtype=np.int64)
        self._ends = np.cumsum(per_contour)
        before = np.concatenate([[0], self._ends])
        self._point_at = before[self._contour_at]
        flag = np.frombuffer(flags, np.uint8, int(before[-1])).astype(np.int64)
        self._on = (flag < 128).astype(np.uint8)
        flag &= 127
        x, y = _steps(flag, shapes, self._starts(flag, counts, shapes, iter(joined)))
        self._x_bytes, self._y_bytes = x.astype(">i2").tobytes(), y.astype(">i2").tobytes()
        self._x, self._y = np.cumsum(x), np.cumsum(y)

    def _starts(self, flag: Integers, counts: Integers, shapes: bytes, joined: Iterator[bool]) -> Integers:
        """Where the bytes of each point begin: behind those of a glyph stands the length of its instructions."""
        after = np.concatenate([[0], np.cumsum(_WIDTHS[flag])])
        at, moved = 0, np.zeros(len(counts), dtype=np.int64)
        edges = after[self._point_at].tolist()
        for glyph, count in enumerate(counts.tolist()):
            if count == 0 or (count < 0 and not next(joined)):
                continue
            moved[glyph] = at - edges[glyph]
            _, at = _number(shapes, at + edges[glyph + 1] - edges[glyph])
        return after[:-1] + np.repeat(moved, np.diff(self._point_at))

    def glyph(self, number: int, said: tuple[int, ...] | None) -> tuple[bytes, int]:
        """A glyph as the bare format has it, its instructions left out, and its least x."""
        first, stop = int(self._point_at[number]), int(self._point_at[number + 1])
        ends = self._ends[self._contour_at[number] : self._contour_at[number + 1]] - first - 1
        x0, y0 = (int(line[first - 1]) if first else 0 for line in (self._x, self._y))
        x, y = self._x[first:stop] - x0, self._y[first:stop] - y0
        box = said or ((int(x.min()), int(y.min()), int(x.max()), int(y.max())) if len(x) else (0, 0, 0, 0))
        head = struct.pack(">h4h", len(ends), *box) + ends.astype(">u2").tobytes() + b"\0\0"
        steps = self._x_bytes[2 * first : 2 * stop] + self._y_bytes[2 * first : 2 * stop]
        return head + self._on[first:stop].tobytes() + steps, box[0]


def _steps(flag: Integers, shapes: bytes, at: Integers) -> tuple[Integers, Integers]:
    """From each point to the next: the table of triplets in section 5.2, all rows at once."""
    byte = np.frombuffer(shapes + bytes(4), np.uint8).astype(np.int64)
    if len(at) and int(at.max()) >= len(shapes):
        raise UnreadableFontError("its stream of points is cut short")
    b0, b1, b2, b3 = (byte[at + i] for i in range(4))
    rows = [flag < 10, flag < 20, flag < 84, flag < 120, flag < 124]
    mid, far = flag - 20, flag - 84
    x_of = [0 * b0, (((flag - 10) & 14) << 7) + b0, 1 + (mid & 0x30) + (b0 >> 4), 1 + (far // 12 << 8) + b0]
    y_of = [((flag & 14) << 7) + b0, 0 * b0, 1 + ((mid & 12) << 2) + (b0 & 15), 1 + (far % 12 >> 2 << 8) + b1]
    x = np.select(rows, [*x_of, (b0 << 4) + (b1 >> 4)], (b0 << 8) + b1)
    y = np.select(rows, [*y_of, ((b1 & 15) << 8) + b2], (b2 << 8) + b3)
    y_sign = np.where(flag < 10, flag, flag >> 1)
    return np.where(flag & 1, x, -x), np.where(y_sign & 1, y, -y)


def _number(data: bytes, at: int) -> tuple[int, int]:
    """A 255UInt16, and the place after it."""
    code = data[at]
    if code == _WORD:
        return data[at + 1] << 8 | data[at + 2], at + 3
    if code in {_LONGER, _LONGEST}:
        return data[at + 1] + (253 if code == _LONGER else 506), at + 2
    return code, at + 1


def _numbers(data: bytes, count: int) -> list[int]:
    found, at = [], 0
    for _ in range(count):
        value, at = _number(data, at)
        found.append(value)
    return found


def _boxes(data: bytes, count: int) -> Iterator[tuple[int, ...] | None]:
    """The box of each glyph that has one of its own."""
    at = 4 * ((count + 31) // 32)
    has = np.unpackbits(np.frombuffer(data, np.uint8, at))[:count].tolist()
    for each in has:
        if each:
            yield struct.unpack_from(">4h", data, at)
            at += 8
        else:
            yield None


class _Joined(NamedTuple):
    parts: bytes
    has_instructions: bool


def _composites(data: bytes, count: int) -> Iterator[_Joined]:
    """The parts of each glyph of glyphs; where it has instructions, none of them."""
    at = 0
    for _ in range(count):
        start, flags, has = at, _MORE_PARTS, False
        while flags & _MORE_PARTS:
            (flags,) = struct.unpack_from(">H", data, at)
            has = has or bool(flags & _HAS_INSTRUCTIONS)
            # the glyph, two arguments of one or two bytes, then no scale, one, two, or a matrix of four
            scales = 2 if flags & 0x08 else 4 if flags & 0x40 else 8 if flags & 0x80 else 0
            at += 4 + (4 if flags & 0x01 else 2) + scales
        yield _Joined(data[start:at] + (b"\0\0" if has else b""), has)


def _metrics(data: bytes, hhea: bytes, left: list[int]) -> bytes:
    """Section 5.4: widths, with the left bearings that were left out taken from the glyphs."""
    (wide,) = struct.unpack_from(">H", hhea, 34)
    widths = np.frombuffer(data, ">u2", wide, 1)
    at, bearings = 1 + 2 * wide, []
    for bit, count in ((1, wide), (2, len(left) - wide)):
        if data[0] & bit:
            bearings.append(np.array(left, ">i2")[:wide] if bit == 1 else np.array(left, ">i2")[wide:])
        else:
            bearings.append(np.frombuffer(data, ">i2", count, at))
            at += 2 * count
    pairs = np.column_stack([widths.astype(np.int64), bearings[0].astype(np.int64) & 0xFFFF]).astype(">u2")
    return pairs.tobytes() + bearings[1].astype(">i2").tobytes()
