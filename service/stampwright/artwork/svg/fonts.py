"""Properties of text (CSS Fonts 4, CSS Text 3, SVG 2): how each is read.

What is not understood stays as it was written: it matters only where there is text, and is told there.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import tinycss2

from .lengths import Length, extent, length
from .values import Unread, keyword, number

if TYPE_CHECKING:
    from collections.abc import Callable

RELATIVE_WEIGHTS = frozenset({"bolder", "lighter"})
_WEIGHTS = {"normal": 400.0, "bold": 700.0}
_STRETCHES = {
    "ultra-condensed": 50.0,
    "extra-condensed": 62.5,
    "condensed": 75.0,
    "semi-condensed": 87.5,
    "normal": 100.0,
    "semi-expanded": 112.5,
    "expanded": 125.0,
    "extra-expanded": 150.0,
    "ultra-expanded": 200.0,
}
_SIZES = {
    "xx-small": 9.6,
    "x-small": 12.0,
    "small": 14.22,
    "medium": 16.0,
    "large": 19.2,
    "x-large": 24.0,
    "xx-large": 32.0,
}


def font_size(text: str) -> Length | None:
    """A font size: the keywords as factors of 16 px (CSS Fonts), or a length."""
    word = text.strip().lower()
    if word in _SIZES:
        return Length(_SIZES[word])
    relative = {"larger": Length(1.2, "em"), "smaller": Length(1 / 1.2, "em")}
    return relative.get(word) or extent(word)


def word(text: str) -> str:
    """A keyword, in small letters."""
    return text.strip().lower()


def raw(text: str) -> str:
    """The value as it stands."""
    return text.strip()


@lru_cache(maxsize=256)
def families(text: str) -> tuple[str, ...] | None:
    """Names of families in their order; strings without their quotes, words joined by one blank."""
    found: list[str] = []
    parts: list[str] = []
    for piece in [*tinycss2.parse_component_value_list(text, skip_comments=True), None]:
        if piece is None or piece == ",":
            found += [" ".join(parts)] if parts else []
            parts = []
        elif piece.type in {"ident", "string"}:
            parts.append(piece.value)
        elif piece.type != "whitespace":
            return None
    return tuple(found) or None


def weight(text: str) -> float | str | None:
    """A weight of 1 to 1000; `bolder` and `lighter` stay words until the parent is known."""
    found = text.strip().lower()
    if found in RELATIVE_WEIGHTS:
        return found
    value = _WEIGHTS.get(found, number(found))
    return value if value is not None and 1 <= value <= 1000 else None


def weight_beside(parent: float | Unread, asked: str) -> float:
    """What `bolder` and `lighter` come to (CSS Fonts 4, 2.2.1)."""
    parent = 400.0 if isinstance(parent, Unread) else parent
    if asked == "bolder":
        return 400.0 if parent < 350 else 700.0 if parent < 550 else max(900.0, parent)
    return min(100.0, parent) if parent < 550 else 400.0 if parent < 750 else 700.0


def slant(text: str) -> str | None:
    """`normal`, or a slanted style; how far an oblique one leans is the font's own business."""
    found = text.strip().lower()
    return found if found in {"normal", "italic"} or found.partition(" ")[0] == "oblique" else None


def stretch(text: str) -> float | None:
    """Width of the letters, per cent."""
    found = text.strip().lower()
    if found in _STRETCHES:
        return _STRETCHES[found]
    size = extent(found)
    return size.value if size is not None and size.unit == "%" else None


def spacing(text: str) -> Length | Unread:
    """Letter or word spacing; `normal` is none."""
    return Length(0.0) if text.strip().lower() == "normal" else length(text) or Unread(text.strip())


def shift(text: str) -> Length | str | Unread:
    """A shift of the baseline: a length, a share of the size, `super` or `sub`."""
    found = text.strip().lower()
    if found in {"super", "sub"}:
        return found
    return Length(0.0) if found == "baseline" else length(found) or Unread(found)


