"""The one font of PNG and PDF, DejaVu Sans: what is in it, how wide it sets, and the part of it a PDF takes along."""

from __future__ import annotations

from functools import cache, lru_cache
from importlib.metadata import distribution
from typing import TYPE_CHECKING, Any

import uharfbuzz as hb

if TYPE_CHECKING:
    from collections.abc import Iterable

_LETTERS_KNOWN = 4096
_IDLE = ("GDEF", "GPOS", "GSUB", "OS/2", "cmap", "gasp", "kern", "name", "post")  # a PDF says itself what they say


@cache
def font_file() -> str:
    """Path of the font; it comes with the package ziafont, whose code is not used."""
    return str(distribution("ziafont").locate_file("ziafont/fonts/DejaVuSans.ttf"))


@cache
def _font() -> Any:  # noqa: ANN401  the library has no types
    return hb.Font(hb.Face(hb.Blob.from_file_path(font_file())))


@lru_cache(_LETTERS_KNOWN)
def glyph_of(letter: str) -> int:
    """Number of the glyph of a letter; 0 where the font has none."""
    return int(_font().get_nominal_glyph(ord(letter)) or 0)


@lru_cache(_LETTERS_KNOWN)
def advance(letter: str) -> float:
    """How far a letter moves the pen, in font sizes."""
    return float(_font().get_glyph_h_advance(glyph_of(letter)) / _font().face.upem)


def subset(glyphs: Iterable[int]) -> bytes:
    """The font with these glyphs alone, under their own numbers, without what sets it outside a PDF."""
    kept = hb.SubsetInput()
    kept.glyph_set.update(glyphs)
    kept.drop_table_tag_set.update(int.from_bytes(tag.encode("ascii"), "big") for tag in _IDLE)
    kept.flags = hb.SubsetFlags.RETAIN_GIDS | hb.SubsetFlags.NO_LAYOUT_CLOSURE
    return bytes(hb.subset(_font().face, kept).blob.data)
