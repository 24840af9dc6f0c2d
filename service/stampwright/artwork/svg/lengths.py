"""Lengths and percentages (CSS Values 4): one number with its unit, or what a function of CSS makes of several."""

from __future__ import annotations

import itertools
import math
import re
from typing import TYPE_CHECKING, Any, NamedTuple

import tinycss2

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

CSS_NUMBER = r"[+-]?(?:\d*\.)?\d+(?:[eE][+-]?\d+)?"
"""A number anywhere but in path data (CSS Values 4, 5.2; SVG 1.1, 4.2)."""

OF_LETTERS = re.compile(r"[0-9](?:ex|ch)\b", re.IGNORECASE)
"""A length by the letters of a font: half an em without it (CSS Values 4, 6.1.1), and nobody knows the customer's."""

_LENGTH = re.compile(rf"\s*({CSS_NUMBER})([A-Za-z]+|%)?\s*", re.ASCII)
_PARTED = re.compile(r"\s*,\s*|\s+")
_ABSOLUTE = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": 96 / 2.54,
    "mm": 96 / 25.4,
    "q": 96 / 101.6,
    "pt": 96 / 72,
    "pc": 16.0,
}
_RELATIVE = frozenset({"em", "ex", "rem", "ch", "%"})  # not vw and its like: nobody knows the customer's window
_JOINS: dict[str, Callable[[list[float]], float]] = {"sum": math.fsum, "min": min, "max": max}
_DEEPEST = 32  # functions and brackets within each other


class Length(NamedTuple):
    """A number of px, or of a unit that needs its surroundings (`em`, `ex`, `rem`, `%` …).

    Of the unit `calc` it is the `sum`, `min` or `max`, as `function` says, of `terms` of several units; `value` is NaN.
    """

    value: float
    unit: str = ""
    function: str = ""
    terms: tuple[Length, ...] = ()


def length(text: str) -> Length | None:
    """Read a length or percentage; absolute units become px (CSS Values: 96 px are an inch)."""
    match = _LENGTH.fullmatch(text)
    if not match:
        return _calculated(text) if "(" in text else None
    return _with_unit(float(match[1]), match[2] or "")


def _with_unit(value: float, unit: str) -> Length | None:
    unit = unit.lower()
    if unit in _ABSOLUTE:
        return Length(value * _ABSOLUTE[unit])
    return Length(value, unit) if unit in _RELATIVE else None


def extent(text: str) -> Length | None:
    """A length that must not be negative; one that comes out negative is zero (CSS Values 4, 10.12)."""
    found = length(text)
    if found is None or not found.value < 0:
        return found
    return found._replace(value=0.0) if "(" in text else None


def lengths(text: str) -> tuple[Length, ...] | None:
    """A dash array: none, or lengths of which none is negative."""
    if text.strip().lower() == "none":
        return ()
    found = [extent(part) for part in (_parts(text) if "(" in text else _PARTED.split(text.strip()))]
    return None if None in found else tuple(f for f in found if f is not None)


def _parts(text: str) -> list[str]:
    """Values parted by blanks or commas, functions whole."""
    tokens = tinycss2.parse_component_value_list(text.strip(), skip_comments=True)
    parted = [each for each in tokens if each.type != "whitespace" and each != ","]
    gaps = sum(
        this != "," and that != "," for this, that in itertools.pairwise(t for t in tokens if t.type != "whitespace")
    )
    commas = sum(each == "," for each in tokens)
    return [each.serialize() for each in parted] if commas + gaps == len(parted) - 1 else [""]


def in_units(found: Length, px: Mapping[str, float]) -> Length:
    """The same length with all units that `px` knows brought to px."""
    if found.unit == "calc":
        return _combined(found.function, [in_units(term, px) for term in found.terms])
    return Length(found.value * px[found.unit]) if found.unit in px else found


def _combined(function: str, terms: Sequence[Length]) -> Length:
    """`sum`, `min` or `max` of terms: one number where their units are the same."""
    if function == "sum":
        terms = [part for term in terms for part in (term.terms if term.function == "sum" else (term,))]
    units = dict.fromkeys(term.unit for term in terms)
    if "calc" not in units and len(units) == 1:
        values = [term.value for term in terms]
        return Length(_JOINS[function](values), next(iter(units)))
    return Length(math.nan, "calc", function, tuple(terms))


