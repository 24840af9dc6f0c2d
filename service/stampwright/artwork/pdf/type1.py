"""Type 1 font programs: their charstrings, without running their PostScript (Adobe Type 1 Font Format, chapter 7)."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fontTools.misc import eexec
from fontTools.misc.psCharStrings import T1CharString

_EEXEC_KEY, _CHARSTRING_KEY = 55665, 4330
_LENIV = re.compile(rb"/lenIV\s+(-?\d+)")
_SUBR = re.compile(rb"dup\s+(\d+)\s+(\d+)\s+(?:RD|-\||\S+)[ ]")
_GLYPH = re.compile(rb"/([^\s/{}\[\]()<>%]+)\s+(\d+)\s+(?:RD|-\||\S+)[ ]")
_ENCODED = re.compile(rb"dup\s+(\d+)\s*/([^\s/{}\[\]()<>%]+)\s+put")
_MATRIX = re.compile(rb"/FontMatrix\s*\[([^\]]*)\]")
_HEX = re.compile(rb"[0-9A-Fa-f\s]{8}")


@dataclass(frozen=True, slots=True)
class Type1:
    """A parsed program: charstrings by glyph name, names of its own encoding (None: the standard one), its matrix."""

    charstrings: dict[str, T1CharString]
    encoding: dict[int, str] | None
    matrix: tuple[float, ...]


def parse_type1(data: bytes) -> Type1:
    """Read a program as PDF embeds it: clear text, then a part encrypted by a fixed key. `ValueError` if it is none."""
    clear, private = _parts(data)
    found = _LENIV.search(private)
    skipped = int(found[1]) if found else 4
    subrs_at, glyphs_at = private.find(b"/Subrs"), private.find(b"/CharStrings")
    if glyphs_at < 0:
        raise ValueError("no charstrings")
    subrs: list[T1CharString] = []
    for index, code in _blocks(_SUBR, private, max(subrs_at, 0), glyphs_at if glyphs_at > subrs_at else len(private)):
        if subrs_at >= 0 and int(index) <= len(subrs):
            subrs.insert(int(index), T1CharString(_decrypted(code, skipped), subrs=subrs))
    glyphs = {
        name.decode("latin-1"): T1CharString(_decrypted(code, skipped), subrs=subrs)
        for name, code in _blocks(_GLYPH, private, glyphs_at + len(b"/CharStrings"), len(private))
    }
    encoding = {int(code): name.decode("latin-1") for code, name in _ENCODED.findall(clear)}
    matrix = _MATRIX.search(clear)
    numbers = tuple(float(part) for part in matrix[1].split()) if matrix else ()
    standard = b"StandardEncoding def" in clear
    return Type1(glyphs, None if standard else encoding, numbers if len(numbers) == 6 else (0.001, 0, 0, 0.001, 0, 0))


def _parts(data: bytes) -> tuple[bytes, bytes]:
    if data[:1] == b"\x80":  # the segments of a file for a certain system: their heads are no part of the program
        data = _without_heads(data)
    at = data.find(b"eexec")
    if at < 0:
        raise ValueError("no encrypted part")
    clear, rest = data[:at], data[at + 5 :].lstrip(b" \t\r\n")
    if _HEX.match(rest):
        digits = re.sub(rb"[^0-9A-Fa-f]", b"", rest)
        rest = bytes.fromhex(digits[: len(digits) // 2 * 2].decode())
    private, _ = eexec.decrypt(rest, _EEXEC_KEY)
    return clear, private[4:]


def _without_heads(data: bytes) -> bytes:
    parts = []
    while len(data) >= 6 and data[0] == 0x80 and data[1] in (1, 2):
        length = int.from_bytes(data[2:6], "little")
        parts.append(data[6 : 6 + length])
        data = data[6 + length :]
    return b"".join(parts)


def _blocks(head: re.Pattern[bytes], data: bytes, at: int, stop: int) -> list[tuple[bytes, bytes]]:
    """Name or number, and code, of the blocks of binary between two places; each is stepped over by its length."""
    found = []
    while (block := head.search(data, at, stop)) is not None:
        length = int(block[2])
        found.append((block[1], data[block.end() : block.end() + length]))
        at = block.end() + length
    return found


def _decrypted(code: bytes, skipped: int) -> bytes:
    if skipped < 0:
        return code
    plain, _ = eexec.decrypt(code, _CHARSTRING_KEY)
    return bytes(plain[skipped:])
