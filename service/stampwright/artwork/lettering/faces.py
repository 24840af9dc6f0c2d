"""A face: one font of a file, opened for shaping, with its names, its place in the family, and its metrics."""

from __future__ import annotations

import io
import struct
import zlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import brotli
import uharfbuzz as hb
from fontTools.ttLib import TTFont, TTLibError

from stampwright.base import ArtworkError, StampwrightError

from .containers import unpacked

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from fontTools.ttLib.tables.otTables import Any as Table

Range = tuple[float, float]

FAULTS = (  # what a broken font makes its readers raise, seen over mutated files; each is a table that lies
    TTLibError,
    hb.HarfBuzzError,
    ArithmeticError,
    AssertionError,
    AttributeError,
    EOFError,
    LookupError,
    MemoryError,
    NotImplementedError,
    OSError,
    RecursionError,
    TypeError,
    ValueError,
    brotli.error,
    struct.error,
    zlib.error,
)
_FAMILY_NAMES = (1, 16, 21)  # name identifiers of ISO 14496-22: family, typographic family, WWS family
_OWN_NAMES = (4, 6)  # full name, PostScript name: drawing programs write them as if they were families
_WIDTHS = (50.0, 62.5, 75.0, 87.5, 100.0, 112.5, 125.0, 150.0, 200.0)  # per cent, of usWidthClass 1 to 9
_COLOURED = ("COLR", "CBDT", "sbix", "SVG ")
_OUTLINED = ("glyf", "CFF ", "CFF2")


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """One font. Weight, width and slant are ranges: a variable font covers them, any other has one value."""

    family: str  # as its maker writes it
    families: frozenset[str]  # in small letters, all names of the family
    own_names: frozenset[str]  # in small letters, names of this one font
    weights: Range  # 1 to 1000
    widths: Range  # per cent of the normal width
    slanted: bool
    axes: Mapping[str, Range]
    coloured: bool
    units_per_em: int
    shaper: Any  # an hb.Face
    variants: dict[tuple[tuple[str, float], ...], Any] = field(default_factory=dict)  # fonts by their place on the axes

    def at(self, place: tuple[tuple[str, float], ...]) -> Any:  # noqa: ANN401  an hb.Font
        """The font at a place on its axes, in units of the em."""
        if place not in self.variants:
            font = hb.Font(self.shaper)
            if place:
                font.set_variations(dict(place))
            self.variants[place] = font
        return self.variants[place]


def faces_in(data: bytes, *, pointer: str) -> list[Face]:
    """All faces in a font file. Raises `ArtworkError` (`font-unreadable`) or `TooComplex` with the file's place."""
    try:
        whole = unpacked(data, pointer=pointer)
        return [_face(whole.data, number) for number in whole.faces]
    except StampwrightError:
        raise
    except FAULTS as error:
        what = str(error)[:80] or type(error).__name__
        says = f"This font cannot be read: {what}. Send it again, as TTF, OTF, WOFF or WOFF2."
        raise ArtworkError.at("font-unreadable", says, pointer=pointer) from None


def _face(data: bytes, number: int) -> Face:
    shaper = hb.Face(hb.Blob(data), number)
    tags = set(shaper.table_tags)
    if not tags & set(_OUTLINED):
        raise ValueError("it has no outlines")
    if not shaper.glyph_count or not shaper.upem:
        raise ValueError("it has no glyphs")
    with TTFont(io.BytesIO(data), fontNumber=number, lazy=True) as tables:
        axes = dict(_axes(tables)) if "fvar" in tables else {}
        os2 = tables.get("OS/2")
        weight = float(os2.usWeightClass) if os2 else 400.0
        width = _WIDTHS[min(max(os2.usWidthClass, 1), 9) - 1] if os2 else 100.0
        names = {number: list(_names(tables, number)) for number in (*_FAMILY_NAMES, *_OWN_NAMES)}
        families = [name for number in _FAMILY_NAMES for name in names[number]]
        return Face(
            family=next(iter([*names[16], *families]), "without a name"),
            families=frozenset(name.lower() for name in families),
            own_names=frozenset(name.lower() for number in _OWN_NAMES for name in names[number]),
            weights=axes.get("wght", (weight, weight)),
            widths=axes.get("wdth", (width, width)),
            slanted=_is_slanted(tables, os2),
            axes=axes,
            coloured=bool(tags & set(_COLOURED)),
            units_per_em=shaper.upem,
            shaper=shaper,
        )


def _axes(tables: TTFont) -> Iterator[tuple[str, Range]]:
    for axis in tables["fvar"].axes:
        yield str(axis.axisTag), (float(axis.minValue), float(axis.maxValue))


def _names(tables: TTFont, number: int) -> Iterator[str]:
    """Names of one kind, in every language, as text."""
    if "name" not in tables:
        return
    for record in tables["name"].names:
        if record.nameID == number:
            name = " ".join(record.toUnicode(errors="replace").split())
            if name:
                yield name


def _is_slanted(tables: TTFont, os2: Table | None) -> bool:
    if os2 is not None and os2.fsSelection & 0b10_0000_0001:  # bit 0 italic, bit 9 oblique
        return True
    return "head" in tables and bool(tables["head"].macStyle & 0b10)
