"""Fonts of a PDF: codes to widths and outlines. What cannot be shown exactly says why (ISO 32000-1, 9.6 and 9.7)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

import pikepdf

from stampwright.artwork.affine import IDENTITY, Affine
from stampwright.artwork.paths import Path
from stampwright.base import StampwrightError

from .encodings import BLANK, MAC, STANDARD, base_encoding, character_of, differences
from .objects import affine, entry, items, name, number, numbers, unpacked, whole
from .outlines import BROKEN_FONT
from .programs import TrueType, program_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from .programs import Compact, PlainType1

_SYMBOLIC, _NONSYMBOLIC = 4, 32
_MOST_WIDTHS = 70_000  # characters of a composite font
_NOTDEF = ".notdef"


class Code(NamedTuple):
    """A character of a string: its code, its width in units of text space, whether it is the one-byte space."""

    code: int
    width: float
    is_space: bool


@dataclass(slots=True)
class Font:
    """A font in use. `missing` says why no glyph of it can be drawn."""

    missing: str = ""
    composite: bool = False
    vertical: bool = False
    matrix: Affine = IDENTITY
    widths: dict[int, float] = field(default_factory=dict)
    usual_width: float = 0.0
    program: TrueType | Compact | PlainType1 | None = None
    named: dict[int, str] = field(default_factory=dict)  # glyphs by code, in the names of the program
    to_glyph: bytes | None = None  # of a composite font of TrueType: two bytes for each character
    procedures: object = None  # of Type 3: streams by name
    resources: object = None
    outlines: dict[int, Path | str] = field(default_factory=dict)

    def codes(self, shown: bytes) -> Iterator[Code]:
        """Characters of a string."""
        if self.composite:
            for at in range(0, len(shown) - 1, 2):
                code = shown[at] << 8 | shown[at + 1]
                yield Code(code, self.widths.get(code, self.usual_width), is_space=False)
        else:
            for code in shown:
                yield Code(code, self.widths.get(code, self.usual_width), is_space=code == 32)

    def outline(self, code: int) -> Path | str:
        """Outline of a character in the program's space, or why there is none."""
        if code not in self.outlines:
            self.outlines[code] = self.missing or self._drawn(code)
        return self.outlines[code]

    def _drawn(self, code: int) -> Path | str:
        if self.program is None:
            return "no font program"
        try:
            glyph = self._glyph(code)
            if glyph in BLANK and not self.program.has(glyph):
                return Path()
            if not self.program.has(glyph) or (glyph == _NOTDEF and code != 0):
                return f"no glyph for the code {code}"
            return self.program.outline(glyph)
        except StampwrightError:
            raise
        except BROKEN_FONT:
            return f"the glyph of the code {code} is broken"

    def _glyph(self, code: int) -> str:
        if not self.composite:
            return self.named.get(code, _NOTDEF)
        if self.program is None:
            return _NOTDEF
        if self.to_glyph is not None:
            code = int.from_bytes(self.to_glyph[2 * code : 2 * code + 2], "big")
        return self.program.by_number(code)


def font_of(found: object) -> Font:
    """A font from its dictionary."""
    kind = name(entry(found, "/Subtype"))
    if kind == "Type3":
        return _type3(found)
    if kind == "Type0":
        return _composite(found)
    if kind in ("Type1", "MMType1", "TrueType"):
        return _simple(found)
    return Font("a font is missing")


def _called(found: object) -> str:
    return name(entry(found, "/BaseFont"))[:60] or "a font"


def _type3(found: object) -> Font:
    matrix = affine(entry(found, "/FontMatrix"))
    widths = {code: width * matrix[0] for code, width in _simple_widths(found).items()}
    return Font(
        matrix=matrix,
        widths=widths,
        named=differences(entry(found, "/Encoding")),
        procedures=entry(found, "/CharProcs"),
        resources=entry(found, "/Resources"),
    )


def _simple_widths(found: object) -> dict[int, float]:
    first = whole(entry(found, "/FirstChar"))
    return {first + i: width for i, width in enumerate(numbers(entry(found, "/Widths"))[:256])}


def _embedded(descriptor: object) -> TrueType | Compact | PlainType1 | None:
    """The program of a font; None when there is none, or none that can be read."""
    for key in ("FontFile", "FontFile2", "FontFile3"):
        stream = entry(descriptor, f"/{key}")
        if isinstance(stream, pikepdf.Stream):
            data = unpacked(stream)
            try:
                return program_of(key, data)
            except StampwrightError:
                raise
            except BROKEN_FONT:
                return None
    return None


