"""Letters to glyphs: runs of one font are shaped whole, so that kerning, ligatures and marks are the font's own."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import uharfbuzz as hb
from fontTools import unicodedata as scripts

from .faces import unreadable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from .choice import Chosen
    from .letters import Letter

_OF_NO_SCRIPT = frozenset({"Zyyy", "Zinh", "Zzzz"})


class Setting(NamedTuple):
    """What must be the same for letters to be shaped together."""

    chosen: Chosen
    size_px: float
    features: tuple[tuple[str, int], ...]
    spacing_px: float
    script: str
    language: str


class Glyph(NamedTuple):
    """A glyph and its place from the origin of its cell, px with y down."""

    number: int
    dx: float
    dy: float


@dataclass(slots=True)
class Cell:
    """One typographic character: letters `first` to before `stop`, drawn by glyphs that move together. Px, y down."""

    first: int
    stop: int
    setting: Setting
    glyphs: tuple[Glyph, ...]
    advance: float
    x: float = 0.0
    y: float = 0.0
    drop: float = 0.0  # of its baseline below that of the line; in y already
    turn_rad: float = 0.0
    wide: float = 1.0  # by how much textLength stretches its glyphs
    hidden: bool = False


def runs_of(letters: Sequence[Letter], settings: Sequence[Setting]) -> Iterator[tuple[int, int]]:
    """Stretches of letters that are shaped together."""
    first = 0
    for place in range(1, len(letters) + 1):
        if (
            place == len(letters)
            or settings[place] != settings[first]
            or letters[place].element is not letters[first].element  # as browsers have it: no kerning across elements
            or letters[place].is_placed
            or letters[place].along != letters[first].along
        ):
            yield first, place
            first = place


def scripts_of(signs: Sequence[str]) -> list[str]:
    """Script of each character; what belongs to none takes that of what is before it, or else after."""
    found = [scripts.script(sign) for sign in signs]
    last = next((script for script in found if script not in _OF_NO_SCRIPT), "Zyyy")
    for place, script in enumerate(found):
        last = found[place] = last if script in _OF_NO_SCRIPT else script
    return found


def shaped(letters: Sequence[Letter], first: int, stop: int, setting: Setting) -> list[Cell]:
    """Cells of the letters `first` to before `stop`, one after the other from x = 0."""
    buffer = hb.Buffer()
    buffer.add_codepoints([ord(letter.sign) for letter in letters[first:stop]])
    buffer.direction, buffer.script = "ltr", setting.script
    if setting.language:
        buffer.language = setting.language
    font = setting.chosen.font
    try:
        hb.shape(font, buffer, dict(setting.features))
    except MemoryError:  # how the library says that a font goes on without end
        face = setting.chosen.face
        raise unreadable("it makes more glyphs of a word than can be", pointer=face.pointer) from None
    return list(_cells(buffer, first, stop, setting))


def _cells(buffer: Any, first: int, stop: int, setting: Setting) -> Iterator[Cell]:  # noqa: ANN401  an hb.Buffer
    px = setting.size_px / setting.chosen.face.units_per_em
    groups: dict[int, list[tuple[Any, Any]]] = {}
    for info, position in zip(buffer.glyph_infos or (), buffer.glyph_positions or (), strict=True):
        groups.setdefault(info.cluster, []).append((info, position))
    starts = sorted(groups)
    for start, end in zip(starts, [*starts[1:], stop - first], strict=True):
        glyphs, pen = [], 0.0
        for info, position in groups[start]:
            glyphs.append(Glyph(info.codepoint, (pen + position.x_offset) * px, -position.y_offset * px))
            pen += position.x_advance
        yield Cell(first + start, first + end, setting, tuple(glyphs), pen * px + setting.spacing_px)


def is_blank(sign: str) -> bool:
    """Whether a character has no ink by its nature: a blank, a control, a joiner."""
    return unicodedata.category(sign) in {"Zs", "Zl", "Zp", "Cf", "Cc"}


def faced(letters: Sequence[Letter], chosen: Callable[[Letter], Sequence[Chosen]]) -> list[Chosen]:
    """The font of each letter: the first of those asked for that has it; marks and blanks go with their letter."""
    found: list[Chosen] = []
    for place, letter in enumerate(letters):
        offered = chosen(letter)
        before = found[-1] if found and letters[place - 1].style is letter.style else None
        follows = unicodedata.category(letter.sign) in {"Mn", "Mc", "Me"} or is_blank(letter.sign)
        if follows and before in offered and before is not None:
            found.append(before)
            continue
        having = (each for each in offered if each.font.get_nominal_glyph(ord(letter.sign)))
        found.append(next(having, offered[0]))
    return found
