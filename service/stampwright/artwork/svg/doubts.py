"""What programs read in two ways: each is read as the standard has it, and told."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from .document import reference_of
from .lengths import OF_LETTERS, length
from .properties import GEOMETRY
from .viewport import LENGTHS

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from stampwright.artwork.notices import Log

    from .cascade import Style

_SPARE_POINT = re.compile(r"[0-9]\.(?![0-9])")
"""A number that ends in its point: legal in the data and transforms of SVG 1.1, no more in those of SVG 2."""


def tell_of_lengths(log: Log, element: Element) -> None:
    """Tell of lengths in attributes that programs part on, and of wrong ones, which count as absent."""
    for name, text in element.attrib.items():
        if name in LENGTHS and text.strip() and not (name in GEOMETRY and "var(" in text.lower()):
            parts = text.strip().lower() == "auto" or OF_LETTERS.search(text)
            if parts or length(text) is None:
                log.note("programs-differ" if parts else "bad-value", element, what=f"{name}: {text.strip()[:40]}")


def tell_of_points(log: Log, element: Element, text: str) -> None:
    """Tell of numbers that end in their point."""
    if _SPARE_POINT.search(text):
        log.note("programs-differ", element, what="numbers that end in a point")


def tell_of_stencils(log: Log, element: Element, style: Style, on: str) -> None:
    """Tell of a clip or mask on what has a space of its own inside, in which it may lie or not."""
    if {style["clip-path"], style["mask"]} != {"none"}:
        log.note("programs-differ", element, what=f"a clip or mask on {on}")


def tell_of_view(log: Log, element: Element) -> None:
    """Tell of a word of SVG 1.1 with which SVG 2 takes all of `preserveAspectRatio` for wrong."""
    if "defer" in element.get("preserveAspectRatio", ""):
        log.note("programs-differ", element, what="preserveAspectRatio: defer")


def tell_of_use(log: Log, element: Element, style: Style) -> None:
    """Tell of a `use` that browsers find nothing with, or that its style sizes."""
    href = reference_of(element)
    if href != href.strip():
        log.note("programs-differ", element, what="blanks around a reference")
    if not style.own.keys().isdisjoint(("width", "height")):
        log.note("programs-differ", element, what="a use whose size its style gives")
