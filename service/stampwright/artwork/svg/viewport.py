"""Viewports: lengths against the one they stand in, and the map from a viewBox into one (SVG 2, Coordinate Systems)."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from stampwright.artwork.affine import IDENTITY, Affine, shift, times

from .lengths import Length, in_units, length
from .values import numbers

if TYPE_CHECKING:
    from collections.abc import Callable
    from xml.etree.ElementTree import Element

    from .cascade import Style

LENGTHS = frozenset({"x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "x1", "y1", "x2", "y2"})
"""Attributes of shapes and views that are one length."""

_PLACES = frozenset({"x", "y", "cx", "cy", "x1", "y1", "x2", "y2"})
_ALIGN = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


class View(NamedTuple):
    """Width and height that percentages refer to, in px of the user space."""

    width: float
    height: float

    def per(self, axis: str) -> float:
        """What 100 % means along `x`, `y`, or in no direction (`other`)."""
        if axis == "other":
            return math.sqrt((self.width**2 + self.height**2) / 2)
        return self.width if axis == "x" else self.height


def px_of(found: Length, axis: str, *, view: View, style: Style) -> float:
    """A length in px of the user space."""
    if not found.unit:
        return found.value
    return in_units(found, font_units(style.font_px, style.root_font_px) | {"%": view.per(axis) / 100}).value


def font_units(em_px: float, rem_px: float) -> dict[str, float]:
    """The units of a font in px; ex and ch without it: CSS Values says half an em."""
    return {"em": em_px, "ex": 0.5 * em_px, "ch": 0.5 * em_px, "rem": rem_px}


def measure(element: Element, style: Style, view: View) -> Callable[[str, str], float | None]:
    """A reader of the element's lengths by name and axis; style sheets may set the geometry properties (SVG 2)."""

    def px(name: str, axis: str) -> float | None:
        text = style.own.get(name) if name in style.own else element.get(name)
        found = length(text) if text else None
        if text is None or found is None:
            return None
        size = px_of(found, axis, view=view, style=style)
        return max(size, 0.0) if "(" in text and name not in _PLACES else size  # a sum too small is held at nothing

    return px


def view_box(element: Element) -> tuple[float, float, float, float] | None:
    """The viewBox; None when there is none or it is not four numbers. Its size may be zero: nothing is drawn then."""
    found = numbers(element.get("viewBox", ""), 4)
    return None if found is None else (found[0], found[1], found[2], found[3])


def fitted(box: tuple[float, float, float, float], width: float, height: float, aspect: str) -> Affine:
    """The map that brings a viewBox into a viewport of `width` x `height` by preserveAspectRatio."""
    x, y, box_width, box_height = box
    align, *how = aspect.split() or ["xMidYMid"]
    sx, sy = width / box_width, height / box_height
    known = how in ([], ["meet"], ["slice"])
    if align == "none" and known:
        return times((sx, 0.0, 0.0, sy, 0.0, 0.0), shift(-x, -y))
    if not known or not _is_align(align):
        align, how = "xMidYMid", []
    scale = max(sx, sy) if how == ["slice"] else min(sx, sy)
    dx = (width - scale * box_width) * _ALIGN[align[1:4]]
    dy = (height - scale * box_height) * _ALIGN[align[5:8]]
    return times((scale, 0.0, 0.0, scale, dx, dy), shift(-x, -y))


def _is_align(word: str) -> bool:
    return len(word) == 8 and word[0] == "x" and word[4] == "Y" and word[1:4] in _ALIGN and word[5:8] in _ALIGN


def size_of_view(
    element: Element, style: Style, view: View, *, asked: tuple[float | None, float | None] = (None, None)
) -> tuple[float, float]:
    """Width and height of an inner viewport in px: those `asked` for by a `use`, its own, or all of the outer view."""
    px = measure(element, style, view)
    width, height = (
        wanted if wanted is not None else own if own is not None else whole
        for wanted, own, whole in zip(asked, (px("width", "x"), px("height", "y")), view, strict=True)
    )
    return width, height


def into_view(element: Element, width: float, height: float) -> tuple[Affine, View]:
    """Map and view of the content of an element that establishes a viewport of `width` x `height` px."""
    box = view_box(element)
    if box is None or box[2] <= 0 or box[3] <= 0:
        return IDENTITY, View(width, height)
    return fitted(box, width, height, element.get("preserveAspectRatio", "")), View(box[2], box[3])


def page_of(root: Element, style: Style) -> tuple[float, float] | None:
    """Size of the page in px: width and height; what is missing follows from the viewBox.

    What a style sheet says goes before the attributes, unless it is a share of a window that nobody knows.
    """
    box = view_box(root)
    sizes: list[float | None] = []
    for name in ("width", "height"):
        said = (length(text) for text in (style.own.get(name), root.get(name)) if text)
        found = next((each for each in said if each is not None and each.unit not in {"%", "calc"}), None)
        sizes.append(None if found is None else px_of(found, "x", view=View(0, 0), style=style))
    width, height = sizes
    if box is not None and 0 in box[2:]:
        return 0.0, 0.0  # SVG 2, 8.6: such a viewBox shows nothing
    if box is None or box[2] <= 0 or box[3] <= 0:
        return None if width is None or height is None else (width, height)
    if width is None and height is None:
        return box[2], box[3]
    if width is None:
        return (height or 0.0) * box[2] / box[3], height or 0.0
    return width, width * box[3] / box[2] if height is None else height
