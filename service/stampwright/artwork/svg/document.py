"""Guarded XML: one feed to expat, limits in its callbacks, a plain element tree out. Nothing is fetched."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import Element
from xml.parsers import expat

from stampwright.artwork.limits import keep_within
from stampwright.base import ArtworkError, StampwrightError

if TYPE_CHECKING:
    from collections.abc import Iterator

SVG = "{http://www.w3.org/2000/svg}"
XHTML = "{http://www.w3.org/1999/xhtml}"
_XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"
_XLINK_HREF = "{http://www.w3.org/1999/xlink}href"
_NS_END = " "  # expat writes "namespace local"; a blank cannot occur in either
_WITH_TEXT = frozenset({f"{SVG}style", f"{SVG}text", f"{SVG}tspan", f"{SVG}textPath", f"{SVG}tref", f"{SVG}a"})


class Document:
    """An SVG as a tree of elements, with their identifiers, parents and paths."""

    def __init__(self, root: Element, parents: dict[Element, Element], *, sheets_outside: bool) -> None:
        self.root = root
        self.parents = parents
        self.sheets_outside = sheets_outside  # an xml-stylesheet instruction was seen
        self.ids: dict[str, Element] = {}
        self.rules: dict[Element, list[Any]] = {}  # of style sheets, once parsed: fonts within them are megabytes
        for element in root.iter():
            name = element.get("id")
            if name is not None:
                self.ids.setdefault(name, element)

    def __len__(self) -> int:
        """Number of elements."""
        return len(self.parents) + 1

    def place_of(self, element: Element) -> str:
        """Path of an element such as `/svg/g[2]/path[1]#leaf`: position among siblings of its name, then its id."""
        steps = []
        at = element
        while (parent := self.parents.get(at)) is not None:
            same = [child for child in parent if child.tag == at.tag]
            steps.append(f"{local_name(at)}[{same.index(at) + 1}]")
            at = parent
        path = "/".join(["", "svg", *reversed(steps)])
        return path + (f"#{element.get('id')}" if element.get("id") else "")

    def children(self, element: Element) -> Iterator[Element]:
        """Child elements of the SVG namespace."""
        return (child for child in element if child.tag.startswith(SVG))


def local_name(element: Element) -> str:
    """Name of an element without its namespace."""
    return str(element.tag).rpartition("}")[2]


def text_of(element: Element) -> str:
    """All character data below a text element."""
    return "".join(element.itertext()).strip()


def reference_of(element: Element) -> str:
    """What an element refers to: by `href`, even an empty one, else by that of XLink (SVG 2, 16.1.5)."""
    return element.get("href", element.get(_XLINK_HREF, ""))


def conditions_hold(element: Element) -> bool:
    """Conditional processing (SVG 2, 5.7): English is understood, and no extension."""
    if "requiredExtensions" in element.attrib:  # an empty list does not hold either
        return False
    languages = element.get("systemLanguage")
    if languages is None:
        return True
    return any(word.strip().lower().split("-")[0] == "en" for word in languages.split(","))


def parse_document(data: bytes) -> Document:
    """Parse an SVG.

    Raises `ArtworkError` (`not-xml`, `bad-encoding`, `entity`, `not-svg`) or `TooComplex` (limits of size and depth).
    """
    builder = _Builder(data)
    try:
        builder.parser.Parse(data, True)  # in pieces, expat before 2.6 is quadratic on long tokens  # noqa: FBT003
    except expat.ExpatError as error:
        where = f"line {error.lineno}, column {error.offset}"
        raise ArtworkError.at("not-xml", f"The XML is broken at {where}: {expat.ErrorString(error.code)}.") from None
    except StampwrightError:
        raise
    except (ValueError, LookupError):  # an encoding that Python's codecs do not give expat, such as UTF-7
        raise ArtworkError.at("bad-encoding", "The encoding it declares is not read. Save it as UTF-8.") from None
    return builder.document()


class _Builder:
    """Callbacks of the parser: they build the tree and stop it at the limits."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        self._stack: list[Element] = []
        self._parents: dict[Element, Element] = {}
        self._root: Element | None = None
        self._entities = self._characters = 0
        self._sheets_outside = False
        self.parser = parser = expat.ParserCreate(namespace_separator=_NS_END)
        parser.buffer_text = True
        parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        parser.EntityDeclHandler = self._entity
        parser.ExternalEntityRefHandler = self._external
        parser.ProcessingInstructionHandler = self._instruction

    def document(self) -> Document:
        root = self._root
        if root is None or root.tag != f"{SVG}svg":
            found = "nothing" if root is None else f"<{local_name(root)}>"
            detail = f'The root is {found} outside the SVG namespace. Write <svg xmlns="{SVG[1:-1]}">.'
            raise ArtworkError.at("not-svg", detail)
        return Document(root, self._parents, sheets_outside=self._sheets_outside)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        keep_within("depth", len(self._stack) + 1)
        keep_within("attributes", len(attributes))
        keep_within("parsed", len(self._parents) + 1)
        if _NS_END in "".join(attributes):
            attributes = {_clark(key): value for key, value in attributes.items()}
        if "lang" in attributes:  # what selectors know by its older name (SVG 2, 5.12)
            attributes = {_XML_LANG: attributes["lang"], **attributes}
        element = Element(_clark(name), attributes)
        if self._stack:
            parent = self._stack[-1]
            self._parents[element] = parent
            parent.append(element)
        else:
            self._root = element
        self._stack.append(element)

    def _end(self, _name: str) -> None:
        self._stack.pop()

    def _text(self, text: str) -> None:
        self._characters += len(text)
        keep_within("characters", self._characters)
        at = self._stack[-1]
        if at.tag in _WITH_TEXT:
            if len(at):
                at[-1].tail = (at[-1].tail or "") + text
            else:
                at.text = (at.text or "") + text

    def _entity(
        self,
        name: str,
        is_parameter: int,
        value: str | None,
        _base: str | None,
        system_id: str | None,
        public_id: str | None,
        _notation: str | None,
    ) -> None:
        self._entities += 1
        keep_within("entities", self._entities)
        if is_parameter or value is None or system_id or public_id:
            detail = f"The document declares the entity {name} that is fetched or built from others; none is read."
            raise ArtworkError.at("entity", detail + " Save the drawing as plain SVG.")
        keep_within("entity", len(value))
        if "&" in value or "%" in value:
            raise ArtworkError.at("entity", f"The entity {name} is built from others. Save the drawing as plain SVG.")
        # Every reference begins with an ampersand: this bounds what entities can grow to before they are expanded.
        keep_within("characters", self._data.count(b"&") * len(value))

    @staticmethod
    def _external(*_where: str | None) -> int:
        raise ArtworkError.at("entity", "The document refers to an entity outside the file; nothing is fetched.")

    def _instruction(self, target: str, _data: str) -> None:
        self._sheets_outside = self._sheets_outside or target == "xml-stylesheet"


_PREFIXED = re.compile(r"\A(.*) ([^ ]*)\Z", re.DOTALL)


def _clark(name: str) -> str:
    return _PREFIXED.sub(r"{\1}\2", name)
