"""Style sheets, style attributes and presentation attributes to computed style (CSS Cascading 4)."""

from __future__ import annotations

import re
from operator import itemgetter
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import Element

import cssselect2
import tinycss2

from stampwright.artwork.limits import keep_within

from .document import XHTML, conditions_hold, local_name
from .fonts import RELATIVE_WEIGHTS, weight_beside
from .lengths import OF_LETTERS, Length, in_units
from .properties import ATTRIBUTES, GEOMETRY, INHERITED, INITIAL, USUAL, changes_unread, longhands, parsed
from .rules import UNLAYERED, Rules
from .sheets import declarations, namespaces_of, rules_of, sheets_of
from .variables import Variables
from .viewport import font_units

if TYPE_CHECKING:
    from stampwright.artwork.notices import Log

    from .document import Document
    from .rules import Rule
    from .sheets import Declaration

_INITIAL_FONT_PX = 16.0
_OF_A_LINK = re.compile(r":(?:any-)?link\b", re.IGNORECASE)  # the library knows links of HTML alone
_OF_LANGUAGES = re.compile(r":lang\([^)]*[,\"'*]", re.IGNORECASE)  # a list or a range: Selectors 4, in few browsers


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
        return USUAL[name] if found is None else found

    @property
    def font_px(self) -> float:
        """Font size, always absolute."""
        return float(self["font-size"].value)

    @property
    def root_font_px(self) -> float:
        """Font size of the outermost element, which `rem` refers to."""
        return float(self.inherited.get("rem", _INITIAL_FONT_PX))


UNSTYLED = Style({}, {})


