"""The one font of PNG and PDF, DejaVu Sans, and words made fit for it: missing letters replaced, right-to-left set."""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from importlib.metadata import distribution
from typing import TYPE_CHECKING

import arabic_reshaper
from bidi import get_display
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from .svg import clean

if TYPE_CHECKING:
    from collections.abc import Mapping

FONT = "DejaVuSans"
_MISSING = "\N{REPLACEMENT CHARACTER}"
_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff\U00010800-\U00010fff\U0001e800-\U0001efff]")
_UNSEEN = {"Cf", "Mn", "Me", "Cc"}  # what has no shape of its own, so that nothing is missing without it
NAME_LETTERS = 56


@cache
def font_file() -> str:
    """Path of the font; it comes with the package ziafont, whose code is not used."""
    return str(distribution("ziafont").locate_file("ziafont/fonts/DejaVuSans.ttf"))


def ready_font() -> str:
    """Name of the font, which reportlab knows from now on."""
    _glyphs()
    return FONT


@cache
def _glyphs() -> Mapping[int, int]:
    if FONT not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(FONT, font_file()))
    glyphs: Mapping[int, int] = pdfmetrics.getFont(FONT).face.charToGlyph
    return glyphs


def has(letter: str) -> bool:
    """Whether the font has a letter."""
    return ord(letter) in _glyphs()


def legible(words: str) -> str:
    """Replace what the font cannot show by one sign; what would be unseen anyway is left out."""
    if words.isascii():
        return words
    glyphs = _glyphs()
    return "".join(
        letter if ord(letter) in glyphs else "" if unicodedata.category(letter) in _UNSEEN else _MISSING
        for letter in words
    )


def as_seen(words: str) -> str:
    """Words in the order and the forms in which they stand on paper, for a renderer that sets letter after letter."""
    if _RIGHT_TO_LEFT.search(words):
        words = str(get_display(arabic_reshaper.reshape(words), base_dir="L"))
    return legible(words)


def width_mm(words: str, *, size_mm: float) -> float:
    """Width of words as `as_seen` gives them [mm]."""
    return size_mm * sum(map(_advance, words))


@cache
def _advance(letter: str) -> float:
    """Of one of the letters that the font has, in font sizes."""
    _glyphs()
    return float(pdfmetrics.stringWidth(letter, FONT, 1.0))


def short_name(name: str, *, letters: int = NAME_LETTERS) -> str:
    """A stranger's name on one line: nothing that turns or breaks it, at most `letters` characters."""
    text = " ".join(clean("".join(letter if letter.isprintable() else " " for letter in clean(name))).split())
    if len(text) <= letters:
        return text
    kept = text[: letters - 1]
    while kept and unicodedata.combining(text[len(kept)]):  # an accent stays with its letter
        kept = kept[:-1]
    return kept.rstrip() + "…"
