"""A face: one font of a file, opened for shaping, with its names, its place in the family, and its metrics."""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import brotli
import uharfbuzz as hb

from stampwright.artwork.limits import keep_fonts_within
from stampwright.base import ArtworkError, StampwrightError

from .containers import unpacked

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stampwright.artwork.source import EmbeddedFont

Range = tuple[float, float]

FAULTS = (  # what a broken font makes its readers raise, seen over mutated files; each is a table that lies
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
_FAMILY_NAMES = (16, 1, 21)  # name identifiers of ISO 14496-22: typographic family, family, WWS family
_LARGER_NAMES = (16, 21)
_OWN_NAMES = (4, 6)  # full name, PostScript name: drawing programs write them as if they were families
_STYLES = (hb.StyleTag.WEIGHT, hb.StyleTag.WIDTH, hb.StyleTag.ITALIC, hb.StyleTag.SLANT_ANGLE)
_COLOURED = ("COLR", "CBDT", "sbix", "SVG ")
_OUTLINED = ("glyf", "CFF ", "CFF2")


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """One font. Weight, width and slant are ranges: a variable font covers them, any other has one value."""

    family: str  # as its maker writes it
    families: frozenset[str]  # in small letters, all names of the family
    linked: frozenset[str]  # those of them that name a group of four, regular, italic, bold and bold italic, of more
    own_names: frozenset[str]  # in small letters, names of this one font
    weights: Range  # 1 to 1000
    widths: Range  # per cent of the normal width
    slanted: bool
    bold: bool  # in its group of four
    axes: Mapping[str, Range]
    coloured: bool
    units_per_em: int
    shaper: Any  # an hb.Face
    pointer: str  # to its file in the request
    embedded: bool = False  # in the drawing, which says what it is found under
    variants: dict[tuple[tuple[str, float], ...], Any] = field(default_factory=dict)  # fonts by their place on the axes

    def weights_in(self, family: str) -> Range:
        """Its weights in a family: in a group of four, whatever they really are, it is the regular or the bold one."""
        if family not in self.linked or "wght" in self.axes:
            return self.weights
        return (700.0, 700.0) if self.bold else (400.0, 400.0)

    def at(self, place: tuple[tuple[str, float], ...]) -> Any:  # noqa: ANN401  an hb.Font
        """The font at a place on its axes, in units of the em."""
        if place not in self.variants:
            font = hb.Font(self.shaper)
            if place:
                font.set_variations(dict(place))
            self.variants[place] = font
        return self.variants[place]


def faces_in(files: Sequence[bytes], embedded: Sequence[EmbeddedFont] = ()) -> list[Face]:
    """All faces in font files, and the first of each that is embedded.

    Raises `ArtworkError` (`font-unreadable`) or `TooComplex` with the file's place.
    """
    faces: list[Face] = []
    size = 0
    for place, file in enumerate(files):
        data, found = _opened(file, pointer=f"/font/{place}", before=size)
        faces += found
        size += len(data)
    keep_fonts_within([font.data for font in embedded], beside=len(files), pointer="/mark")
    for font in embedded:
        data, found = _opened(font.data, pointer="/mark", before=size)
        faces.append(_as_said(found[0], font))
        size += len(data)
    return faces


def _as_said(face: Face, font: EmbeddedFont) -> Face:
    """A face under the name, weights, widths and slant that the drawing gives it; axes go no further than that."""
    axes = dict(face.axes)
    for tag, (low, high) in (("wght", font.weights), ("wdth", font.widths)):
        if tag in axes:
            least, most = axes[tag]
            axes[tag] = (min(max(low, least), most), min(max(high, least), most))
    family = font.family.lower()
    return replace(
        face,
        family=font.family,
        families=frozenset({family}),
        linked=frozenset(),
        own_names=frozenset(),
        weights=font.weights,
        widths=font.widths,
        slanted=font.slanted,
        axes=axes,
        embedded=True,
        variants={},
    )


def _opened(data: bytes, *, pointer: str, before: int) -> tuple[bytes, list[Face]]:
    try:
        whole = unpacked(data, pointer=pointer, before=before)
        return whole.data, [_face(whole.data, number, pointer) for number in whole.faces]
    except StampwrightError:
        raise
    except FAULTS as error:
        raise unreadable(str(error) or type(error).__name__, pointer=pointer) from None


def unreadable(why: str, *, pointer: str) -> StampwrightError:
    """The refusal of a font that cannot be used."""
    says = f"This font cannot be read: {why[:80]}. Send it again, as TTF, OTF, WOFF or WOFF2."
    return ArtworkError.at("font-unreadable", says, pointer=pointer)


def _face(data: bytes, number: int, pointer: str) -> Face:
    shaper = hb.Face(hb.Blob(data), number)
    tags = set(shaper.table_tags)
    if not tags & set(_OUTLINED):
        raise ValueError("it has no outlines")
    if not shaper.glyph_count or not shaper.upem:
        raise ValueError("it has no glyphs")
    font = hb.Font(shaper)
    weight, width, italic, slant_deg = (float(font.get_style_value(tag)) for tag in _STYLES)
    axes = {str(axis.tag): (float(axis.min_value), float(axis.max_value)) for axis in shaper.axis_infos}
    families, own_names = _names(shaper, _FAMILY_NAMES), _names(shaper, _OWN_NAMES)
    larger = _names(shaper, _LARGER_NAMES)
    return Face(
        family=next(iter(families), "without a name"),
        families=frozenset(name.lower() for name in families),
        linked=frozenset(name.lower() for name in families if larger and name not in larger),
        own_names=frozenset(name.lower() for name in own_names),
        weights=axes.get("wght", (weight, weight)),
        widths=axes.get("wdth", (width, width)),
        slanted=bool(italic or slant_deg),
        bold=bool(shaper.reference_table("head").data[45] & 1),  # of macStyle
        axes=axes,
        coloured=bool(tags & set(_COLOURED)),
        units_per_em=int(shaper.upem),
        shaper=shaper,
        pointer=pointer,
    )


def _names(shaper: Any, kinds: tuple[int, ...]) -> list[str]:  # noqa: ANN401  an hb.Face
    """Names of these kinds, in every language, those of the first kind first."""
    entries = sorted(
        (kinds.index(int(entry.name_id)), str(entry.language))
        for entry in shaper.list_names()
        if int(entry.name_id) in kinds
    )
    found = (shaper.get_name(kinds[kind], language) for kind, language in entries)
    return [name for text in found if (name := " ".join((text or "").split()))]
