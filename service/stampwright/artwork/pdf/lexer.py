"""Content streams to operators with their operands, one after the other (ISO 32000-1, 7.2, 7.3 and 7.8.2).

qpdf's own parser makes all operators of a stream at once, 300 bytes of memory each and more: eight megabytes of `q`
are a gigabyte. Here they are made as they are asked for, and counted.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, NamedTuple

from .objects import Named

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

_SPACE = rb"\0\t\n\f\r "
_PLAIN = rb"[^\0\t\n\f\r ()<>\[\]{}/%]"
_TOKEN = re.compile(
    rb"(?>[" + _SPACE + rb"]++|%[^\r\n]*+)*+(?:"
    rb"(?P<number>[+-]?(?>\d++\.?\d*+|\.\d++)(?!" + _PLAIN + rb"))"
    rb"|(?P<name>/" + _PLAIN + rb"*+)|(?P<word>" + _PLAIN + rb"++)"
    rb"|(?P<string>\()|(?P<dict><<)|(?P<end>>>)|(?P<hex><[^>]*+>?)|(?P<array>\[)|(?P<shut>\])|(?P<stray>[>{})]))"
)
_IN_STRING = re.compile(rb"[()]|\\.", re.DOTALL)
_ESCAPED = re.compile(rb"\\([0-7]{1,3}|\r\n|.)|\r\n?", re.DOTALL)
_OCTAL = tuple(b"%d" % digit for digit in range(8))
_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f", b"\n": b"", b"\r": b"", b"\r\n": b""}
_HASH = re.compile(rb"#([0-9A-Fa-f]{2})")
_NUMBER_LIKE = re.compile(rb"[+-]*(\d*\.?\d*)")
_IMAGE_END = re.compile(rb"[" + _SPACE + rb"]EI(?=[" + _SPACE + rb"]|$)(?=[\t\n\f\r -~]{0,10}+)")
_WORDS: dict[bytes, Any] = {b"true": True, b"false": False, b"null": None}
_NUMBER_STARTS = (b"+", b"-", b".", *(b"%d" % digit for digit in range(10)))
_MOST_OPEN = 32  # arrays and dictionaries within each other; writers of content use two
_MOST_OPERANDS = 20_000  # in hand at a time: `TJ` takes as many as its line has letters


class Operation(NamedTuple):
    """An operator and what stands before it."""

    operator: str
    operands: list[Any]


class Stray(Exception):  # noqa: N818  the place where reading a stream ends
    """The stream cannot be read on from here."""


def operations(data: bytes, count: Callable[[int], None]) -> Iterator[Operation]:
    """Operations of a content stream in order; `count` is told of tokens met, and may raise.

    Numbers are floats, strings bytes, names `Named`, arrays lists, dictionaries dicts. An inline image is one
    operation `BI` with its dictionary. Raises `Stray` when what is met is beyond sense.
    """
    at = 0
    operands: list[Any] = []
    opened: list[tuple[str, list[Any]]] = []  # what is open, and what was in hand outside it
    here = operands
    tokens = 0
    while token := _TOKEN.match(data, at):
        at = token.end()
        tokens += 1
        if tokens % 1024 == 0:
            count(1024)
            if len(here) > _MOST_OPERANDS:
                raise Stray
        kind = token.lastgroup or ""
        if kind in _LEAVES:
            here.append(_LEAVES[kind](token[kind]))
        elif kind == "string":
            found, at = _string(data, at, count)
            here.append(found)
        elif kind != "word":
            here = _nested(kind, here, opened)
        elif token["word"][:1] in _NUMBER_STARTS or token["word"] in _WORDS:
            here.append(_literal(token["word"]))
        elif token["word"] == b"BI" or not opened:
            word = token["word"].decode("latin-1")
            if word == "BI":
                image, at = _inline_image(data, at, count)
                operands = [image]
            yield Operation(word, operands)
            operands = here = []
            opened.clear()
    count(tokens % 1024)


def _nested(kind: str, here: list[Any], opened: list[tuple[str, list[Any]]]) -> list[Any]:
    """Open or close an array or a dictionary; the list that is filled from now on. What closes nothing is nothing."""
    if kind in ("array", "dict"):
        opened.append((kind, here))
        if len(opened) > _MOST_OPEN:
            raise Stray
        return []
    if kind in ("shut", "end") and opened:
        what, outer = opened.pop()
        outer.append(here if what == "array" else _paired(here))
        return outer
    return here


def _literal(word: bytes) -> Any:  # noqa: ANN401  a truth, nothing, or a number
    return _WORDS[word] if word in _WORDS else _number_like(word)


def _number_like(word: bytes) -> float:
    """What viewers make of a number with two signs or two points: its digits before the fault."""
    found = _NUMBER_LIKE.match(word)
    digits = found[1] if found else b""
    value = float(digits) if digits.strip(b".") else 0.0
    return -value if word[:1] == b"-" else value


def _named(token: bytes) -> Named:
    plain = _HASH.sub(lambda found: bytes([int(found[1], 16)]), token[1:]) if b"#" in token else token[1:]
    return Named(plain.decode("utf-8", "replace"))


def _hex(token: bytes) -> bytes:
    digits = re.sub(rb"[^0-9A-Fa-f]", b"", token)
    return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode())


def _paired(flat: list[Any]) -> dict[str, Any]:
    return {f"/{key}": value for key, value in zip(flat[::2], flat[1::2], strict=False) if isinstance(key, Named)}


_LEAVES: dict[str, Callable[[bytes], Any]] = {"number": float, "name": _named, "hex": _hex}


def _string(data: bytes, at: int, count: Callable[[int], None]) -> tuple[bytes, int]:
    """A string in parentheses, which may hold balanced ones; and where it ends."""
    start, depth, marks = at, 1, 0
    while found := _IN_STRING.search(data, at):
        at = found.end()
        depth += {b"(": 1, b")": -1}.get(found[0], 0)
        if depth == 0:
            break
        marks += 1
        if marks % 1024 == 0:
            count(1024)
    else:
        at = len(data) + 1
    raw = data[start : at - 1]
    return (_ESCAPED.sub(_unescaped, raw) if b"\\" in raw or b"\r" in raw else raw), at


def _unescaped(found: re.Match[bytes]) -> bytes:
    """7.3.4.2: octal codes, letters; an end of line is a line feed however it is written, and none when escaped."""
    escaped = found[1]
    if escaped is None:
        return b"\n"
    if escaped[:1] in _OCTAL:
        return bytes([int(escaped, 8) & 0xFF])
    return _ESCAPES.get(escaped, escaped)


def _inline_image(data: bytes, at: int, count: Callable[[int], None]) -> tuple[dict[str, Any], int]:
    """Dictionary of an inline image, and where its data ends: at the `EI` between white space."""
    flat: list[Any] = []
    while token := _TOKEN.match(data, at):
        at = token.end()
        count(1)
        if token["word"] == b"ID":
            break
        flat.append(_named(token["name"]) if token["name"] else token[0].strip())
    end = _IMAGE_END.search(data, at)
    return _paired(flat), end.end() if end else len(data)
