"""What an interpreter of content carries along: the graphics state, that of text, and where it stands."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from stampwright.artwork.affine import IDENTITY, Affine

from .colour import GRAY, Space, Tone

if TYPE_CHECKING:
    from stampwright.artwork.display import Stencil
    from stampwright.base import Bounds


class Spot:
    """An operation of a content stream: where a shape or a notice comes from. Identity is what counts."""

    __slots__ = ("place",)

    def __init__(self, path: str, operator: str, count: int) -> None:
        self.place = f"{path}/{operator}[{count}]"


class Clip(NamedTuple):
    """What is clipped to: a stencil (None: nothing but the page), its box in px, and how many lie in each other."""

    stencil: Stencil | None
    box: Bounds
    depth: int = 0


@dataclass(slots=True)
class Paint:
    """A colour in force: its space, and the tone it comes to."""

    space: Space = GRAY
    tone: Tone = Tone(0.0)  # noqa: RUF009  immutable
    alpha: float = 1.0


@dataclass(slots=True)
class TextState:
    """Table 104; sizes in units of text space."""

    font: object = None  # its dictionary
    font_name: str = ""
    size: float = 0.0
    character_spacing: float = 0.0
    word_spacing: float = 0.0
    scale: float = 1.0
    leading: float = 0.0
    rise: float = 0.0
    mode: int = 0


@dataclass(slots=True)
class State:
    """Tables 52 and 53, as far as they bear on ink. Copied by `q`: parts are replaced, never changed."""

    to_page: Affine
    clip: Clip
    fill: Paint = field(default_factory=Paint)
    stroke: Paint = field(default_factory=Paint)
    text: TextState = field(default_factory=TextState)
    width: float = 1.0
    cap: int = 0
    join: int = 0
    mitre_limit: float = 10.0
    dashes: tuple[float, ...] = ()
    dash_offset: float = 0.0
    blend: str = "Normal"
    soft_mask: object = None
    overprint: bool = False
    group_alpha: float = 1.0  # of the groups around, each as one
    coloured: bool = True  # false in a glyph or cell that takes the colour of its use


@dataclass(slots=True)
class Matrices:
    """Of a text object: where the next glyph stands, and where its line began."""

    at: Affine = IDENTITY
    line: Affine = IDENTITY
