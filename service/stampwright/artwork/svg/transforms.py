"""Transform lists in their two grammars: the attribute's (SVG 1.1, 7.6) and that of style sheets (CSS Transforms 1, 2).

The attribute knows numbers alone, a sheet wants units and commas. What breaks its grammar is no list at all; what is
legal and needs depth is `Unread`, what hangs on the size of what is around `Sized`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from svgelements import Matrix

from stampwright.artwork.affine import IDENTITY, Affine, times

from .lengths import CSS_NUMBER, Length, length
from .values import Unread

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from .cascade import Style

SINGLE = ("translate", "rotate", "scale")
"""Properties that are one function each, in the order they are done."""

_NUMBER = r"[+-]?+(?>\d++\.?\d*+|\.\d++)(?>[eE][+-]?\d++)?+"
_TERM = (
    r"(?>matrix|translate|scale|rotate|skewX|skewY)"
    rf"\s*+\(\s*+{_NUMBER}(?>\s*+,?\s*+{_NUMBER})*+\s*+\)"
)
_LIST = re.compile(rf"\s*+{_TERM}(?>\s*+,?\s*+{_TERM})*+\s*+", re.ASCII)
_TERMS = re.compile(r"(\w+)\s*\(([^)]*)\)", re.ASCII)
_COUNTS = {"matrix": {6}, "translate": {1, 2}, "scale": {1, 2}, "rotate": {1, 3}}

_INSIDE = r"(?:[^()]|\([^()]*\))*"
_FUNCTION = re.compile(rf"([a-z0-9]+)\(({_INSIDE})\)\s*", re.ASCII)
_SHEET = re.compile(rf"\s*(?:[a-z0-9]+\({_INSIDE}\)\s*)+", re.ASCII)
_ARGUMENT = r"(?:[^,()]|\([^()]*\))++"
_ARGUMENTS = re.compile(rf"{_ARGUMENT}(?:,{_ARGUMENT})*+")
_ANGLE = re.compile(rf"({CSS_NUMBER})(deg|grad|rad|turn)", re.ASCII)
_DEGREES = {"deg": 1.0, "grad": 0.9, "rad": 180 / math.pi, "turn": 360.0}
_FLAT = {  # what a function of a sheet takes, how often, and what it is called in an attribute
    "matrix": ("number", {6}, "matrix"),
    "translate": ("length", {1, 2}, "translate"),
    "translatex": ("length", {1}, "translateX"),
    "translatey": ("length", {1}, "translateY"),
    "scale": ("share", {1, 2}, "scale"),
    "scalex": ("share", {1}, "scaleX"),
    "scaley": ("share", {1}, "scaleY"),
    "rotate": ("angle", {1}, "rotate"),
    "rotatez": ("angle", {1}, "rotate"),
    "skew": ("angle", {1, 2}, "skew"),
    "skewx": ("angle", {1}, "skewX"),
    "skewy": ("angle", {1}, "skewY"),
}
_DEEP = frozenset({"translate3d", "translatez", "scale3d", "scalez", "rotate3d", "rotatex", "rotatey"})
_DEEP |= {"matrix3d", "perspective"}
_AXES = {"translateY": "y"}
_ALONG_X = {"left": "0%", "center": "50%", "right": "100%"}
_ALONG_Y = {"top": "0%", "center": "50%", "bottom": "100%"}
_BEYOND = "scale(1e999)"  # where it is used, the range check will name the element

_Term = tuple[str, tuple[Length, ...]]
"""A function as the attribute has it, its arguments in px and degrees, or lengths of what is around."""


@dataclass(frozen=True, slots=True)
class Sized:
    """Functions of which some hang on the box that shares are of, or on the font."""

    terms: tuple[_Term, ...]

    def within(self, px: Callable[[Length, str], float]) -> Affine:
        """The map that they make, `px` telling what a length comes to along `x` or `y`."""
        return _product(
            (called, [px(each, axis) for each, axis in zip(found, _AXES.get(called, "xyxyxy"), strict=False)])
            for called, found in self.terms
        )


@lru_cache(maxsize=512)
def transform_of(text: str) -> Affine | Unread:
    """Read the attribute `transform`; one with an error does nothing.

    The grammar is checked here, since svgelements' Matrix skips what it does not know; the arithmetic is its own.
    """
    if text.strip() in ("", "none"):
        return IDENTITY
    if not _LIST.fullmatch(text):
        return Unread(text)
    for name, arguments in _TERMS.findall(text):
        if len(re.findall(_NUMBER, arguments)) not in _COUNTS.get(name, {1}):
            return Unread(text)
    return _made(text)


@lru_cache(maxsize=512)
def css_transform_of(text: str) -> Affine | Sized | Unread | None:
    """Read the property `transform` of a style sheet; None when it is not one, so that it does not count."""
    text = text.strip().lower()
    if text == "none":
        return IDENTITY
    if not _SHEET.fullmatch(text):
        return None
    found = [_flat(name, arguments) for name, arguments in _FUNCTION.findall(text)]
    terms = tuple(term for term in found if isinstance(term, tuple))
    if len(terms) < len(found):
        return None if None in found else Unread(text)
    sized = Sized(terms)
    fixed = all(not each.unit for _, arguments in terms for each in arguments)
    return sized.within(lambda each, _axis: each.value) if fixed else sized


def _product(terms: Iterable[tuple[str, Sequence[float]]]) -> Affine:
    return _made(
        " ".join(
            f"{called}({','.join(map(repr, found))})" if all(map(math.isfinite, found)) else _BEYOND
            for called, found in terms
        )
    )


def _made(text: str) -> Affine:
    try:
        m = Matrix(text)
    except ValueError:  # an angle beyond all numbers: where it is used, the range check will name the element
        return (math.nan,) * 6
    return (float(m.a), float(m.b), float(m.c), float(m.d), float(m.e), float(m.f))


def _flat(name: str, arguments: str) -> _Term | Unread | None:
    """A function of a sheet as the attribute would have it."""
    if name not in _FLAT:
        return Unread(name) if name in _DEEP else None
    if not _ARGUMENTS.fullmatch(arguments):
        return None
    kind, counts, called = _FLAT[name]
    found = [_argument(kind, part.strip()) for part in re.findall(_ARGUMENT, arguments)]
    known = tuple(each for each in found if each is not None)
    return (called, known) if len(known) == len(found) and len(found) in counts else None


def _argument(kind: str, text: str) -> Length | None:
    if kind == "angle":
        match = _ANGLE.fullmatch(text)
        return Length(float(match[1]) * _DEGREES[match[2]]) if match else Length(0.0) if text == "0" else None
    found = length(text)
    if found is None:
        return None
    plain = re.fullmatch(CSS_NUMBER, text, re.ASCII) is not None
    if kind == "length":
        return found if not plain or found.value == 0 else None
    if kind == "share" and found.unit == "%":
        return Length(found.value / 100)
    return found if plain else None


def translate_of(text: str) -> Affine | Sized | Unread | None:
    """Read the property `translate` (CSS Transforms 2, 5), which is done before `rotate`, `scale` and `transform`."""
    return _single("translate", text)


def scale_of(text: str) -> Affine | Sized | Unread | None:
    """Read the property `scale`."""
    return _single("scale", text)


def rotate_of(text: str) -> Affine | Sized | Unread | None:
    """Read the property `rotate`: an angle, for whose axis there may be a word."""
    words = text.lower().split()
    if len(words) > 1 and words != ["z", words[1]]:
        return Unread(text)
    return _single("rotate", words[-1] if words else "")


def _single(name: str, text: str) -> Affine | Sized | Unread | None:
    words = text.lower().split()
    if "," in text:
        return None
    if len(words) == 3:
        return Unread(text)
    return css_transform_of(text if text.strip().lower() == "none" else f"{name}({','.join(words)})")


def matrix_of(style: Style) -> Affine | Sized | Unread:
    """All that the properties of an element do to its space, or the first of them that is not read."""
    matrix: Affine | Sized | Unread = style["transform"]
    if not style.own.keys().isdisjoint(SINGLE):
        for name in SINGLE[::-1]:
            before = style[name]
            if isinstance(matrix, Unread) or isinstance(before, Unread):
                return before if isinstance(before, Unread) else matrix
            if isinstance(matrix, Sized) or isinstance(before, Sized):
                matrix = Sized((*_terms(before), *_terms(matrix)))
            else:
                matrix = times(before, matrix)
    return matrix


def _terms(matrix: Affine | Sized) -> tuple[_Term, ...]:
    return matrix.terms if isinstance(matrix, Sized) else (("matrix", tuple(map(Length, matrix))),)


def css_origin_of(text: str) -> tuple[Length, Length] | None:
    """Read `transform-origin` of a style sheet, where a number without a unit is no length but zero."""
    plain = [word for word in text.split() if re.fullmatch(CSS_NUMBER, word, re.ASCII)]
    return origin_of(text) if not any(map(float, plain)) else None


def origin_of(text: str) -> tuple[Length, Length] | None:
    """Read `transform-origin`: along x and y, each word of either direction where it belongs; the depth is left out."""
    words = text.lower().split()
    if not 1 <= len(words) <= 3 or (len(words) == 3 and length(words[2]) is None):
        return None
    x, y = (*words, "center")[:2]
    if x in ("top", "bottom") or y in ("left", "right"):
        if not {x, y} <= {*_ALONG_X, *_ALONG_Y}:
            return None
        x, y = y, x
    along = length(_ALONG_X.get(x, x)), length(_ALONG_Y.get(y, y))
    return None if along[0] is None or along[1] is None else (along[0], along[1])
