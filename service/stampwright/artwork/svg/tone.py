"""Paint of an element to the colour it comes to, and which paint is in doubt."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from stampwright.artwork.affine import inverse
from stampwright.artwork.limits import keep_within
from stampwright.artwork.paint import HALF, Colour

from .document import local_name, reference_of
from .lengths import Length, length
from .transforms import transform_of
from .values import Reference, Unread, share, target

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from xml.etree.ElementTree import Element

    from .cascade import Cascade, Style
    from .document import Document

_GRADIENTS = frozenset({"linearGradient", "radialGradient"})


class Tone(NamedTuple):
    """What a paint comes to: a colour (None: nothing is painted), and the codes that say why it is in doubt.

    `plain`: it is that colour all over, and no mean.
    """

    colour: Colour | None
    doubts: tuple[str, ...] = ()
    plain: bool = False


class Paints:
    """Resolves the paint of fills and strokes: colours, references, gradients."""

    def __init__(self, document: Document, cascade: Cascade) -> None:
        self._document = document
        self._cascade = cascade

    def tone(self, paint: object, style: Style, *, opacity: float, flat: bool = False) -> Tone:
        """The tone of a paint under `opacity`, or the code of what cannot be read as its only doubt.

        `flat`: the shape has no width or no height, so that what is measured by its box is not painted (SVG 2, 8.10).
        """
        if isinstance(paint, Unread):
            return Tone(None, ("bad-value",))
        if paint == "currentcolor":
            paint = style["color"]
        if paint in ("context-fill", "context-stroke"):  # outside markers and uses there is no context: no paint
            return Tone(None)
        if isinstance(paint, Reference):
            return self._referred(paint, style, opacity, flat=flat)
        return self._plain(paint, opacity) if isinstance(paint, Colour) else Tone(None)

    @staticmethod
    def _plain(colour: Colour, opacity: float) -> Tone:
        alpha = colour.alpha * opacity
        return Tone(Colour(colour.luma, alpha), ("translucent",) if 0 < alpha < 1 else (), plain=True)

    def _referred(self, paint: Reference, style: Style, opacity: float, *, flat: bool) -> Tone:
        server = self._document.ids.get(paint.name) if paint.name else None
        name = local_name(server) if server is not None else ""
        if server is not None and name in _GRADIENTS:
            if flat and self._by_box(server):
                return self.tone(paint.fallback, style, opacity=opacity)
            tone = self._gradient(server, opacity)
            return tone._replace(doubts=("programs-differ", *tone.doubts)) if self._cascade.withholds(server) else tone
        if name == "pattern":
            return Tone(Colour(0.0, 1.0), ("pattern-fill",))
        code = "broken-reference" if paint.name else "external-reference"
        fallback = self.tone(paint.fallback, style, opacity=opacity) if paint.fallback is not None else Tone(None)
        return Tone(fallback.colour, (code, *fallback.doubts), plain=fallback.plain)

    def _gradient(self, server: Element, opacity: float) -> Tone:
        """The mean of a gradient's stops over its length (what lies beyond its ends is not weighed)."""
        stops = self._stops(server)
        if not stops:
            return Tone(None)
        if self._has_no_length(server):  # SVG 2, 13.2: then all is of the last colour
            return self._plain(stops[-1][1], opacity)
        lumas = [colour.luma for _, colour in stops]
        mean = Colour(_mean(stops, lambda c: c.luma), _mean(stops, lambda c: c.alpha) * opacity)
        if min(lumas) < HALF <= max(lumas) or min(c.alpha for _, c in stops) < HALF <= max(c.alpha for _, c in stops):
            return Tone(mean, ("gradient-crosses-threshold",))
        doubts = ("translucent",) if mean.alpha < 1 else ()
        return Tone(mean, (*doubts, "shading-ends") if self._may_end(server) else doubts)

    def _stops(self, server: Element) -> list[tuple[float, Colour]]:
        for at in self._templates(server):
            stops = [child for child in self._document.children(at) if local_name(child) == "stop"]
            if stops:
                return self._read_stops(at, stops)
        return []

    def _by_box(self, server: Element) -> bool:
        return self._said(server, "gradientUnits") != "userSpaceOnUse"

    def _said(self, server: Element, name: str, usual: str = "") -> str:
        """An attribute of a gradient, or of the nearest of those it refers to."""
        return next((said for at in self._templates(server) if (said := at.get(name)) is not None), usual)

    def _sizes(self, server: Element, **usual: str) -> list[Length | None]:
        return [length(self._said(server, name, by_default)) for name, by_default in usual.items()]

    def _has_no_length(self, server: Element) -> bool:
        """Whether a linear gradient ends where it begins, or a radial one has no radius."""
        if local_name(server) == "radialGradient":
            (radius,) = self._sizes(server, r="50%")
            return radius is not None and radius.value == 0
        x1, y1, x2, y2 = self._sizes(server, x1="0%", y1="0%", x2="100%", y2="0%")
        return x1 is not None and y1 is not None and (x1, y1) == (x2, y2)

    def _may_end(self, server: Element) -> bool:
        """Whether a gradient may leave ground bare: from a focus outside its circle, or squeezed to nothing."""
        matrix = transform_of(self._said(server, "gradientTransform"))
        if isinstance(matrix, Unread) or inverse(matrix) is None:
            return True
        if local_name(server) != "radialGradient" or not any(self._said(server, name) for name in ("fx", "fy", "fr")):
            return False
        cx, cy, r, inner = self._sizes(server, cx="50%", cy="50%", r="50%", fr="0%")
        fx, fy = (length(self._said(server, name)) or centre for name, centre in (("fx", cx), ("fy", cy)))
        if cx is None or cy is None or r is None or inner is None or fx is None or fy is None:
            return True
        if "calc" in {size.unit for size in (cx, cy, r, fx, fy, inner)}:
            return True
        share = 100.0 if self._by_box(server) else math.nan  # of the box; of a view, nobody knows here
        x, y, radius, u, v, least = (
            size.value / share if size.unit == "%" else size.value for size in (cx, cy, r, fx, fy, inner)
        )
        return not math.hypot(u - x, v - y) + least < radius

    def _templates(self, server: Element) -> Iterator[Element]:
        """A gradient and those it refers to, each for what the ones before it leave open."""
        seen: set[Element] = set()
        at: Element | None = server
        while at is not None and at not in seen:
            yield at
            seen.add(at)
            keep_within("depth", len(seen))
            name = target(reference_of(at))
            at = self._document.ids.get(name) if name else None

    def _read_stops(self, server: Element, stops: list[Element]) -> list[tuple[float, Colour]]:
        above = self._cascade.style_within(server)
        read: list[tuple[float, Colour]] = []
        for stop in stops:
            style = self._cascade.style(stop, above)
            colour = style["stop-color"]
            colour = style["color"] if colour == "currentcolor" else colour
            offset = max(share(stop.get("offset", "0")) or 0.0, read[-1][0] if read else 0.0)
            read.append((offset, Colour(colour.luma, colour.alpha * style["stop-opacity"])))
        return read


def _mean(stops: list[tuple[float, Colour]], of: Callable[[Colour], float]) -> float:
    """Mean over 0 to 1 of what runs straight between the stops and stays beyond them."""
    knots = [(0.0, of(stops[0][1])), *((at, of(colour)) for at, colour in stops), (1.0, of(stops[-1][1]))]
    return sum((b - a) * (va + vb) / 2 for (a, va), (b, vb) in itertools.pairwise(knots))
