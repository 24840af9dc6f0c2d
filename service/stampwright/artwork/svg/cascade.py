"""Style sheets, style attributes and presentation attributes to computed style (CSS Cascading 4)."""

from __future__ import annotations

import itertools
import re
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import cssselect2
import tinycss2

from stampwright.artwork.limits import keep_within

from .document import SVG, text_of
from .fonts import RELATIVE_WEIGHTS, weight_beside
from .properties import ATTRIBUTES, HARMLESS, INHERITED, INITIAL, UNREAD, longhands, parsed
from .values import Length

if TYPE_CHECKING:
    from collections.abc import Iterable
    from xml.etree.ElementTree import Element

    from stampwright.artwork.notices import Log

    from .document import Document

Declaration = tuple[str, str, bool]  # name, value, important

_PLAIN = re.compile(r"[^/\\\"'!{}@()]*")  # a style attribute that needs no tokenizer
SCREEN = frozenset({"", "all", "screen"})
_BY_SHEET = re.compile(r"\b(?:var|calc|env|min|max|clamp)\(")
_OF_THE_FONT = {"em": 1.0, "ex": 0.5, "ch": 0.5}  # ex and ch without a font: CSS Values says half an em
_QUIET_AT_RULES = frozenset({"charset", "font-face", "namespace", "page"})
_ROOT_FONT_PX = 16.0


class Style:
    """Computed values of one element: what it hands down, and what is its own."""

    __slots__ = ("inherited", "own")

    def __init__(self, inherited: dict[str, Any], own: dict[str, Any]) -> None:
        self.inherited = inherited
        self.own = own

    def __getitem__(self, name: str) -> Any:  # noqa: ANN401  each property has its own type
        """Computed value of a property."""
        values = self.inherited if name in INHERITED else self.own
        found = values.get(name)
        return INITIAL[name] if found is None else found

    @property
    def font_px(self) -> float:
        """Font size, always absolute."""
        return float(self["font-size"].value)


UNSTYLED = Style({}, {})


class Cascade:
    """The style sheets of a document, matched once."""

    def __init__(self, document: Document, log: Log) -> None:
        self._document = document
        self._log = log
        self._matched: dict[Element, list[Declaration]] = {}
        sheets = sheets_of(document)
        if sheets:
            self._match(document, sheets)
        if document.sheets_outside:
            log.note("external-reference", what="style sheet")

    def style(self, element: Element, parent: Style) -> Style:
        """Computed style of an element below `parent`; it may stand under several parents by `use`."""
        own: dict[str, Any] = {}
        handed = parent.inherited
        declared = self._declared(element)
        if any(name in INHERITED for name, _ in declared):
            handed = dict(handed)
        for name, text in declared:
            value = self._value(name, text, parent, element)
            if value is not None:
                (handed if name in INHERITED else own)[name] = value
        if handed is not parent.inherited:
            _resolve_font_units(handed, {name for name, _ in declared}, parent)
        return Style(handed, own)

    def style_within(self, element: Element) -> Style:
        """Computed style of an element where it stands in the document, not where it is used."""
        parent = self._document.parents.get(element)
        return self.style(element, UNSTYLED if parent is None else self.style_within(parent))

    def _value(self, name: str, text: str, parent: Style, element: Element) -> Any:  # noqa: ANN401
        word = text.strip().lower()
        if word == "inherit" or (word == "unset" and name in INHERITED) or (name, word) == ("color", "currentcolor"):
            return parent[name]
        if word in ("initial", "unset", "revert"):
            return INITIAL[name]
        if "(" in word and _BY_SHEET.search(word):
            self._log.note("css-ignored", element, what=f"{name}: {word[:40]}")
            return None
        value = parsed(name, text)
        if value is None and text.strip():
            self._log.note("bad-value", element, what=f"{name}: {word[:40]}")
        return value

    def _declared(self, element: Element) -> list[tuple[str, str]]:
        """All that is declared for an element, the strongest last."""
        attributes = element.attrib
        plain = [(name, text) for name, text in attributes.items() if name in ATTRIBUTES]
        by_style = attributes.get("style")
        by_rule = self._matched.get(element)
        if by_style is None and by_rule is None:
            return plain
        ruled = [*(by_rule or ()), *declarations(by_style or "")]
        ruled.sort(key=lambda declaration: declaration[2])  # stable: important ones go last, in their order
        return plain + [pair for name, text, _ in ruled for pair in self._readable(name, text, element)]

    def _readable(self, name: str, text: str, element: Element) -> list[tuple[str, str]]:
        if name in INITIAL:
            return [(name, text)]
        parts = longhands(name, text)
        if parts:
            return list(parts)
        if (name in UNREAD or parts == ()) and text.strip().lower() not in HARMLESS:
            self._log.note("css-ignored", element, what=name)
        return []

    def _match(self, document: Document, sheets: list[Element]) -> None:
        matcher = cssselect2.Matcher()
        rules = 0
        for sheet in sheets:
            rules += self._add_rules(matcher, rules_of(document, sheet), sheet)
            keep_within("selectors", rules * len(document))
        if rules:
            for wrapper in cssselect2.ElementWrapper.from_xml_root(document.root).iter_subtree():
                found = [payload for *_, part, payload in matcher.match(wrapper) if part is None]  # no ::before
                if found:
                    self._matched[wrapper.etree_element] = [d for payload in found for d in payload]

    def _add_rules(self, matcher: cssselect2.Matcher, rules: Iterable[Any], sheet: Element) -> int:
        count = 0
        for rule in rules:
            if rule.type == "qualified-rule":
                count += self._add_rule(matcher, rule, sheet)
            elif rule.type == "at-rule" and rule.lower_at_keyword == "media" and rule.content is not None:
                if media_of(tinycss2.serialize(rule.prelude)) & SCREEN:
                    inner = tinycss2.parse_rule_list(rule.content, True, True)  # noqa: FBT003
                    count += self._add_rules(matcher, inner, sheet)
                else:
                    self._log.note("css-ignored", sheet, what="@media")
            elif rule.type == "at-rule" and "keyframes" in rule.lower_at_keyword:
                self._log.note("animation-ignored", sheet)
            elif rule.type == "error" or rule.lower_at_keyword not in _QUIET_AT_RULES:
                what = "an error" if rule.type == "error" else f"@{rule.lower_at_keyword}"
                self._log.note("css-ignored", sheet, what=what)
        return count

    def _add_rule(self, matcher: cssselect2.Matcher, rule: Any, sheet: Element) -> int:  # noqa: ANN401
        payload = declared_in(rule.content)
        try:
            selectors = cssselect2.compile_selector_list(rule.prelude)
        except cssselect2.SelectorError:
            self._log.note("css-ignored", sheet, what=tinycss2.serialize(rule.prelude).strip()[:40])
            return 0
        if payload:
            for selector in selectors:
                matcher.add_selector(selector, payload)
        return len(selectors) if payload else 0


