"""Values of properties, read as CSS asks: what does not parse is None, and the declaration does not count."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import unquote

from tinycss2.color4 import Color, parse_color

from stampwright.artwork.paint import Colour, luma

from .gamut import coded_srgb
from .lengths import CSS_NUMBER, length

if TYPE_CHECKING:
    from collections.abc import Callable

NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
"""A number of path data, which may end in its point (SVG 1.1, 8.3.9)."""

_NUMBER = re.compile(CSS_NUMBER, re.ASCII)
_NUMBERS = re.compile(rf"\s*+(?>{CSS_NUMBER})(?>\s*+(?>,\s*+)?+(?>{CSS_NUMBER}))*+\s*+", re.ASCII)
_HEX = re.compile(r"#[0-9a-fA-F]{6}")
_URL = re.compile(r"url\(\s*(?:\"([^\"]*)\"|'([^']*)'|([^)\"']*?))\s*\)\s*(.*)", re.DOTALL | re.IGNORECASE)
_LEGACY = re.compile(r"rgba?\(|hsla?\([^,%]*,[^,%]*%\s*,[^,%]*%\s*(?:,|\))", re.IGNORECASE)
_PATH = re.compile(r"""path\(\s*["'](.*)["']\s*\)""", re.DOTALL | re.IGNORECASE)
_ICC = re.compile(r"\s*icc-color\([^)]*\)\s*\Z", re.IGNORECASE)


class Reference(NamedTuple):
    """`url(#name)`, with a fallback colour when it is paint. `name` is None for anything outside the document."""

    name: str | None
    fallback: Colour | str | None = None


@dataclass(frozen=True, slots=True)
class Unread:
    """A value that is legal and of a kind that is not read."""

    text: str


Paint = Colour | Reference | str | Unread  # str: "none", "currentcolor", "context-fill", "context-stroke"


def geometry(text: str, *, negative: bool = True) -> str | None:
    """A place or size of a shape as it is written, when it can be read: what is left of it hangs on the element."""
    found = length(text)
    return text if text.strip().lower() == "auto" or (found and (negative or "(" in text or found.value >= 0)) else None


def path_data(text: str) -> str | None:
    """The property `d`: the data of a path, none at all for `none`."""
    match = _PATH.fullmatch(text.strip())
    return "" if text.strip().lower() == "none" else match[1] if match else None


def overflow(text: str) -> str | None:
    """Whether a view is cut: one word, or the same word for both directions."""
    words = set(text.lower().split())
    return words.pop() if len(words) == 1 and words <= {"visible", "hidden", "scroll", "auto", "clip"} else None


def number(text: str) -> float | None:
    """A plain number."""
    return float(text) if _NUMBER.fullmatch(text.strip()) else None


def share(text: str) -> float | None:
    """A number or percentage, brought into 0 to 1."""
    found = length(text)
    if not found or found.unit not in ("", "%"):
        return None
    return min(max(found.value / (100 if found.unit else 1), 0.0), 1.0)


def mitre_limit(text: str) -> float | None:
    """A number of at least 1."""
    found = number(text)
    return found if found is not None and found >= 1 else None


@lru_cache(maxsize=1024)
def colour(text: str) -> Colour | str | None:
    """A colour of CSS Color 4 in sRGB notation; `currentcolor` stays a word."""
    text = _ICC.sub("", text).strip()
    if _HEX.fullmatch(text):
        red, green, blue = (int(text[i : i + 2], 16) / 255 for i in (1, 3, 5))
        return Colour(luma(red, green, blue), 1.0)
    found = parse_color(text)
    if found is None or isinstance(found, str):
        return "currentcolor" if found else None
    if "," in text and not _LEGACY.match(text):  # its arguments are parted as none but rgb() and hsl() allow
        return None
    if found.space in ("hsl", "hwb"):
        hue, *rest = found.coordinates
        found = Color(found.space, (hue, *(max(part or 0.0, 0.0) for part in rest)), found.alpha).to("srgb")
    channels = coded_srgb(found)
    return None if channels is None else Colour(luma(*channels), float(found.alpha))


@lru_cache(maxsize=1024)
def paint(text: str) -> Paint | None:
    """A paint: none, a colour, a reference with its fallback."""
    word = text.strip()
    if word.lower() in ("none", "context-fill", "context-stroke"):
        return word.lower()
    match = _URL.fullmatch(word)
    if not match:
        return colour(word)
    rest = match[4].strip()
    fallback = "none" if rest.lower() == "none" else colour(rest) if rest else None
    return None if rest and fallback is None else Reference(_target(match), fallback)


def reference(text: str) -> Reference | str | Unread | None:
    """none, url(#name), or a function that is not read."""
    word = text.strip()
    if word.lower() == "none":
        return "none"
    match = _URL.fullmatch(word)
    if match and not match[4].strip():
        return Reference(_target(match))
    return Unread(word) if "(" in word or "-box" in word else None


def target(href: str) -> str | None:
    """Identifier that `#name` leads to; None when it leads outside the document."""
    href = href.strip()
    return unquote(href[1:]) if href.startswith("#") else None


def _target(match: re.Match[str]) -> str | None:
    return target(match[1] or match[2] or match[3] or "")


def keyword(*words: str) -> Callable[[str], str | None]:
    """A reader of one of `words`."""

    def read(text: str) -> str | None:
        word = text.strip().lower()
        return word if word in words else None

    return read


def order(text: str) -> tuple[str, ...] | None:
    """paint-order: the parts in the order they are painted."""
    usual = ("fill", "stroke", "markers")
    words = tuple(text.lower().split())
    if words == ("normal",):
        return usual
    if not words or len(set(words)) < len(words) or not set(words) <= set(usual):
        return None
    return words + tuple(word for word in usual if word not in words)


def numbers(text: str, count: int) -> list[float] | None:
    """Exactly `count` numbers parted by white space, a comma, or nothing where that leaves no doubt."""
    found = _NUMBER.findall(text) if _NUMBERS.fullmatch(text) else []
    return list(map(float, found)) if len(found) == count else None
