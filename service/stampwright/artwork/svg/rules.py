"""Rules of style sheets, one after the other: media, layers (CSS Cascading 5), rules within rules (CSS Nesting 1)."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Any, NamedTuple

import tinycss2

from stampwright.artwork.limits import keep_within

from .sheets import declared_of, entries_of, on_screen, rules_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from xml.etree.ElementTree import Element

    from stampwright.artwork.notices import Log

    from .document import Document
    from .sheets import Declaration

Rank = tuple[float, ...]
"""A layer's place among its sisters, after that of the layer around it; its own rules outweigh those of its layers."""

UNLAYERED: Rank = (math.inf,)
_TOKEN = 20  # letters that a token written out is counted for
_QUIET = frozenset({"charset", "font-face", "namespace", "page"})


class Rule(NamedTuple):
    """What is declared for a list of selectors, and the rank of its layer."""

    selectors: list[Any]
    declared: tuple[Declaration, ...]
    rank: Rank


class Rules:
    """Reads the sheets of a document in their order: layers of one name are one layer in all of them."""

    def __init__(self, document: Document, log: Log) -> None:
        self._document, self._log = document, log
        self._layers: dict[tuple[int, ...], dict[object, int]] = {}  # of each layer, those in it by name
        self._written = 0

    def of(self, sheet: Element) -> Iterator[Rule]:
        """The rules of a sheet that count on a screen. Raises `TooComplex`."""
        return self._read(rules_of(self._document, sheet), sheet, (), None)

    def _read(
        self, entries: Iterable[Any], sheet: Element, layer: tuple[int, ...], around: list[Any] | None
    ) -> Iterator[Rule]:
        """Rules among entries of a block, `around` which stands a rule with these selectors, if any."""
        for kind, run in itertools.groupby(entries, key=lambda entry: entry.type):
            if kind == "declaration":
                if around is not None:
                    yield Rule(around, declared_of(run), (*layer, math.inf))
                continue
            for entry in run:
                if kind == "qualified-rule":
                    selectors = self._selectors(entry.prelude, around)
                    yield from self._read(entries_of(entry.content), sheet, layer, selectors)
                elif kind == "at-rule":
                    yield from self._at(entry, sheet, layer, around)
                elif kind == "error":
                    self._log.note("css-ignored", sheet, what="an error")

    def _at(  # a rule is a token of the library
        self,
        rule: Any,  # noqa: ANN401
        sheet: Element,
        layer: tuple[int, ...],
        around: list[Any] | None,
    ) -> Iterator[Rule]:
        name, prelude = rule.lower_at_keyword, tinycss2.serialize(rule.prelude).strip()
        if name == "media" and rule.content is not None:
            holds = on_screen(prelude)
            if holds:
                yield from self._read(_inside(rule, around), sheet, layer, around)
            elif holds is None:
                self._log.note("css-ignored", sheet, what=f"@media {prelude[:40]}")
        elif name == "layer" and rule.content is None:
            for each in prelude.split(","):
                self._layer(layer, each.strip())
        elif name == "layer":
            yield from self._read(_inside(rule, around), sheet, self._layer(layer, prelude), around)
        elif "keyframes" in name:
            self._log.note("animation-ignored", sheet)
        elif name not in _QUIET:
            self._log.note("css-ignored", sheet, what=f"@{name}")

    def _layer(self, within: tuple[int, ...], name: str) -> tuple[int, ...]:
        """A layer by its name, with those it stands in; without a name it is one of its own."""
        for part in name.split(".") if name else [object()]:
            sisters = self._layers.setdefault(within, {})
            within = (*within, sisters.setdefault(part, len(sisters)))
        return within

    def _selectors(self, prelude: list[Any], around: list[Any] | None) -> list[Any]:
        """The selectors of a rule, those of the rule around it written out in them."""
        if around is None:
            return self._put(prelude, _parsed(":root")) if _has_place(prelude) else prelude
        outer = _parsed(f":is({tinycss2.serialize(around)})")
        found: list[Any] = []
        for comma, run in itertools.groupby(prelude, lambda each: each == ","):
            part = list(run)
            if not (comma or _has_place(part)):
                part = [*_parsed("& "), *part]
            found += part if comma else self._put(part, outer)
        return found

    def _put(self, tokens: Sequence[Any], outer: list[Any]) -> list[Any]:
        """Tokens with `outer` in each place that is kept for it; what comes of them in all is bounded."""
        found: list[Any] = []
        for each in tokens:
            if each == "&":
                self._written += _TOKEN * _count(outer)
                keep_within("written", self._written)
                found += outer
            elif each.type == "function":
                inner = self._put(each.arguments, outer)
                found.append(type(each)(each.source_line, each.source_column, each.name, inner))
            else:
                found.append(each)
        return found


def _count(tokens: Sequence[Any]) -> int:
    return sum(1 + (_count(token.arguments) if token.type == "function" else 0) for token in tokens)


def _has_place(tokens: Sequence[Any]) -> bool:
    return any(each == "&" or (each.type == "function" and _has_place(each.arguments)) for each in tokens)


def _inside(rule: Any, around: list[Any] | None) -> list[Any]:  # noqa: ANN401  a token of the library
    """What stands in an at-rule: rules alone, unless a rule is around it."""
    return list(tinycss2.parse_rule_list(rule.content, True, True)) if around is None else entries_of(rule.content)  # noqa: FBT003


def _parsed(text: str) -> list[Any]:
    return list(tinycss2.parse_component_value_list(text))
