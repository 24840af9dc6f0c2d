"""Words made fit for the one font of PNG and PDF: missing letters replaced, right-to-left set."""

from __future__ import annotations

import re
import unicodedata

import arabic_reshaper
from bidi import get_display

from .svg import clean
from .typeface import advance, glyph_of

_MISSING = "\N{REPLACEMENT CHARACTER}"
_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff\U00010800-\U00010fff\U0001e800-\U0001efff]")
_UNSEEN = {"Cf", "Mn", "Me", "Cc"}  # what has no shape of its own, so that nothing is missing without it
NAME_LETTERS = 56


def has(letter: str) -> bool:
    """Whether the font has a letter."""
    return glyph_of(letter) > 0


def legible(words: str) -> str:
    """Replace what the font cannot show by one sign; what would be unseen anyway is left out."""
    if words.isascii():
        return words
    return "".join(
        letter if has(letter) else "" if unicodedata.category(letter) in _UNSEEN else _MISSING for letter in words
    )


def as_seen(words: str) -> str:
    """Words in the order and the forms in which they stand on paper, for a renderer that sets letter after letter."""
    if _RIGHT_TO_LEFT.search(words):
        words = str(get_display(arabic_reshaper.reshape(words), base_dir="L"))
    return legible(words)


def width_mm(words: str, *, size_mm: float) -> float:
    """Width of words as `as_seen` gives them [mm]."""
    return size_mm * sum(map(advance, words))


def short_name(name: str, *, letters: int = NAME_LETTERS) -> str:
    """A stranger's name on one line: nothing that turns or breaks it, at most `letters` characters."""
    text = " ".join(clean("".join(letter if letter.isprintable() else " " for letter in clean(name))).split())
    if len(text) <= letters:
        return text
    kept = text[: letters - 1]
    while kept and unicodedata.combining(text[len(kept)]):  # an accent stays with its letter
        kept = kept[:-1]
    return kept.rstrip() + "…"
