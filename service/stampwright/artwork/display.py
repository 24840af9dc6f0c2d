"""What every source hands to the geometry: painted shapes in order, each with pen, polarity and stencils."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NamedTuple

from .affine import times

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stampwright.plane import Rule

    from .affine import Affine
    from .paths import Path


Piece = Any
"""What a shape comes from: an element, an operator, an entity. Only its source can name it."""


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

    element: Piece
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


def move(shapes: Iterable[Shape], by: Affine) -> None:
    """Move shapes with all that cuts them; a stencil that others share stays where it is, and a copy of it is moved."""
    moved: dict[int, Stencil] = {}

    def copy(stencil: Stencil) -> Stencil:
        if id(stencil) not in moved:
            inner = tuple(map(replace, stencil.shapes))
            move(inner, by)
            moved[id(stencil)] = Stencil(inner)
        return moved[id(stencil)]

    for shape in shapes:
        shape.to_page = times(by, shape.to_page)
        shape.stencils = tuple(map(copy, shape.stencils))


def drawn_alike(shape: Shape) -> tuple[object, ...] | None:
    """What neighbours share that one pen draws alike, so that they can be taken as one; None for a fill."""
    return (shape.pen, shape.to_page, shape.adds, tuple(map(id, shape.stencils))) if shape.pen else None


class Drawing(NamedTuple):
    """Painted shapes in order, and the page in px; None when the drawing gives no size at all."""

    shapes: list[Shape]
    page: tuple[float, float] | None