def _scaled(found: Length, factor: float) -> Length:
    if found.unit != "calc":
        return Length(found.value * factor, found.unit)
    turned = {"min": "max", "max": "min"} if factor < 0 else {}
    terms = [_scaled(term, factor) for term in found.terms]
    return _combined(turned.get(found.function, found.function), terms)


class _Term(NamedTuple):
    """A value in a function: a length, or a `plain` number."""

    of: Length
    plain: bool


def _calculated(text: str) -> Length | None:
    """Read `calc()`, `min()`, `max()` or `clamp()` (CSS Values 4, 10); None when it breaks their grammar."""
    if text.count("(") > _DEEPEST:
        return None
    token = tinycss2.parse_one_component_value(text, skip_comments=True)
    found = _value(token) if token.type == "function" else None
    return found.of if found and not math.isinf(found.of.value) else None


def _value(token: Any) -> _Term | None:  # noqa: ANN401  a token of the library
    if token.type == "number":
        return _Term(Length(token.value), plain=True)
    if token.type == "percentage":
        return _Term(Length(token.value, "%"), plain=False)
    if token.type == "dimension":
        found = _with_unit(token.value, token.unit)
        return None if found is None else _Term(found, plain=False)
    if token.type == "() block":
        return _sum(token.content)
    return _function(token) if token.type == "function" else None


def _function(token: Any) -> _Term | None:  # noqa: ANN401
    parts = [list(part) for comma, part in itertools.groupby(token.arguments, lambda each: each == ",") if not comma]
    found = [_sum(part) for part in parts]
    terms = [term.of for term in found if term is not None]
    commas = sum(each == "," for each in token.arguments)
    if not terms or len(terms) != commas + 1 or len({term.plain for term in found if term}) > 1:
        return None
    name, plain = token.lower_name, found[0] is not None and found[0].plain
    if name == "calc" and len(terms) == 1:
        return found[0]
    if name in {"min", "max"}:
        return _Term(_combined(name, terms), plain)
    if name == "clamp" and len(terms) == 3:
        low, middle, high = terms
        return _Term(_combined("max", [low, _combined("min", [middle, high])]), plain)
    return None


def _sum(tokens: Sequence[Any]) -> _Term | None:
    """Products joined by signs that stand between blanks."""
    whole = [each for each in tokens if each.type != "comment"]
    cuts = [
        place
        for place, each in enumerate(whole)
        if each in ("+", "-")
        and 0 < place < len(whole) - 1
        and whole[place - 1].type == whole[place + 1].type == "whitespace"
    ]
    bounds = zip([0, *(cut + 1 for cut in cuts)], [*cuts, len(whole)], strict=True)
    found = [_product([each for each in whole[i:j] if each.type != "whitespace"]) for i, j in bounds]
    signs = [1.0, *(1.0 if whole[cut] == "+" else -1.0 for cut in cuts)]
    terms = [term for term in found if term is not None]
    if len(terms) < len(found) or len({term.plain for term in terms}) > 1:
        return None
    parts = [_scaled(term.of, sign) for term, sign in zip(terms, signs, strict=True)]
    return _Term(_combined("sum", parts) if len(parts) > 1 else parts[0], terms[0].plain)


def _product(tokens: Sequence[Any]) -> _Term | None:
    """A value, multiplied and divided by others: of them all one at most is a length."""
    if len(tokens) % 2 == 0:
        return None
    found = _value(tokens[0])
    for sign, token in zip(tokens[1::2], tokens[2::2], strict=True):
        other = _value(token)
        if found is None or other is None:
            return None
        if sign == "*" and (found.plain or other.plain):
            length, number = (found, other) if other.plain else (other, found)
            found = _Term(_scaled(length.of, number.of.value), length.plain)
        elif sign == "/" and other.plain and other.of.value:
            found = _Term(_scaled(found.of, 1 / other.of.value), found.plain)
        else:
            return None
    return found
