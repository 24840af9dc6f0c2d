"""Embedded font programs: TrueType, CFF, OpenType, Type 1; each gives the outline of a glyph by its key."""

from __future__ import annotations

import io
from functools import cached_property
from typing import TYPE_CHECKING, Any

from fontTools.cffLib import CFFFontSet
from fontTools.encodings.StandardEncoding import StandardEncoding
from fontTools.ttLib import TTFont

from .outlines import PathPen, Type1Extractor, Type2Extractor, Work
from .type1 import parse_type1

if TYPE_CHECKING:
    from stampwright.artwork.affine import Affine
    from stampwright.artwork.paths import Path


class Drawn:
    """What the kinds have in common: a pen that draws glyph within glyph, and the count of the work.

    Each knows its glyphs by names of its own, and has the `matrix` from their space to that of text.
    """

    def __init__(self) -> None:
        self._work = Work()

    def outline(self, glyph: str) -> Path:
        """Outline of a glyph in the program's own space. May raise any of `BROKEN_FONT`, and `TooComplex`."""
        pen = PathPen(self._work, self.draw)
        self.draw(glyph, pen)
        pen.path.end(closed=True)
        return pen.path

    def draw(self, glyph: str, pen: Any) -> None:  # noqa: ANN401  fontTools' pens
        """Draw a glyph by a pen."""
        raise NotImplementedError


class TrueType(Drawn):
    """TrueType, or OpenType of either kind."""

    def __init__(self, data: bytes) -> None:
        super().__init__()
        self.font = TTFont(io.BytesIO(data), lazy=True)
        size = self.font["head"].unitsPerEm or 1000
        self.matrix: Affine = (1 / size, 0.0, 0.0, 1 / size, 0.0, 0.0)
        self._compact = Compact(self.font["CFF "].cff) if "CFF " in self.font else None

    @cached_property
    def _glyphs(self) -> Any:  # noqa: ANN401
        return self.font.getGlyphSet()

    def draw(self, glyph: str, pen: Any) -> None:  # noqa: ANN401
        """Draw a glyph by a pen."""
        if self._compact:
            self._compact.draw(glyph, pen)
        else:
            self._glyphs[glyph].draw(pen)

    def has(self, glyph: str) -> bool:
        """Whether there is such a glyph."""
        return glyph in self._names

    @cached_property
    def _names(self) -> frozenset[str]:
        return frozenset(self.font.getGlyphOrder())

    def by_number(self, number: int) -> str:
        """Name of the glyph of an index."""
        if self._compact:
            return self._compact.by_number(number)
        order = self.font.getGlyphOrder()
        return str(order[number])

    def cmap(self, platform: int, encoding: int) -> dict[int, str]:
        """A table of characters; empty when there is none."""
        if "cmap" not in self.font:
            return {}
        found = self.font["cmap"].getcmap(platform, encoding)
        return dict(found.cmap) if found else {}


class Compact(Drawn):
    """CFF, bare or from OpenType."""

    def __init__(self, fonts: Any) -> None:  # noqa: ANN401  fontTools' set
        super().__init__()
        self._top = fonts[fonts.fontNames[0]]
        self._charstrings = self._top.CharStrings
        self.keyed = hasattr(self._top, "ROS")
        self.matrix = self._matrix()

    def _matrix(self) -> Affine:
        """Of the font, or of its parts when it has none of its own; parts of different sizes are not told apart."""
        found = tuple(self._top.FontMatrix)
        if self.keyed and "FontMatrix" not in self._top.rawDict:
            found = tuple(self._top.FDArray[0].FontMatrix)
        a, b, c, d, e, f = map(float, found)
        return (a, b, c, d, e, f)

    @classmethod
    def of(cls, data: bytes) -> Compact:
        """A bare program."""
        fonts = CFFFontSet()
        fonts.decompile(io.BytesIO(data), None)
        return cls(fonts)

    def draw(self, glyph: str, pen: Any) -> None:  # noqa: ANN401
        """Run the charstring of a glyph."""
        found = self._charstrings[glyph]
        private = found.private
        extractor = Type2Extractor(
            pen, getattr(private, "Subrs", []), found.globalSubrs, private.nominalWidthX, private.defaultWidthX, private
        )
        extractor.work = self._work
        extractor.execute(found)

    def has(self, glyph: str) -> bool:
        """Whether there is such a glyph."""
        return glyph in self._charstrings

    def by_number(self, number: int) -> str:
        """Name of the glyph of a character: by its number in a font that is keyed so, else by its place."""
        if self.keyed:
            return f"cid{number:05d}" if number else ".notdef"
        return str(self._top.charset[number])

    @property
    def encoding(self) -> dict[int, str]:
        """Glyph names of the program's own encoding."""
        found = self._top.Encoding
        return dict(enumerate(StandardEncoding if isinstance(found, str) else found))


class PlainType1(Drawn):
    """Type 1."""

    def __init__(self, data: bytes) -> None:
        super().__init__()
        self._parsed = parse_type1(data)
        a, b, c, d, e, f = self._parsed.matrix
        self.matrix: Affine = (a, b, c, d, e, f)

    def draw(self, glyph: str, pen: Any) -> None:  # noqa: ANN401
        """Run the charstring of a glyph."""
        found = self._parsed.charstrings[glyph]
        extractor = Type1Extractor(pen, found.subrs)
        extractor.work = self._work
        extractor.execute(found)

    def has(self, glyph: str) -> bool:
        """Whether there is such a glyph."""
        return glyph in self._parsed.charstrings

    def by_number(self, number: int) -> str:
        """Type 1 is never part of a composite font."""
        raise LookupError(number)

    @property
    def encoding(self) -> dict[int, str]:
        """Glyph names of the program's own encoding."""
        found = self._parsed.encoding
        return dict(enumerate(StandardEncoding)) if found is None else found


def program_of(kind: str, data: bytes) -> TrueType | Compact | PlainType1:
    """A program by the entry that embeds it, and by what it shows itself to be."""
    if data[:4] in (b"\0\1\0\0", b"true", b"OTTO", b"ttcf"):
        return TrueType(data)
    if kind == "FontFile":
        return PlainType1(data)
    return Compact.of(data)