def _keep_shallow(text: str) -> None:
    """Refuse brackets in brackets without end: what reads them calls itself for each."""
    steps = [(1 if mark in "([{" else -1) for mark in re.findall(r"[()\[\]{}]", text)]
    keep_within("depth", max(itertools.accumulate(steps), default=0))


def sheets_of(document: Document) -> list[Element]:
    """The style sheets of a document that are meant for a screen."""
    return [element for element in document.root.iter(f"{SVG}style") if _applies(element)]


def rules_of(document: Document, sheet: Element) -> list[Any]:
    """The rules of a style sheet as tokens, parsed once. Raises `TooComplex`."""
    if sheet not in document.rules:
        text = text_of(sheet)
        _keep_shallow(text)
        document.rules[sheet] = tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)
    return document.rules[sheet]


def _applies(sheet: Element) -> bool:
    screen = bool(media_of(sheet.get("media", "")) & SCREEN)
    return screen and sheet.get("type", "text/css").strip().lower() in ("", "text/css")


def media_of(text: str) -> set[str]:
    """The media of a list, in small letters."""
    return {part.strip().lower() for part in text.split(",")}


@lru_cache(maxsize=1024)
def declarations(text: str) -> tuple[Declaration, ...]:
    """Declarations of a style attribute, in order."""
    if _PLAIN.fullmatch(text):
        pairs = [part.partition(":") for part in text.split(";") if ":" in part]
        return tuple((name.strip().lower(), value.strip(), False) for name, _, value in pairs)
    return declared_in(text)


def declared_in(content: Any) -> tuple[Declaration, ...]:  # noqa: ANN401  text or tokens
    """Declarations of a block, in order."""
    if isinstance(content, str):
        _keep_shallow(content)
    found = tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True)
    return tuple(
        (entry.lower_name, tinycss2.serialize(entry.value).strip(), entry.important)
        for entry in found
        if entry.type == "declaration"
    )


def _resolve_font_units(handed: dict[str, Any], declared: set[str], parent: Style) -> None:
    """Make lengths of the font absolute where they are declared: what is inherited is the number (CSS Values)."""
    if "font-size" in declared:
        size = handed["font-size"]
        em_px = parent.font_px if size.unit != "%" else parent.font_px / 100
        handed["font-size"] = Length(_of_font(Length(size.value, "em") if size.unit == "%" else size, em_px).value)
    em_px = Style(handed, {}).font_px
    for name in declared & {"stroke-width", "stroke-dashoffset", "letter-spacing", "word-spacing"}:
        if isinstance(handed.get(name), Length):
            handed[name] = _of_font(handed[name], em_px)
    if handed.get("font-weight") in RELATIVE_WEIGHTS:
        handed["font-weight"] = weight_beside(parent["font-weight"], handed["font-weight"])
    if "stroke-dasharray" in declared and "stroke-dasharray" in handed:
        handed["stroke-dasharray"] = tuple(_of_font(part, em_px) for part in handed["stroke-dasharray"])


def _of_font(length: Length, em_px: float) -> Length:
    if length.unit == "rem":
        return Length(length.value * _ROOT_FONT_PX)
    return Length(length.value * _OF_THE_FONT[length.unit] * em_px) if length.unit in _OF_THE_FONT else length
