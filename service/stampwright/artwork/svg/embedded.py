"""Fonts that a style sheet brings along as data (CSS Fonts 4, section 4): their bytes, and what the rule says of them.

A rule whose source lies outside the file brings nothing: nothing is fetched.
"""

from __future__ import annotations

import base64
import binascii
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote_to_bytes

import tinycss2

from stampwright.artwork.source import EmbeddedFont

from .fonts import families, slant, stretch, weight
from .sheets import declared_of, entries_of, on_screen, rules_of, sheets_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from .document import Document

_READ = frozenset({"font-family", "src", "font-weight", "font-style", "font-stretch", "font-width", "font-display"})


def embedded_fonts(document: Document) -> tuple[list[EmbeddedFont], dict[str, None]]:
    """The fonts in the sheets of a document, and the descriptors among them that are not read."""
    found: list[EmbeddedFont] = []
    ignored: dict[str, None] = {}
    for sheet in sheets_of(document)[0]:
        for rule in _font_faces(rules_of(document, sheet)):
            said = {name: value for name, value, _ in declared_of(entries_of(rule.content))}
            font = _font(said)
            if font:
                found.append(font)
                ignored |= dict.fromkeys(f"@font-face {name}" for name in sorted(set(said) - _READ))
    return found, ignored


def _font_faces(rules: Iterable[Any]) -> Iterator[Any]:
    """The rules `@font-face`, also within `@media` for screens."""
    for rule in rules:
        if rule.type == "at-rule" and rule.content is not None:
            if rule.lower_at_keyword == "font-face":
                yield rule
            elif rule.lower_at_keyword == "media" and on_screen(tinycss2.serialize(rule.prelude)):
                yield from _font_faces(tinycss2.parse_rule_list(rule.content, skip_comments=True, skip_whitespace=True))


def _font(said: dict[str, str]) -> EmbeddedFont | None:
    """The font of one rule; none where it has no name, or no data."""
    names = families(said.get("font-family", ""))
    data = next(_data_in(said.get("src", "")), None)
    if not names or data is None:
        return None
    return EmbeddedFont(
        data,
        family=names[0],
        weights=_range(said.get("font-weight", ""), weight, usual=400.0),
        widths=_range(said.get("font-stretch", said.get("font-width", "")), stretch, usual=100.0),
        slanted=(slant(said.get("font-style", "")) or "normal") != "normal",
    )


def _range(text: str, read: Callable[[str], Any], *, usual: float) -> tuple[float, float]:
    """One value or two; what is not understood, or left out, is the usual one."""
    values = [read(part) for part in text.split()]
    known = [float(value) for value in values if isinstance(value, float)]
    if not known or len(known) != len(values):
        return usual, usual
    return min(known), max(known)


def _data_in(source: str) -> Iterator[bytes]:
    """What the data addresses of a source hold (RFC 2397), in order."""
    for token in tinycss2.parse_component_value_list(source):
        inner = token.arguments if token.type == "function" and token.lower_name == "url" else [token]
        for each in inner:
            if each.type in ("url", "string") and each.value[:5].lower() == "data:":
                data = _held(each.value[5:])
                if data:
                    yield data


def _held(address: str) -> bytes:
    head, _, body = address.partition(",")
    plain = unquote_to_bytes(body)
    if not head.lower().replace(" ", "").endswith(";base64"):
        return plain
    try:
        return base64.b64decode(b"".join(plain.split()) + b"==")
    except binascii.Error:
        return b""
