"""A source: a drawing of one kind, opened, which hands its painted shapes to everything that comes after."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

if TYPE_CHECKING:
    from .display import Drawing, Piece
    from .notices import Log
    from .paint import PaintRule

SourceKind = Literal["svg", "pdf", "dxf"]


@dataclass(frozen=True, slots=True)
class EmbeddedFont:
    """Bytes of a font file in a drawing; family, weights, widths [%] and slant under which it is found there."""

    data: bytes
    family: str
    weights: tuple[float, float]
    widths: tuple[float, float]
    slanted: bool


class Source(Protocol):
    """Strokes, clips, painter's order, ink rule, limits, grid and notices are the same for every kind of source."""

    @property
    def kind(self) -> SourceKind:
        """What the drawing was written in."""

    def drawing(self, log: Log, rule: PaintRule) -> Drawing:
        """Painted shapes in order, in px of 1/96 in with y down; what is not read exactly goes to the log.

        Asked again with another rule when the first gives no ink. Raises `ArtworkError` or `TooComplex`.
        """

    def place_of(self, piece: Piece) -> str:
        """Name the piece of the source that a shape or a notice comes from, so that its author finds it."""
