"""A small writer of SVG at true size: one user unit is one millimetre, y points down the page."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from html import escape
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.base import Point

PLACES = 4
"""Decimals of a coordinate: a tenth of a micrometre, the step of the product's grid."""

FINEST_MM = 0.005
"""What outlines may leave out: an eighth of a dot of a usual printer (600 dpi), which nobody sees."""

_FINE_PLACES = 3  # of a coordinate of an outline: the micrometre

INK = "#2a2521"
QUIET = "#6d645b"
PAPER = "#fdfbf7"
FONT = "Verdana, 'DejaVu Sans', sans-serif"

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that XML 1.0 (section 2.2, Char) has no way to write, not even escaped."""

_TURNS = re.compile("[\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]")
"""Marks that turn the direction of writing (UAX 9): in a stranger's words they could make a line read as another."""


def page(width_mm: float, height_mm: float, *, title: str, says: str) -> ET.Element:
    """Begin a page at true size, with a title and a description for those who cannot see it."""
    page = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{num(width_mm)}mm",
            "height": f"{num(height_mm)}mm",
            "viewBox": f"0 0 {num(width_mm)} {num(height_mm)}",
            "role": "img",
            "aria-labelledby": "title desc",
            "font-family": FONT,
        },
    )
    add(page, "title", id="title").text = clean(title)
    add(page, "desc", id="desc").text = clean(says)
    add(page, "rect", width=width_mm, height=height_mm, fill=PAPER)
    return page


def size_mm(page: ET.Element) -> tuple[float, float]:
    """Width and height of a page."""
    _, _, wide, high = map(float, page.get("viewBox", "").split())
    return wide, high


@cache
def rgb_of(colour: str) -> tuple[int, int, int]:
    """Red, green and blue of 255 of one of our colours, which has six digits."""
    red, green, blue = bytes.fromhex(colour[1:])
    return red, green, blue


def add(parent: ET.Element, tag: str, **attributes: str | float) -> ET.Element:
    """Put an element under `parent`; `stroke_width=0.2` becomes `stroke-width="0.2"`."""
    named = {
        name.replace("_", "-"): value if isinstance(value, str) else num(value) for name, value in attributes.items()
    }
    return ET.SubElement(parent, tag, named)


def svg_of(page: ET.Element) -> str:
    """Write a page as SVG, one element a line."""
    lines = ['<?xml version="1.0" encoding="UTF-8"?>']
    _write(page, "", lines)
    return "\n".join([*lines, ""])


def _write(element: ET.Element, indent: str, lines: list[str]) -> None:
    """Add an element of ours, which has words or others in it, never both; thrice as fast as the library's writer."""
    named = "".join([f' {name}="{value}"' for name, value in element.items()])
    if "&" in named or "<" in named or named.count('"') > 2 * len(element.keys()):
        named = "".join([f' {name}="{escape(value)}"' for name, value in element.items()])
    if len(element):
        lines.append(f"{indent}<{element.tag}{named}>")
        for child in element:
            _write(child, f"{indent} ", lines)
        lines.append(f"{indent}</{element.tag}>")
    elif element.text:
        lines.append(f"{indent}<{element.tag}{named}>{escape(element.text, quote=False)}</{element.tag}>")
    else:
        lines.append(f"{indent}<{element.tag}{named} />")


def num(value: float) -> str:
    """Write a number with `PLACES` decimals at most, without idle noughts and without a negative zero."""
    written = f"{value:.{PLACES}f}".rstrip("0").rstrip(".")
    return written if written != "-0" else "0"


def clean(words: str) -> str:
    """Replace what XML cannot hold, leave out marks that turn the writing; markup is escaped by the writer."""
    return _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", _TURNS.sub("", words))


@dataclass(frozen=True, slots=True)
class View:
    """Where face coordinates come to lie on the page, which counts downwards; `sense` −1 shows the face from behind."""

    x: float
    y: float
    sense: float = 1.0
    scale: int = 1

    def point(self, place: Point) -> Point:
        """A place on the page."""
        return (self.x + self.scale * self.sense * place[0], self.y - self.scale * place[1])

    def area(self, area: shapely.Geometry) -> shapely.Geometry:
        """An area on the page."""
        return shapely.transform(area, lambda xy: xy * (self.scale * self.sense, -self.scale) + (self.x, self.y))


def path_of(shapes: shapely.Geometry, *, finest_mm: float = FINEST_MM) -> str:
    """Path data of all rings of areas, or of lines, on the page; areas are to be filled by the even-odd rule.

    Places nearer than `finest_mm` to the line through those beside them are left out.
    """
    parts = shapely.get_parts(shapes)
    are_areas = shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
    rings, lines = shapely.get_rings(parts[are_areas]), parts[~are_areas]
    thin = shapely.simplify(np.concatenate([rings, lines]), finest_mm, preserve_topology=False)
    places, of_line = shapely.get_coordinates(thin, return_index=True)
    ends = np.searchsorted(of_line, np.arange(len(thin)), side="right")
    return strokes_of(places, ends=ends, rings=len(rings))


def cross(at: Point, *, arm_mm: float) -> str:
    """Path data of two short lines through a place."""
    x, y = at
    ends = ((x - arm_mm, y, x + arm_mm, y), (x, y - arm_mm, x, y + arm_mm))
    return "".join("M" + " ".join(map(num, line)) for line in ends)


def strokes_of(places: NDArray[np.float64], *, ends: NDArray[np.int64], rings: int = 0) -> str:
    """Path data of lines, the first of them `rings`; `ends` counts the places (n, 2) up to the end of each."""
    words = list(map(repr, (np.round(places, _FINE_PLACES) + 0.0).ravel().tolist()))
    drawn, first = [], 0
    for number, end in enumerate((2 * ends).tolist()):
        least, last, mark = (6, end - 2, "Z") if number < rings else (4, end, "")  # a ring ends where it began
        if last - first >= least:
            drawn.append(f"M{' '.join(words[first:last])}{mark}")
        first = end
    return "".join(drawn)
