"""Sets words on a page without knowing the font that will be used: widths are those of a wide, common one."""

from __future__ import annotations

import itertools
from functools import lru_cache
from typing import TYPE_CHECKING

from .lettering import has, width_mm
from .svg import INK, add, clean

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from stampwright.base import Point

LINE = 1.45  # line pitch in font sizes
LONGEST = 240  # characters of one remark; a customer's element names may be endless

# DejaVu Sans is the widest of the usual screen fonts, Verdana but for a hair as wide (from memory): so a line may end
# early, but never runs off the page.
_A_HAIR = 1.02
_SPACE = 0.36  # Verdana's is the wider one
_FULL = 1.1  # of what the font lacks, such as CJK


def lines_of(words: str, *, room_mm: float, size_mm: float) -> list[str]:
    """Break a remark into lines; a word longer than the line is broken, a remark beyond `LONGEST` shortened."""
    text = " ".join(clean(words).split())
    text = text if len(text) <= LONGEST else text[: LONGEST - 1].rstrip() + "…"
    lines: list[str] = []
    ends = 0.0
    for word in text.split(" "):
        piece, wide = word, width_of(word, size_mm=size_mm)
        if lines and ends + _SPACE * size_mm + wide <= room_mm:
            lines[-1], ends = f"{lines[-1]} {piece}", ends + _SPACE * size_mm + wide
            continue
        while wide > room_mm and len(piece) > 1:
            fits = max(1, next(n for n in range(len(piece)) if width_of(piece[: n + 1], size_mm=size_mm) > room_mm))
            lines.append(piece[:fits])
            piece = piece[fits:]
            wide = width_of(piece, size_mm=size_mm)
        lines.append(piece)
        ends = wide
    return lines


def fitted(words: str, *, room_mm: float, size_mm: float) -> str:
    """As much of a line as its room is wide."""
    if width_of(words, size_mm=size_mm) <= room_mm:
        return words
    shorter = (words[:letters].rstrip() + "…" for letters in itertools.count(len(words) - 1, -1))
    return next(text for text in shorter if len(text) <= 1 or width_of(text, size_mm=size_mm) <= room_mm)


def width_of(text: str, *, size_mm: float) -> float:
    """Estimate the width of a line, on the safe side [mm]."""
    return size_mm * sum(map(_advance, text))


def put(parent: ET.Element, words: str, *, at: Point, size_mm: float, **style: str) -> ET.Element:
    """Set one line, its base line beginning at `at`; `style` holds further attributes, such as `fill`."""
    style = {"fill": INK} | style
    line = add(parent, "text", x=at[0], y=at[1], font_size=size_mm, **style)
    line.text = clean(words)
    return line


def put_lines(parent: ET.Element, lines: list[str], *, at: Point, size_mm: float, **style: str) -> float:
    """Set lines below each other, the first as `put` does; returns the height of the base line after the last."""
    x, y = at
    for line in lines:
        put(parent, line, at=(x, y), size_mm=size_mm, **style)
        y += LINE * size_mm
    return y


@lru_cache(maxsize=1024)
def _advance(letter: str) -> float:
    return _SPACE if letter == " " else _A_HAIR * width_mm(letter, size_mm=1.0) if has(letter) else _FULL
