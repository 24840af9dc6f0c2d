"""The letters of a text element in order, with the style of each and where its author wants it (SVG 2, 11.4)."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from stampwright.artwork.limits import keep_within
from stampwright.artwork.svg.document import SVG, local_name
from stampwright.artwork.svg.lengths import length
from stampwright.artwork.svg.values import number
from stampwright.artwork.svg.viewport import px_of

from .baselines import rise_px

if TYPE_CHECKING:
    from collections.abc import Callable
    from xml.etree.ElementTree import Element

    from stampwright.artwork.svg.cascade import Style
    from stampwright.artwork.svg.lengths import Length
    from stampwright.artwork.svg.walk import Here, Walk

_SPACE = "http://www.w3.org/XML/1998/namespace"
_KEEPING = frozenset({"pre", "pre-wrap", "break-spaces", "preserve-spaces"})
_INLINE = frozenset({"tspan", "textPath", "a"})
_SILENT = frozenset({"title", "desc", "metadata", "script", "style", "animate", "set", "animateTransform"})
_BLANK, _BLANKS = re.compile(r"[\n\t\r]"), re.compile(r"[ \n\t\r]+")
_PARTED = re.compile(r"\s*,\s*|\s+")
_ATTRIBUTES = (("x", "x"), ("y", "y"), ("dx", "x"), ("dy", "y"))


@dataclass(slots=True)
class Letter:
    """One character: what it is, whose, and what its author asks of its place. Lengths are px of the user space."""

    sign: str
    element: Element
    style: Style
    rise_px: float  # of its baseline over that of the text, by baseline-shift
    keeps: bool  # white space as written
    language: str
    opacity: float  # of the elements inside the text element
    x: float | None = None
    y: float | None = None
    dx: float = 0.0
    dy: float = 0.0
    turn_deg: float | None = None
    begins: bool = False  # a new anchored chunk
    along: int | None = None  # the span whose path it stands on

    @property
    def is_placed(self) -> bool:
        """Whether its author placed it by itself, so that nothing can join it to the letter before."""
        return self.begins or self.x is not None or self.y is not None


@dataclass(slots=True)
class Span:
    """An element of the text and the letters in it, `first` to before `stop`; nested ones follow their parent."""

    element: Element
    style: Style
    name: str
    depth: int
    first: int
    stop: int = 0


@dataclass(slots=True)
class Text:
    """What stands in a text element."""

    letters: list[Letter] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)


class Kept(NamedTuple):
    """What an element hands to those in it beside its style."""

    rise_px: float
    language: str
    opacity: float


def read_text(walk: Walk, element: Element, style: Style, at: Here, *, ex_px: Callable[[Style], float]) -> Text:
    """Collect the letters of a text element; `ex_px` is the height of the small x in the font of a style."""
    reader = _Reader(walk, at, ex_px)
    reader.take(element, style, depth=0, kept=Kept(0.0, _language(walk, element), 1.0))
    reader.collapse()
    reader.place()
    return reader.text


def _language(walk: Walk, element: Element) -> str:
    at: Element | None = element
    while at is not None:
        found = at.get("lang") or at.get(f"{{{_SPACE}}}lang")
        if found:
            return found
        at = walk.document.parents.get(at)
    return ""


class _Reader:
    """Goes through a text element once, then tidies what was found."""

    def __init__(self, walk: Walk, at: Here, ex_px: Callable[[Style], float]) -> None:
        self.walk, self.at, self._ex_px = walk, at, ex_px
        self.text = Text()

    def take(self, element: Element, style: Style, *, depth: int, kept: Kept) -> None:
        """Take the letters of an element and of those in it."""
        self.walk.count(element, depth=self.at.depth + depth)
        own = element.get("lang") or element.get(f"{{{_SPACE}}}lang") or kept.language
        rise = kept.rise_px + rise_px(self.walk, element, style)
        kept = Kept(rise, own, kept.opacity * (float(style["opacity"]) if depth else 1.0))
        span = Span(element, style, local_name(element), depth, len(self.text.letters))
        self.text.spans.append(span)
        self._signs(element.text, element, style, kept)
        for child in element:
            if child.tag.startswith(SVG):
                self._child(child, style, depth=depth + 1, kept=kept)
            self._signs(child.tail, element, style, kept)
        span.stop = len(self.text.letters)

    def _child(self, child: Element, style: Style, *, depth: int, kept: Kept) -> None:
        name = local_name(child)
        if name not in _INLINE:
            if name not in _SILENT:
                self.walk.log.note("unknown-element", child, what=f"{name[:40]} in text")
            return
        own = self.walk.cascade.style(child, style)
        if own["display"] != "none":
            self.take(child, own, depth=depth, kept=kept)

    def _signs(self, text: str | None, element: Element, style: Style, kept: Kept) -> None:
        if not text:
            return
        keeps = self._keeps(element, style)
        case = {"uppercase": str.upper, "lowercase": str.lower}.get(style["text-transform"], str)
        blanks = _BLANK if keeps else _BLANKS
        signs = case(blanks.sub(" ", text))
        keep_within("letters", len(self.text.letters) + len(signs))
        for sign in signs:
            self.text.letters.append(Letter(sign, element, style, kept.rise_px, keeps, kept.language, kept.opacity))

    def _keeps(self, element: Element, style: Style) -> bool:
        if style["white-space"] != "normal":
            return style["white-space"] in _KEEPING
        at: Element | None = element
        while at is not None:
            found = at.get(f"{{{_SPACE}}}space")
            if found:
                return found == "preserve"
            at = self.walk.document.parents.get(at)
        return False

    def collapse(self) -> None:
        """Leave one blank where several stand, and none at either end (CSS Text 3, 4.1)."""
        letters = self.text.letters
        kept: list[int] = []
        for place, letter in enumerate(letters):
            if letter.sign == " " and not letter.keeps:
                before = letters[kept[-1]] if kept else None
                if before is None or (before.sign == " " and not before.keeps):
                    continue
            kept.append(place)
        if kept and letters[kept[-1]].sign == " " and not letters[kept[-1]].keeps:
            kept.pop()
        self._keep(kept)

    def _keep(self, kept: list[int]) -> None:
        before = [0]
        wanted = set(kept)
        for place in range(len(self.text.letters)):
            before.append(before[-1] + (place in wanted))
        for span in self.text.spans:
            span.first, span.stop = before[span.first], before[span.stop]
        self.text.letters = [self.text.letters[place] for place in kept]

    def place(self) -> None:
        """Give each letter what the lists of its element and of those around it say, the inner one last."""
        letters = self.text.letters
        if letters:
            letters[0].x, letters[0].y, letters[0].begins = 0.0, 0.0, True
        for number_of_span, span in enumerate(self.text.spans):
            inside = letters[span.first : span.stop]
            if span.name == "textPath":
                for letter in inside:
                    letter.along = number_of_span
                if inside:
                    self._begin(inside[0])
            elif inside and span.name in {"text", "tspan"}:
                self._lists(span, inside)

    @staticmethod
    def _begin(letter: Letter) -> None:
        """Begin a path: what stood before says nothing of where; across it nothing but dy counts."""
        letter.begins = True
        letter.x = 0.0 if letter.x is None else letter.x
        letter.y = 0.0

    def _lists(self, span: Span, inside: list[Letter]) -> None:
        for name, axis in _ATTRIBUTES:
            for letter, value in zip(inside, self._lengths(span, name, axis, len(inside)), strict=False):
                if name != "y" or letter.along is None:
                    setattr(letter, name, value)
                letter.begins = letter.begins or name in {"x", "y"}
        turns = self._numbers(span, len(inside))
        if turns:
            for place, letter in enumerate(inside):
                letter.turn_deg = turns[min(place, len(turns) - 1)]

    def _lengths(self, span: Span, name: str, axis: str, most: int) -> list[float]:
        text = span.element.get(name, "").strip()
        found = [length(part) for part in _PARTED.split(text, most)[:most]] if text else []
        if None in found:
            self.walk.log.note("bad-value", span.element, what=f"{name}: {text[:40]}")
            return []
        return [self._px(f, axis, span.style) for f in found if f is not None]

    def _px(self, found: Length, axis: str, style: Style) -> float:
        if found.unit == "ex":
            return found.value * self._ex_px(style)
        return px_of(found, axis, view=self.at.view, style=style)

    def _numbers(self, span: Span, most: int) -> list[float]:
        text = span.element.get("rotate", "").strip()
        found = [number(part) for part in _PARTED.split(text, most)[:most]] if text else []
        if not all(value is not None and math.isfinite(value) for value in found):
            self.walk.log.note("bad-value", span.element, what=f"rotate: {text[:40]}")
            return []
        return [value for value in found if value is not None]
