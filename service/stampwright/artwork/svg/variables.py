"""Custom properties, and values that refer to them by `var()` (CSS Custom Properties 1).

A fallback is looked at only where it is needed (CSS Values 5, 9.3): what it refers to makes no circle otherwise.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

import tinycss2

from stampwright.artwork.limits import keep_within

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    Find = Callable[[str], str | None]

_SHORT = 1000  # characters: longer values are not kept as tokens, which take a hundred times the room
_HANDED_DOWN = frozenset({"inherit", "unset", "revert", "revert-layer"})


class Variables:
    """Substitutes custom properties of one document, and bounds what that writes in all."""

    def __init__(self) -> None:
        self._written = 0

    def compute(self, declared: Mapping[str, str], handed: dict[str, Any]) -> None:
        """Put the custom properties that an element declares in the place of those `handed` down to it.

        One that refers to itself, by way of others or not, or to what is not there, is none at all.
        """
        self._count(len(declared))
        above = {name: handed.get(name) for name in declared}
        found: dict[str, str | None] = {}
        asked: list[str] = []  # each for the one before it
        circles: set[str] = set()

        def find(name: str) -> str | None:
            if name not in declared:
                return handed.get(name)
            if name in asked:
                circles.update(asked[asked.index(name) :])
                return None
            if name not in found:
                asked.append(name)
                keep_within("depth", len(asked))
                value = self._computed(declared[name], above[name], find)
                asked.pop()
                found[name] = None if name in circles else value
            return found[name]

        for name in declared:
            find(name)
        for name, value in found.items():
            handed.pop(name, None)
            if value is not None:
                handed[name] = value

    def _computed(self, text: str, above: str | None, find: Find) -> str | None:
        word = text.strip().lower()
        if word in _HANDED_DOWN:
            return above
        return None if word == "initial" else self.written(text, find)

    def _count(self, letters: int) -> None:
        self._written += letters
        keep_within("written", self._written)

    def written(self, text: str, find: Find) -> str | None:
        """A value with what it refers to written out; None where that is not there and has no fallback."""
        if "var(" not in text.lower():
            return text
        tokens = self._filled(_tokens(text), find)
        return None if tokens is None else tinycss2.serialize(tokens).strip()

    def _filled(self, tokens: Sequence[Any], find: Find) -> list[Any] | None:
        filled: list[Any] = []
        for token in tokens:
            inner: list[Any] | None = getattr(token, "arguments", getattr(token, "content", None))
            part: list[Any] | None = [token]
            if inner is not None and token.type == "function" and token.lower_name == "var":
                part = self._referred(inner, find)
            elif inner is not None:
                content = self._filled(inner, find)
                head = [token.source_line, token.source_column, *([token.name] if token.type == "function" else [])]
                part = None if content is None else [type(token)(*head, content)]
            if part is None:
                return None
            filled += part
        return filled

    def _referred(self, arguments: Sequence[Any], find: Find) -> list[Any] | None:
        comma = next((place for place, each in enumerate(arguments) if each == ","), len(arguments))
        names = [each for each in arguments[:comma] if each.type not in {"whitespace", "comment"}]
        if len(names) != 1 or names[0].type != "ident" or not names[0].value.startswith("--"):
            return None
        value = find(names[0].value)
        if value is not None:
            self._count(len(value))
            return _tokens(value)
        return self._filled(arguments[comma + 1 :], find) if comma < len(arguments) else None


def _tokens(text: str) -> list[Any]:
    return _kept(text) if len(text) < _SHORT else _parsed(text)


def _parsed(text: str) -> list[Any]:
    return list(tinycss2.parse_component_value_list(text))


_kept = lru_cache(maxsize=512)(_parsed)
