"""Our drawings as pages of a PDF, at true size, with the letters that stand on them embedded."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import TYPE_CHECKING

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from .embed import embedded, packed
from .lettering import as_seen
from .painter import ALPHA, Painter, rgb
from .svg import num, size_mm
from .typeface import glyph_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from xml.etree import ElementTree as ET

    from pikepdf import Object, Pdf

    from .painter import Words

_POINTS_PER_MM = 72 / 25.4
_FONT = "F"
_FILLED_AND_RIMMED = 2  # ISO 32000-1, table 106
_SINCE = "1.4"  # the version of PDF that has opacities (ISO 32000-1, 11)


def pdf_of(pages: Sequence[ET.Element], *, title: str, says: str) -> bytes:
    """Write drawings as pages of one PDF; no date and no chance in it, so the same bytes again."""
    painters = [Painter(page) for page in pages]
    document = pikepdf.new()
    letters = sorted({letter for painter in painters for line in painter.words for letter in line.letters})
    kept = resources({alpha for painter in painters for alpha in painter.alphas})
    kept.Font = Dictionary({f"/{_FONT}": embedded(document, {glyph_of(letter): letter for letter in letters})})
    shared = document.make_indirect(kept)
    for page, painter in zip(pages, painters, strict=True):
        wide, high = (side * _POINTS_PER_MM for side in size_mm(page))
        to_points = f"{_POINTS_PER_MM:.8f} 0 0 {-_POINTS_PER_MM:.8f} 0 {high:.8f} cm"
        content = "\n".join([to_points, painter.content, *map(_set, painter.words)]).encode("ascii")
        add_page(document, packed(document, content), size=(wide, high), kept=shared)
    document.Root.Lang = String("en")
    document.docinfo = document.make_indirect(Dictionary(Title=as_seen(title), Subject=says, Creator="stampwright"))
    written = io.BytesIO()
    document.save(written, min_version=_SINCE, deterministic_id=True)
    return written.getvalue()


def resources(alphas: Iterable[str]) -> Dictionary:
    """What the content of a page calls by name: its opacities."""
    states = {f"/{ALPHA}{alpha}": Dictionary(ca=float(alpha), CA=float(alpha)) for alpha in sorted(alphas)}
    return Dictionary(ExtGState=Dictionary(states))


def add_page(document: Pdf, operators: Object, *, size: tuple[float, float], kept: Object) -> None:
    """Add a page with its operators to a document; its size is in the document's units."""
    leaf = Dictionary(Type=Name.Page, MediaBox=Array([0, 0, *size]), Resources=kept, Contents=operators)
    document.pages.append(pikepdf.Page(document.make_indirect(leaf)))


def _set(words: Words) -> str:
    """Operators of a line of words."""
    a, b, c, d, e, f = words.place
    turn = "1 0 0 -1" if b == 0.0 else f"{num(a)} {num(b)} {num(-c)} {num(-d)}"  # upright where the page counts down
    codes = "".join(map(_code, words.letters))
    line = f"{rgb(words.colour)} rg BT /{_FONT} {words.size_mm:.4g} Tf {turn} {e:.4f} {f:.4f} Tm <{codes}> Tj ET"
    if words.rim == "none":
        return line
    return f"q {rgb(words.rim)} RG {num(words.rim_mm)} w 1 j {_FILLED_AND_RIMMED} Tr {line} Q"


@lru_cache(4096)
def _code(letter: str) -> str:
    return f"{glyph_of(letter):04x}"