def _kept(read: Callable[[str], Any]) -> Callable[[str], Any]:
    """A reader that keeps what it cannot read, to be told where there is text."""

    def kept(text: str) -> Any:  # noqa: ANN401  what `read` gives
        found = read(text)
        return Unread(text.strip()) if found is None and text.strip() else found

    return kept


INHERITED: dict[str, tuple[Callable[[str], Any], Any]] = {
    "font-size": (font_size, Length(16.0)),
    "font-family": (_kept(families), ()),
    "font-weight": (_kept(weight), 400.0),
    "font-style": (_kept(slant), "normal"),
    "font-stretch": (_kept(stretch), 100.0),
    "font-kerning": (word, "auto"),
    "font-optical-sizing": (word, "auto"),
    "font-size-adjust": (word, "none"),
    "font-feature-settings": (raw, "normal"),
    "font-variation-settings": (raw, "normal"),
    "font-variant": (word, "normal"),
    "font-variant-ligatures": (word, "normal"),
    "font-variant-numeric": (word, "normal"),
    "font-variant-caps": (word, "normal"),
    "font-variant-position": (word, "normal"),
    "font-variant-alternates": (word, "normal"),
    "font-variant-east-asian": (word, "normal"),
    "letter-spacing": (spacing, Length(0.0)),
    "word-spacing": (spacing, Length(0.0)),
    "text-anchor": (_kept(keyword("start", "middle", "end")), "start"),
    "text-decoration": (word, "none"),
    "text-decoration-line": (word, "none"),
    "text-rendering": (word, "auto"),
    "text-transform": (word, "none"),
    "white-space": (word, "normal"),
    "writing-mode": (word, "horizontal-tb"),
    "direction": (word, "ltr"),
    "dominant-baseline": (word, "auto"),
}
"""Each with its reader and its initial value; a decoration is handed down like what it decorates."""

_SIZE = re.compile(r"(?:[+-]?[\d.]+(?:[eE][+-]?\d+)?(?:[a-zA-Z]+|%))|(?:x*-?(?:small|large)|medium|larger|smaller)\Z")
_STYLES = frozenset({"italic", "oblique"})
_GLOBAL = frozenset({"inherit", "initial", "unset", "revert"})
_PARTS_OF_FONT = ("font-style", "font-variant", "font-weight", "font-stretch", "font-size", "font-family")


@lru_cache(maxsize=256)
def longhands(text: str) -> tuple[tuple[str, str], ...]:
    """The parts of the shorthand `font`; none when it cannot be read (CSS Fonts 4, 2.7)."""
    if text.strip().lower() in _GLOBAL:
        return tuple((name, text) for name in _PARTS_OF_FONT)
    before, size, after = _at_size(text.strip())
    names = families(after) if after else None
    if not size or names is None or font_size(size) is None:
        return ()
    found = {"font-style": "normal", "font-variant": "normal", "font-weight": "normal", "font-stretch": "normal"}
    for part in before:
        kind = _kind_of(part)
        if kind is None:
            return ()
        found |= {kind: part} if kind else {}
    return (*found.items(), ("font-size", size), ("font-family", after))


def _at_size(text: str) -> tuple[list[str], str, str]:
    """The words before the size, the size, and the families after it and its line height."""
    rest = text
    before: list[str] = []
    while rest:
        part, _, rest = rest.partition(" ")
        size, _, line = part.partition("/")
        if _SIZE.fullmatch(size.strip().lower()):
            rest = rest.strip()
            if part.endswith("/"):
                rest = rest.partition(" ")[2]
            elif not line and rest.startswith("/"):
                rest = rest[1:].strip().partition(" ")[2]
            return before, size, rest.strip()
        if part:
            before.append(part.lower())
    return before, "", ""


def _kind_of(part: str) -> str | None:
    """Which property a word before the size sets; empty for `normal`, None when it is none of them."""
    if part == "normal":
        return ""
    if part in _STYLES:
        return "font-style"
    if part == "small-caps":
        return "font-variant"
    if weight(part) is not None:
        return "font-weight"
    return "font-stretch" if part in _STRETCHES else None
