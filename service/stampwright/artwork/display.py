"""What the walk hands to the geometry: painted shapes in order, each with its pen, its polarity and its stencils."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from stampwright.plane import Rule

    from .affine import Affine
    from .paths import Path


@dataclass(frozen=True, slots=True)
class Pen:
    """A stroke, in the space in which it is drawn: that of the element, or of the page when `non_scaling`."""

    width: float
    cap: str  # butt, round, square
    join: str  # miter, round, bevel
    mitre_limit: float
    dashes: tuple[float, ...]  # even number of lengths, or none
    dash_offset: float
    non_scaling: bool


@dataclass(eq=False, slots=True)
class Shape:
    """One painted area: the fill of `path` by `rule`, or its stroke by `pen`; `to_page` takes it to px of the page.

    `adds`: later areas cover earlier ones, with ink or with bare ground. Identity is what counts, hence no equality.
    """

    element: Element
    path: Path
    to_page: Affine
    rule: Rule = "nonzero"
    pen: Pen | None = None
    adds: bool = True
    stencils: tuple[Stencil, ...] = ()


@dataclass(eq=False, slots=True)
class Stencil:
    """A clip or a mask, as painted shapes of its own: what they leave as ink is where the content shows."""

    shapes: tuple[Shape, ...]
