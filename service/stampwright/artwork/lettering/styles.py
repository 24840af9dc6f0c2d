"""What a style asks of a text: its font, its features, and what in it is not read."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, NamedTuple

from stampwright.artwork.svg.lengths import Length, in_units
from stampwright.artwork.svg.values import Unread, number

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stampwright.artwork.svg.cascade import Style

_SETTING = re.compile(r"""["']([ -~]{4})["']\s*([-+.\w]+)?""")
_WORDS: dict[str, tuple[tuple[str, int], ...]] = {  # CSS Fonts 4, 6: words to features of a font
    "none": (("liga", 0), ("clig", 0), ("calt", 0)),
    "normal": (),
    "common-ligatures": (("liga", 1), ("clig", 1)),
    "no-common-ligatures": (("liga", 0), ("clig", 0)),
    "discretionary-ligatures": (("dlig", 1),),
    "no-discretionary-ligatures": (("dlig", 0),),
    "historical-ligatures": (("hlig", 1),),
    "no-historical-ligatures": (("hlig", 0),),
    "contextual": (("calt", 1),),
    "no-contextual": (("calt", 0),),
    "lining-nums": (("lnum", 1),),
    "oldstyle-nums": (("onum", 1),),
    "proportional-nums": (("pnum", 1),),
    "tabular-nums": (("tnum", 1),),
    "diagonal-fractions": (("frac", 1),),
    "stacked-fractions": (("afrc", 1),),
    "ordinal": (("ordn", 1),),
    "slashed-zero": (("zero", 1),),
}
_VARIANTS = ("font-variant", "font-variant-ligatures", "font-variant-numeric", "font-variant-caps")
_MORE_VARIANTS = ("font-variant-position", "font-variant-alternates", "font-variant-east-asian")
_ON, _OFF = {"on": 1}, {"off": 0}
_MISREAD = ("font-family", "font-weight", "font-style", "font-stretch", "letter-spacing", "word-spacing", "text-anchor")
_PLAIN = {  # what is read of a property is this value only
    "writing-mode": {"horizontal-tb", "lr", "lr-tb"},
    "font-size-adjust": {"none"},
    "text-transform": {"none", "uppercase", "lowercase"},
    "white-space": {"normal", "nowrap", "pre", "pre-wrap", "preserve-spaces", "break-spaces"},
}


class Wanted(NamedTuple):
    """What a style asks of a font."""

    families: tuple[str, ...]
    weight: float
    width: float  # per cent
    slanted: bool
    optical_px: float | None  # the size that letters are drawn for, where it is left to the font
    axes: tuple[tuple[str, float], ...]  # asked for by tag


def wanted_of(style: Style) -> Wanted:
    """The font a style asks for."""
    families, weight, width = (style[name] for name in ("font-family", "font-weight", "font-stretch"))
    return Wanted(
        () if isinstance(families, Unread) else families,
        400.0 if isinstance(weight, Unread) else weight,
        100.0 if isinstance(width, Unread) else width,
        isinstance(style["font-style"], str) and style["font-style"] != "normal",
        None if style["font-optical-sizing"] == "none" else style.font_px,
        tuple(sorted(_axes(style["font-variation-settings"]))),
    )


def _axes(text: str) -> Iterator[tuple[str, float]]:
    for tag, value in _SETTING.findall(text):
        found = number(value)
        if found is not None and math.isfinite(found):
            yield tag, found


def features_of(style: Style) -> tuple[tuple[str, int], ...]:
    """Features of the font that a style turns on or off, the last word on each the strongest."""
    found: dict[str, int] = {}
    if style["font-kerning"] == "none":
        found["kern"] = 0
    for name in _VARIANTS:
        for word in style[name].lower().split():
            found |= dict(_WORDS.get(word, ()))
    if spacing_px(style, "letter-spacing"):  # spaced letters are not joined (CSS Text 3, 8.2)
        found |= {"liga": 0, "clig": 0}
    for tag, value in _SETTING.findall(style["font-feature-settings"]):
        word = value.lower()
        found[tag] = (_ON | _OFF).get(word, int(word) if word.isdigit() else 1)
    return tuple(sorted(found.items()))


def spacing_px(style: Style, name: str) -> float:
    """Letter or word spacing; what cannot be understood is none."""
    found = style[name]
    if not isinstance(found, Length):
        return 0.0
    return in_units(found, {"%": style.font_px / 100}).value


def not_read(style: Style) -> Iterator[str]:
    """What would change the letters and is not read, as `property: value`."""
    for name, plain in _PLAIN.items():
        if style[name] not in plain:
            yield f"{name}: {style[name][:40]}"
    for name in (*_VARIANTS, *_MORE_VARIANTS):
        if any(word not in _WORDS for word in style[name].lower().split()):
            yield f"{name}: {style[name][:40]}"


def decoration_of(style: Style) -> str:
    """Lines under, over or through the text; empty when there are none."""
    words = f"{style['text-decoration']} {style['text-decoration-line']}".lower().split()
    return " ".join(word for word in words if word in {"underline", "overline", "line-through"})


def misread(style: Style) -> Iterator[str]:
    """What cannot be understood, and so is taken as usual."""
    for name in _MISREAD:
        if isinstance(style[name], Unread):
            yield f"{name}: {style[name].text[:40]}"