class Cascade:
    """The style sheets of a document, matched once."""

    def __init__(self, document: Document, log: Log) -> None:
        self._document = document
        self._log = log
        self._matcher = cssselect2.Matcher()
        self._rules = self._looked_at = 0
        self._namespaces: dict[str | None, str] = {}  # of the sheet that is being read
        self._matched: dict[Element, list[Declaration]] = {}
        self._variables = Variables()
        self._parting: dict[Element, bool] = {}
        self._hidden: dict[Element, bool] = {}
        sheets, unsure = sheets_of(document)
        if sheets:
            self._match(document, sheets)
        for sheet in unsure:
            log.note("css-ignored", sheet, what=sheet.get("media", "")[:40])
        for name in ("style", "link"):
            for element in document.root.iter(f"{XHTML}{name}"):
                log.note("css-ignored", element, what=f"{name} of HTML")
        if document.sheets_outside:
            log.note("external-reference", what="style sheet")

    def style(self, element: Element, parent: Style) -> Style:
        """Computed style of an element below `parent`; it may stand under several parents by `use`."""
        own: dict[str, Any] = {}
        handed = parent.inherited
        plain, ruled = self._declared(element)
        custom = {name: text for name, text in ruled if name.startswith("--")}
        if custom or any(name in INHERITED for name, _ in (*plain, *ruled)):
            handed = dict(handed)
        if custom:
            self._variables.compute(custom, handed)
        for declared, in_css in ((plain, False), (ruled, True)):  # the strongest last
            for name, text in declared:
                if name in custom:
                    continue
                value = self._value(name, text, parent, element, handed, in_css=in_css)
                if value is not None:
                    (handed if name in INHERITED else own)[name] = value
        if handed is not parent.inherited:
            _resolve_font_units(handed, {name for name, _ in (*plain, *ruled)} & handed.keys(), parent)
        return Style(handed, own)

    def style_within(self, element: Element) -> Style:
        """Computed style of an element where it stands in the document, not where it is used."""
        parent = self._document.parents.get(element)
        return self.style(element, UNSTYLED if parent is None else self.style_within(parent))

    def withholds(self, element: Element) -> bool:
        """Whether some programs find nothing at an element that is referred to: not displayed, or under a condition.

        By the standards references go through all the same (SVG 2, 5.1.2; CSS Masking 1, 5.1).
        """
        return not conditions_hold(element) or self._hides(element)

    def _hides(self, element: Element) -> bool:
        """Whether an element, or what it stands in, is not displayed; in a `g` every program finds it nevertheless."""
        if element not in self._hidden:
            parent = self._document.parents.get(element)
            here = local_name(element) != "g" and self.style_within(element)["display"] == "none"
            self._hidden[element] = here or (parent is not None and self._hides(parent))
        return self._hidden[element]

    def _value(  # noqa: PLR0913
        self, name: str, text: str, parent: Style, element: Element, known: dict[str, Any], *, in_css: bool
    ) -> Any:  # noqa: ANN401  each property has its own type
        """A value as it is computed; None when its declaration does not count."""
        if "var(" not in text.lower():
            return self._read(name, text, parent, element, in_css=in_css)
        written = self._variables.written(text, known.get)
        if written is None:
            self._log.note("bad-value", element, what=f"{name}: {text.strip()[:40]}")
        value = self._read(name, written or "unset", parent, element, in_css=in_css)
        return self._read(name, "unset", parent, element, in_css=True) if value is None else value

    def _read(self, name: str, text: str, parent: Style, element: Element, *, in_css: bool) -> Any:  # noqa: ANN401
        if name == "transform" and not in_css:  # an attribute of its own grammar, without the words of CSS
            return parsed(name, text, in_css=False)
        word = text.strip().lower()
        handed_down = word in ("unset", "revert") and name in INHERITED  # no browser's own style sheet sets any of them
        if word == "inherit" or handed_down or (name, word) == ("color", "currentcolor"):
            return parent[name]
        if word in ("initial", "unset", "revert"):
            return USUAL[name] if word == "revert" else INITIAL[name]
        if OF_LETTERS.search(word):
            self._log.note("programs-differ", element, what=f"{name}: {word[:40]}")
        value = parsed(name, text, in_css=in_css)
        if value is None and text.strip():
            self._log.note("bad-value", element, what=f"{name}: {word[:40]}")
        return value

    def _declared(self, element: Element) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
        """All that is declared for an element by its attributes, and what outweighs them; the strongest last."""
        attributes = element.attrib
        plain = [
            (name, text)
            for name, text in attributes.items()
            if name in ATTRIBUTES or (name in GEOMETRY and "var(" in text.lower())
        ]
        by_style = attributes.get("style")
        by_rule = self._matched.get(element)
        if by_style is None and by_rule is None:
            return plain, []
        ruled = [*(by_rule or ()), *declarations(by_style or "")]
        ruled.sort(key=lambda declaration: declaration[2])  # stable: important ones go last, in their order
        return plain, [pair for name, text, _ in ruled for pair in self._readable(name, text, element)]

    def _readable(self, name: str, text: str, element: Element) -> list[tuple[str, str]]:
        name = name.removeprefix("-webkit-")  # as browsers have it (Compatibility Standard, 3.4)
        if name in INITIAL or name.startswith("--"):
            return [(name, text)]
        parts = longhands(name, text)
        if parts:
            return list(parts)
        if parts == () or changes_unread(name, text, of_page=element is self._document.root):
            self._log.note("css-ignored", element, what=name)
        return []

    def parts_in_copies(self, element: Element) -> bool:
        """Whether rules reach an element, or what is in it, by what surrounds it where it stands.

        A copy of it by `use` stands alone (SVG 2, 5.5), and such rules do not reach it; by SVG 1.1 (5.6) they do.
        """
        if not self._matched:
            return False
        if element not in self._parting:
            alone = Element("copy")
            alone.append(element)
            subtree = [*cssselect2.ElementWrapper.from_xml_root(alone).iter_subtree()][1:]
            self._look_at(len(subtree))
            self._parting[element] = any(
                self._found(each) != self._matched.get(each.etree_element, []) for each in subtree
            )
        return self._parting[element]

    def _match(self, document: Document, sheets: list[Element]) -> None:
        rules = Rules(document, self._log)
        for sheet in sheets:
            self._namespaces = namespaces_of(rules_of(document, sheet))
            for rule in rules.of(sheet):
                self._add_rule(rule, sheet)
        if self._rules:
            self._look_at(len(document))
            for wrapper in cssselect2.ElementWrapper.from_xml_root(document.root).iter_subtree():
                found = self._found(wrapper)
                if found:
                    self._matched[wrapper.etree_element] = found

    def _look_at(self, elements: int) -> None:
        self._looked_at += elements
        keep_within("selectors", self._rules * self._looked_at)

    def _found(self, wrapper: cssselect2.ElementWrapper) -> list[Declaration]:
        """What rules declare for an element, in the order of their weight."""
        matched = self._matcher.match(wrapper)
        found = [(rank, each) for *_, part, (rank, declared) in matched if part is None for each in declared]
        if any(rank != UNLAYERED for rank, _ in found):  # of what is important, earlier layers outweigh later ones
            plain, important = ([each for each in found if each[1][2] is known] for known in (False, True))
            found = sorted(plain, key=itemgetter(0)) + sorted(important, key=itemgetter(0), reverse=True)
        return [declared for _, declared in found]

    def _add_rule(self, rule: Rule, sheet: Element) -> None:
        prelude = tinycss2.serialize(rule.selectors).strip()
        try:
            selectors = cssselect2.compile_selector_list(rule.selectors, self._namespaces)
        except cssselect2.SelectorError:
            self._log.note("css-ignored", sheet, what=prelude[:40])
            return
        if _OF_A_LINK.search(prelude):
            self._log.note("css-ignored", sheet, what=prelude[:40])
        if _OF_LANGUAGES.search(prelude):
            self._log.note("programs-differ", sheet, what=prelude[:40])
        self._rules += len(selectors)
        for selector in selectors:
            self._matcher.add_selector(selector, (rule.rank, rule.declared))


def _resolve_font_units(handed: dict[str, Any], declared: set[str], parent: Style) -> None:
    """Make lengths of the font absolute where they are declared: what is inherited is the number (CSS Values)."""
    if "font-size" in declared:
        above = font_units(parent.font_px, parent.root_font_px) | {"%": parent.font_px / 100}
        handed["font-size"] = in_units(handed["font-size"], above)
        if parent is UNSTYLED:  # the outermost element
            handed["rem"] = handed["font-size"].value
    style = Style(handed, {})
    units = font_units(style.font_px, style.root_font_px)
    for name in declared & {"stroke-width", "stroke-dashoffset", "letter-spacing", "word-spacing"}:
        if isinstance(handed.get(name), Length):
            handed[name] = in_units(handed[name], units)
    if handed.get("font-weight") in RELATIVE_WEIGHTS:
        handed["font-weight"] = weight_beside(parent["font-weight"], handed["font-weight"])
    if "stroke-dasharray" in declared and "stroke-dasharray" in handed:
        handed["stroke-dasharray"] = tuple(in_units(part, units) for part in handed["stroke-dasharray"])
