"""What of a text is not set, or not exactly: refused by name or told, never drawn as something else in silence."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from .shaping import is_blank
from .styles import decoration_of, misread, not_read, wanted_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from stampwright.artwork.notices import Log

    from .choice import Chosen, Fonts
    from .glyphs import Outlines
    from .letters import Letter, Span, Text
    from .shaping import Cell

_TURNED = frozenset({"R", "AL", "AN", "RLE", "RLO", "RLI"})  # bidirectional classes of what runs from right to left
_SAID = 10  # characters named in one refusal
_ON_PARTS = (("clip-path", "clip-ignored"), ("mask", "clip-ignored"), ("filter", "filter-ignored"))


def shows(letter: Letter) -> bool:
    """Whether a letter is painted at all."""
    style = letter.style
    return style["visibility"] == "visible" and not (style["fill"] == "none" and style["stroke"] == "none")


def is_refused(text: Text, fonts: Fonts, log: Log) -> bool:
    """Whether a text is refused before it is set: for its direction, its style, or a font that was not sent."""
    turned = next((letter for letter in text.letters if _is_turned(letter)), None)
    if turned:
        log.refuse("text-direction", turned.element, what=f"“{_words(text.letters)}”")
        return True
    strange = [(span, what) for span in text.spans if span.first < span.stop and (what := ", ".join(_strange(span)))]
    for span, what in strange:
        log.refuse("text-style", span.element, what=what)
    unknown = next((letter for letter in text.letters if not fonts.chosen(wanted_of(letter.style))), None)
    if unknown:
        log.refuse("text-not-outlined", unknown.element, what=_unknown(unknown, text, fonts))
    return bool(strange or unknown)


def _is_turned(letter: Letter) -> bool:
    return unicodedata.bidirectional(letter.sign) in _TURNED or letter.style["direction"] == "rtl"


def _strange(span: Span) -> Iterator[str]:
    """What an element asks for that would change its letters and is not read."""
    yield from not_read(span.style)
    if span.name == "textPath":
        for name, plain in (("side", "left"), ("method", "align")):
            asked = span.element.get(name, plain).strip()
            if asked != plain:
                yield f"{name}: {asked[:40]}"


def _unknown(letter: Letter, text: Text, fonts: Fonts) -> str:
    families = ", ".join(wanted_of(letter.style).families) or "no font by name"
    sent = ", ".join(sorted({face.family for face in fonts.faces}))
    return f"“{_words(text.letters)}” asks for {families[:80]}; sent: {sent[:120]}"


def tell(text: Text, chosen: Iterable[Chosen], log: Log) -> None:
    """Tell what is set otherwise than asked, once for each element."""
    for span in text.spans:
        if span.first == span.stop:
            continue
        for what in misread(span.style):
            log.note("bad-value", span.element, what=what)
        if lines := decoration_of(span.style):
            log.note("text-decoration", span.element, what=lines)
        for name, code in _ON_PARTS:
            if span.depth and span.style[name] != "none":
                log.note(code, span.element, what=f"{name} on a part of a text")
    told = set()
    for letter, found in zip(text.letters, chosen, strict=True):
        if found.instead and (letter.element, found.instead) not in told:
            log.note("font-substituted", letter.element, what=found.instead)
        if found.face.coloured and (letter.element, "") not in told:
            log.note("font-colours", letter.element, what=found.face.family)
            told.add((letter.element, ""))
        told.add((letter.element, found.instead))


def tell_lost(text: Text, cells: Iterable[Cell], log: Log) -> None:
    """Tell of letters that found no room on their path."""
    for cell in cells:
        letter = text.letters[cell.first]
        if cell.hidden and letter.along is not None and not is_blank(letter.sign):
            log.note("text-off-path", text.spans[letter.along].element)


def lacks_glyphs(letters: Sequence[Letter], cells: Iterable[Cell], outlines: Outlines, log: Log) -> bool:
    """Whether a letter that would be seen has no outline in its font: a box, or nothing, would be branded."""
    lacking = [cell for cell in cells if shows(letters[cell.first]) and not _is_inked(letters, cell, outlines)]
    if lacking:
        signs = [letter.sign for cell in lacking for letter in letters[cell.first : cell.stop]]
        named = [f"{sign} (U+{ord(sign):04X})" for sign in dict.fromkeys(signs)]
        family = lacking[0].setting.chosen.face.family
        what = f"{', '.join(named[:_SAID])} in {family}"
        log.refuse("glyph-missing", letters[lacking[0].first].element, what=what)
    return bool(lacking)


def _is_inked(letters: Sequence[Letter], cell: Cell, outlines: Outlines) -> bool:
    if not all(glyph.number for glyph in cell.glyphs):
        return False
    font = cell.setting.chosen.font
    inked = any(len(outlines.of(font, glyph.number).nodes) for glyph in cell.glyphs)
    return inked or all(is_blank(letter.sign) for letter in letters[cell.first : cell.stop])


def _words(letters: Iterable[Letter]) -> str:
    return "".join(letter.sign for letter in letters)[:40]
