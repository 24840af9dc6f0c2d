"""Every limit of the reader in one table: how much is let in, under which code the rest is refused, and why there.

The figures in the reasons were counted over 20,000 drawings of eleven open sets (icons, flags, emoji, clip art, the W3C
conformance suite): the 99th percentile and the largest of any legitimate file.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from stampwright.base import TooComplex

if TYPE_CHECKING:
    from collections.abc import Sequence


class Limit(NamedTuple):
    """A bound: the most that is let in, the code of the refusal, what is counted, and the reason for the figure."""

    most: float
    code: str
    what: str
    why: str


LIMITS = {
    "bytes": Limit(4_000_000, "too-large", "bytes after unpacking", "p99 227 kB, largest 1.7 MB"),
    "characters": Limit(16_000_000, "entity", "characters after entities", "four times the largest file let in"),
    "depth": Limit(
        64, "too-deep", "levels of nesting", "p99 9, largest 11; keeps recursion far from the interpreter's"
    ),
    "attributes": Limit(128, "too-many-attributes", "attributes on one element", "p99 26, largest 31"),
    "parsed": Limit(60_000, "too-many-elements", "elements in the file", "largest 6,400; a symbol library has 30,000"),
    "elements": Limit(20_000, "too-many-elements", "elements after use", "p99 700, largest 6,400; stops use bombs"),
    "entities": Limit(64, "entity", "declared entities", "drawing programs declare some ten namespaces"),
    "entity": Limit(1_024, "entity", "characters in one entity", "a namespace name has fewer than 100"),
    "selectors": Limit(2_000_000, "too-many-rules", "rules times elements", "1.7 s of matching at this size"),
    "written": Limit(
        1_000_000, "too-many-rules", "letters by var(), custom properties, nested rules", "ten to a property"
    ),
    "segments": Limit(100_000, "too-many-segments", "path segments", "p99 5,500, largest 76,000"),
    "points": Limit(250_000, "too-many-points", "points of flattened curves", "p95 7,250, largest 61,000 at 0.005 mm"),
    "dashes": Limit(5_000, "too-many-dashes", "dashes", "a dashed seam has some hundred"),
    "layers": Limit(5_000, "too-many-layers", "painted shapes", "p95 187, largest 969"),
    "clips": Limit(
        4, "clip-nesting", "clips or masks inside each other", "two are seen in the wild; stops mask chains"
    ),
    "crossings": Limit(
        150_000, "too-tangled", "crossings of outlines", "largest crest 87,000; a scribble of 40 kB has 10⁶"
    ),
    "beside": Limit(
        60_000_000, "too-tangled", "pairs of edges side by side", "largest crest 26 million; some 25 ns each"
    ),
    "fonts": Limit(4, "too-many-fonts", "fonts", "a mark is set in one or two families"),
    "letters": Limit(2_000, "too-many-letters", "characters of text", "the longest seen on a mark has some hundred"),
    "font_unpacked": Limit(16_000_000, "font-too-large", "bytes of all fonts unpacked", "four of the largest"),
    "font_points": Limit(600_000, "font-too-large", "points of a WOFF2 font", "DejaVu Sans has 0.12 million"),
    "font_bytes": Limit(4_000_000, "font-too-large", "bytes of one font as sent", "a large variable one has 2.1 MB"),
    "entities of a file": Limit(
        20_000,
        "too-many-elements",
        "entities in the file",
        "0.7 s and 30 MB to load at this size",
    ),
    "vertices": Limit(150_000, "too-many-points", "vertices in the file", "0.8 s and 60 MB to load at this size"),
    "drawn": Limit(20_000, "too-many-elements", "entities after inserts", "stops arrays of arrays before they expand"),
    "alike": Limit(200_000, "too-tangled", "pairs of outlines with the same box", "some 50 µs each to compare"),
    "touching": Limit(
        20_000, "too-tangled", "pairs of outlines that touch", "each of 2,000 cells of a comb touches six"
    ),
    "far": Limit(1e10, "coordinate-range", "mm from the world's origin", "maps in metres; doubles still hold 2 nm"),
    "unpacked": Limit(16_000_000, "too-large", "bytes of a PDF's stream after unpacking", "a large font has 10 MB"),
    "content": Limit(8_000_000, "too-large", "bytes of a page's content", "twice the largest drawing of lines let in"),
    "operators": Limit(100_000, "too-many-operators", "operators and glyphs of a page", "forms run again count again"),
    "tokens": Limit(1_000_000, "too-many-operators", "numbers, names and operators of a page", "seven to a curve"),
    "saves": Limit(512, "too-deep", "graphics states saved in each other", "programs write some ten"),
    "forms": Limit(12, "too-deep", "forms of a page within each other", "programs write two or three"),
    "clips_of_page": Limit(48, "clip-nesting", "clips of a page within each other", "printed web pages have five"),
    "fonts_of_page": Limit(32, "too-many-fonts", "fonts shown on a page", "a mark is set in one or two families"),
    "glyph_steps": Limit(500_000, "font-too-complex", "steps of drawing a font's glyphs", "a letter takes a hundred"),
    "reach": Limit(1e5, "coordinate-range", "mm from the origin", "100 m; beyond it doubles lose the grid"),
}

MOST_FONTS = int(LIMITS["fonts"].most)


def keep_within(name: str, value: float, *, element: str | None = None, pointer: str | None = None) -> None:
    """Refuse with `TooComplex` when `value` is beyond the limit called `name`; a NaN is beyond every limit."""
    limit = LIMITS[name]
    if not value <= limit.most:
        found = f"{value:,.8g} {limit.what}" if math.isfinite(value) else f"{limit.what}: beyond what numbers hold"
        advice = (
            "Simplify the drawing and send it again." if pointer is None else "Send only the letters that are used."
        )
        detail = f"{found}; at most {limit.most:,.8g} are read. {advice}"
        raise TooComplex.at(limit.code, detail, element=element, pointer=pointer)


def keep_fonts_within(fonts: Sequence[bytes], *, beside: int = 0, pointer: str | None = None) -> None:
    """Refuse with `TooComplex` more fonts, `beside` others, or larger ones, than are let in.

    `pointer`: where they all are; else each has a place of its own.
    """
    keep_within("fonts", len(fonts) + beside, pointer=pointer or "/font")
    for place, font in enumerate(fonts):
        keep_within("font_bytes", len(font), pointer=pointer or f"/font/{place}")
