"""Glyphs of a font program to paths, with a bound on the work that a program may ask for."""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING, Any

from fontTools.misc.psCharStrings import T1OutlineExtractor, T2OutlineExtractor
from fontTools.pens.basePen import BasePen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTLibError

from stampwright.artwork.limits import keep_within
from stampwright.artwork.paths import Path

if TYPE_CHECKING:
    from collections.abc import Callable

    from stampwright.artwork.affine import Affine

BROKEN_FONT = (
    *(TTLibError, struct.error, AssertionError, AttributeError, LookupError, TypeError, ValueError),
    *(ArithmeticError, NotImplementedError, RecursionError, EOFError),
)
"""What fontTools raises for a font that is broken."""


class Work:
    """Steps done for the glyphs of one font: bytes of charstrings run, components placed, points drawn."""

    def __init__(self) -> None:
        self._steps = 0

    def spend(self, steps: int) -> None:
        """Count steps; raises `TooComplex` beyond what a font may ask for."""
        self._steps += steps
        keep_within("glyph_steps", self._steps)


class PathPen(BasePen):  # type: ignore[misc]  # fontTools types its pens in part
    """Draws into a path. `component` draws another glyph into a pen, for glyphs made of glyphs."""

    def __init__(self, work: Work, component: Callable[[str, Any], None]) -> None:
        super().__init__(None)
        self.path = Path()
        self._work = work
        self._component = component

    def _moveTo(self, at: tuple[float, float]) -> None:  # noqa: N802  fontTools' name
        self._work.spend(1)
        self.path.move(*at)

    def _lineTo(self, at: tuple[float, float]) -> None:  # noqa: N802
        self._work.spend(1)
        self.path.line(*at)

    def _curveToOne(self, a: tuple[float, float], b: tuple[float, float], at: tuple[float, float]) -> None:  # noqa: N802
        self._work.spend(1)
        self.path.cubic(*a, *b, *at)

    def _closePath(self) -> None:  # noqa: N802
        self.path.end(closed=True)

    def _endPath(self) -> None:  # noqa: N802
        self.path.end(closed=True)

    def addComponent(self, glyphName: str, transformation: Affine, **_: object) -> None:  # noqa: N802, N803
        """Draw a glyph as part of this one."""
        self._work.spend(16)
        self._component(glyphName, TransformPen(self, transformation))


class _Counted:
    """Counts the bytes of each charstring that is run, called ones as often as they are called."""

    work: Work

    def execute(self, charString: Any, **more: Any) -> None:  # noqa: ANN401, N803  fontTools' names
        code = charString.bytecode if charString.bytecode is not None else charString.program
        self.work.spend(len(code) + 4)
        super().execute(charString, **more)  # type: ignore[misc]  # of the class it is mixed into


class Type2Extractor(_Counted, T2OutlineExtractor):  # type: ignore[misc]
    """Runs charstrings of CFF."""


class Type1Extractor(_Counted, T1OutlineExtractor):  # type: ignore[misc]
    """Runs charstrings of Type 1."""
