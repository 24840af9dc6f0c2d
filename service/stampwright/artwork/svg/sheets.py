"""Style sheets of a document, and what their rules declare (CSS Syntax 3, Media Queries 4)."""

from __future__ import annotations

import itertools
import re
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import tinycss2

from stampwright.artwork.limits import keep_within

from .document import SVG, text_of

if TYPE_CHECKING:
    from collections.abc import Iterable
    from xml.etree.ElementTree import Element

    from .document import Document

Declaration = tuple[str, str, bool]  # name, value, important

_PLAIN = re.compile(r"[^/\\\"'!{}@()]*")  # a style attribute that needs no tokenizer
_AT_THE_HEAD = frozenset({"charset", "import", "layer", "namespace"})
_QUERY = re.compile(r"(?:(not|only)\s+)?([a-z-]+)", re.ASCII)


def sheets_of(document: Document) -> tuple[list[Element], list[Element]]:
    """The style sheets of a document that are meant for a screen, and those that nobody can tell.

    Of sheets with a title those with the first one count: the others are alternatives to choose from (CSSOM, 6.2).
    """
    sheets = [element for element in document.root.iter(f"{SVG}style") if _is_css(element)]
    titles = [title for sheet in sheets if (title := sheet.get("title"))]
    chosen = [(sheet, sheet.get("media", "")) for sheet in sheets if sheet.get("title", "") in ("", *titles[:1])]
    return tuple([sheet for sheet, media in chosen if on_screen(media) is known] for known in (True, None))  # type: ignore[return-value]


def _is_css(sheet: Element) -> bool:
    return sheet.get("type", "text/css").lower() in ("", "text/css")  # HTML has it letter for letter


def on_screen(media: str) -> bool | None:
    """Whether a list of media queries holds for a screen; None when that hangs on more than its being one."""
    answers = [_holds(part.strip().lower()) for part in media.split(",")] if media.strip() else [True]
    return True if True in answers else None if None in answers else False


def _holds(query: str) -> bool | None:
    match = _QUERY.fullmatch(query)
    return (match[2] in ("all", "screen")) != (match[1] == "not") if match else None


def rules_of(document: Document, sheet: Element) -> list[Any]:
    """The rules of a style sheet as tokens, parsed once. Raises `TooComplex`."""
    if sheet not in document.rules:
        text = text_of(sheet)
        _keep_shallow(text)
        document.rules[sheet] = tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)
    return document.rules[sheet]


def namespaces_of(rules: list[Any]) -> dict[str | None, str]:
    """Namespaces by prefix, None for the default one, as the head of a sheet declares them (CSS Namespaces 3)."""
    found: dict[str | None, str] = {}
    for rule in rules:
        if rule.type != "at-rule" or rule.lower_at_keyword not in _AT_THE_HEAD:
            break
        if rule.lower_at_keyword == "namespace":
            *prefix, name = [each for each in rule.prelude if each.type != "whitespace"] or [None]
            if name is not None and name.type == "function":  # url("…")
                name = next(iter(name.arguments), None)
            if name is not None and name.type in {"string", "url"}:
                found[prefix[0].value if prefix else None] = name.value
    return found


@lru_cache(maxsize=1024)
def declarations(text: str) -> tuple[Declaration, ...]:
    """Declarations of a style attribute, in order."""
    if _PLAIN.fullmatch(text):
        pairs = [part.partition(":") for part in text.split(";") if ":" in part]
        return tuple((_called(name.strip()), value.strip(), False) for name, _, value in pairs)
    _keep_shallow(text)
    return declared_of(entries_of(text))


def entries_of(content: Any) -> list[Any]:  # noqa: ANN401  text or tokens
    """What stands in a block: declarations, and rules within it."""
    return list(tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True))


def declared_of(entries: Iterable[Any]) -> tuple[Declaration, ...]:
    """Declarations among the entries of a block, in order."""
    return tuple(
        (_called(entry.name), tinycss2.serialize(entry.value).strip(), entry.important)
        for entry in entries
        if entry.type == "declaration"
    )


def _called(name: str) -> str:
    """The name of a property: that of a custom one as it is written, of others in small letters."""
    return name if name.startswith("--") else name.lower()


def _keep_shallow(text: str) -> None:
    """Refuse brackets in brackets without end: what reads them calls itself for each."""
    steps = [(1 if mark in "([{" else -1) for mark in re.findall(r"[()\[\]{}]", text)]
    keep_within("depth", max(itertools.accumulate(steps), default=0))
