"""From the codes of a simple font to names of glyphs and characters (ISO 32000-1, 9.6.6 and annex D)."""

from __future__ import annotations

import pikepdf
from fontTools.agl import UV2AGL, toUnicode
from fontTools.encodings.MacRoman import MacRoman
from fontTools.encodings.StandardEncoding import StandardEncoding

from .objects import Named, entry, items, name, number


def _windows() -> dict[int, str]:
    """WinAnsiEncoding: code page 1252 by the names of its characters; what is left over is a bullet (D.2)."""
    found = {}
    for code in range(32, 256):
        character = bytes([code]).decode("cp1252", "ignore")
        found[code] = UV2AGL.get(ord(character), "bullet") if character else "bullet"
    return found | {0x20: "space", 0xA0: "space", 0xAD: "hyphen", 0x7F: "bullet"}


_NAMED = {
    "WinAnsiEncoding": _windows(),
    "MacRomanEncoding": dict(enumerate(MacRoman)),
    "StandardEncoding": dict(enumerate(StandardEncoding)),
}
STANDARD = _NAMED["StandardEncoding"]
MAC = {glyph: code for code, glyph in _NAMED["MacRomanEncoding"].items()}
BLANK = frozenset({"space", "nbspace", "nonbreakingspace", "uni00A0", "uni0020"})


def base_encoding(encoding: object) -> dict[int, str] | None:
    """The named encoding that a font's entry gives, alone or as the base of its differences."""
    plain = encoding if isinstance(encoding, (pikepdf.Name, Named)) else entry(encoding, "/BaseEncoding")
    return _NAMED.get(name(plain))


def differences(encoding: object) -> dict[int, str]:
    """Codes that a font names by itself."""
    found, code = {}, 0
    for item in items(entry(encoding, "/Differences"))[:1024]:
        if isinstance(item, pikepdf.Name):
            found[code] = name(item)
            code += 1
        else:
            code = int(number(item)) if 0 <= number(item) < 256 else 0
    return found


def character_of(glyph: str) -> int | None:
    """The character that a glyph's name means, by the Adobe Glyph List and its rules."""
    found = toUnicode(glyph)
    return ord(found) if len(found) == 1 else None