def _simple(found: object) -> Font:
    descriptor = entry(found, "/FontDescriptor")
    program = _embedded(descriptor)
    widths = {code: width / 1000 for code, width in _simple_widths(found).items()}
    usual = number(entry(descriptor, "/MissingWidth")) / 1000
    if program is None:
        return Font(f"{_called(found)} is not embedded, or broken", widths=widths, usual_width=usual)
    encoding, flags = entry(found, "/Encoding"), whole(entry(descriptor, "/Flags"))
    try:
        named = _names(program, encoding, flags)
    except StampwrightError:
        raise
    except BROKEN_FONT:
        return Font(f"the encoding of {_called(found)} is broken", widths=widths, usual_width=usual)
    return Font(matrix=program.matrix, widths=widths, usual_width=usual, program=program, named=named)


def _names(program: TrueType | Compact | PlainType1, encoding: object, flags: int) -> dict[int, str]:
    """Glyphs of the 256 codes."""
    base, own = base_encoding(encoding), differences(encoding)
    if isinstance(program, TrueType):
        return _of_truetype(program, base, own, flags)
    return (base or program.encoding) | own


def _of_truetype(program: TrueType, base: dict[int, str] | None, own: dict[int, str], flags: int) -> dict[int, str]:
    """9.6.6.4: by name and character when the font is not symbolic, by code when it is; else what the tables hold."""
    symbols, mac, unicode = program.cmap(3, 0), program.cmap(1, 0), program.cmap(3, 1) or program.cmap(0, 3)
    names = ((base or STANDARD) | own) if base or own or flags & _NONSYMBOLIC else {}
    by_code = {
        code: glyph
        for code in range(256)
        if (glyph := _first(symbols, (code, 0xF000 + code, 0xF100 + code, 0xF200 + code)) or mac.get(code))
    }
    by_name = {}
    for code, wanted in names.items():
        character = character_of(wanted)
        glyph = unicode.get(character) if character is not None else None
        glyph = glyph or mac.get(MAC.get(wanted, -1)) or (wanted if program.has(wanted) else None)
        if glyph or wanted in BLANK:
            by_name[code] = glyph or wanted
    if flags & _SYMBOLIC and (symbols or not names):
        return by_name | by_code
    return by_code | by_name


def _first(table: dict[int, str], codes: tuple[int, ...]) -> str | None:
    return next((table[code] for code in codes if code in table), None)


def _composite(found: object) -> Font:
    descendant = next(iter(items(entry(found, "/DescendantFonts"))), None)
    widths, usual = _composite_widths(descendant)
    font = Font(composite=True, widths=widths, usual_width=usual)
    coding = name(entry(found, "/Encoding"))
    if coding != "Identity-H":
        font.missing, font.vertical = f"the encoding {coding or 'of its own'} of {_called(found)} is not read", False
        return font
    program = _embedded(entry(descendant, "/FontDescriptor"))
    if program is None:
        font.missing = f"{_called(found)} is not embedded, or broken"
        return font
    font.program, font.matrix = program, program.matrix
    mapped = entry(descendant, "/CIDToGIDMap")
    if isinstance(mapped, pikepdf.Stream) and isinstance(program, TrueType):
        font.to_glyph = unpacked(mapped)
    return font


def _composite_widths(descendant: object) -> tuple[dict[int, float], float]:
    """Widths by character, and the usual one (9.7.4.3): `first [w w ...]` or `first last w`."""
    usual = number(entry(descendant, "/DW"), 1000.0) / 1000
    widths: dict[int, float] = {}
    listed = items(entry(descendant, "/W"))[:_MOST_WIDTHS]
    at = 0
    while at + 1 < len(listed) and len(widths) < _MOST_WIDTHS:
        first = whole(listed[at])
        if isinstance(listed[at + 1], pikepdf.Array):
            widths.update((first + i, width / 1000) for i, width in enumerate(numbers(listed[at + 1])))
            at += 2
        elif at + 2 < len(listed):
            last = min(whole(listed[at + 1]), first + _MOST_WIDTHS, 0xFFFF)
            widths.update(dict.fromkeys(range(first, last + 1), number(listed[at + 2]) / 1000))
            at += 3
        else:
            break
    return widths, usual
