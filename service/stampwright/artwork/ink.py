"""Shapes to ink by the painter's model: later paint covers earlier. All booleans in one engine, one conversion.

Two runs of paint S1 then S2 make (ink1 − cover2) + ink2 under cover1 + cover2; taken as a balanced tree over the layers
the cost is about n log n, where covering one by one is quadratic.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from manifold3d import CrossSection, OpType

from stampwright.plane import section_of_rings

from .affine import IDENTITY, moved_rings, stretch
from .display import drawn_alike
from .flatten import flatten
from .limits import LIMITS, keep_within
from .outline import outline, winds_within
from .paths import Path
from .tangle import keep_untangled
from .trace import traced

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from stampwright.plane import Rule

    from .affine import Affine
    from .display import Shape, Stencil
    from .tips import Tips


class Painter:
    """Turns shapes into areas of the page in px, curves kept within `sagitta_px`.

    `tips` ask for finer ones of the shapes around them. `budget`: the share of the limits on points and sweeps that may
    be spent.
    """

    def __init__(self, *, sagitta_px: float, tips: Tips | None = None, budget: float = 1.0) -> None:
        self._sagitta_px, self._tips = sagitta_px, tips
        self.shapes: list[Shape] = []  # all that were painted, and all that cut them
        self.drawn: list[NDArray[np.float64]] = []  # the rings that they were filled by
        self.filled: list[tuple[Shape, float]] = []  # strokes, and the largest hole [px²] many programs leave in each
        self._fills: dict[int, CrossSection] = {}  # ink by identity of the path, which a stroke shares with its fill
        self._points = (1 - budget) * LIMITS["points"].most
        self._spent = (1 - budget) * LIMITS["beside"].most  # for sweeps, by the drawing's shapes one by one
        self._rings: dict[
            int, list[NDArray[np.float64]]
        ] = {}  # by identity of the shape, until they are judged together
        self._stencils: dict[int, CrossSection] = {}  # by identity: a stencil is shared by all shapes it covers

    def ink(self, shapes: Sequence[Shape]) -> CrossSection:
        """The ink that painted shapes leave, in their order."""
        keep_within("layers", len(shapes))
        painted = _gathered(itertools.dropwhile(lambda shape: not shape.adds, shapes))
        areas = [(shape.adds, self.area(shape)) for shape in painted]
        if len(painted) > 1:  # each was looked at alone; together they may still be a hatch
            keep_untangled([ring for shape in painted for ring in self._rings.pop(id(shape), ())])
        return painted_over(areas)

    def area(self, shape: Shape) -> CrossSection:
        """Area of one shape inside its stencils."""
        self.shapes.append(shape)
        area = self._stroke(shape) if shape.pen else self._fill(shape)
        for stencil in shape.stencils:
            area ^= self._stencil(stencil)
        return area

    def _stencil(self, stencil: Stencil) -> CrossSection:
        if id(stencil) not in self._stencils:
            self._stencils[id(stencil)] = self.ink(stencil.shapes)
        return self._stencils[id(stencil)]

    def _fill(self, shape: Shape) -> CrossSection:
        sagitta = self._sagitta_px / max(stretch(shape.to_page), 1e-12)
        lines = flatten(shape.path, sagitta=sagitta, factor_at=self._factors(shape.path, shape.to_page))
        area = self._section(shape, moved_rings([points for points, _ in lines], shape.to_page), shape.rule)
        if shape.adds:
            self._fills[id(shape.path)] = area
        return area

    def _stroke(self, shape: Shape) -> CrossSection:
        pen = shape.pen
        if pen is None:
            return CrossSection()
        path, last = (shape.path.moved(shape.to_page), IDENTITY) if pen.non_scaling else (shape.path, shape.to_page)
        scale = max(stretch(last), 1e-12)
        factors = self._factors(path, last, beside_px=pen.width / 2 * scale)
        runs = traced(path, sagitta=self._sagitta_px / scale, half=pen.width / 2, factor_at=factors)
        asked_px = self._sagitta_px
        if self._tips is not None:
            asked_px = min(asked_px, self._tips.asked_of_ends(path, last, beside_px=pen.width / 2 * scale))
        sagitta = asked_px / scale
        rings = outline(runs, pen, sagitta=sagitta)
        area = self._section(shape, moved_rings(rings, last), "nonzero")
        if len(rings) > len(runs.closed) + runs.closed.sum() and winds_within(runs, pen.width / 2):
            plain = moved_rings(outline(runs, pen, sagitta=sagitta, folding=False), last)
            hole = area - section_of_rings(plain, "nonzero")
            parts = (hole - self._fills.get(id(shape.path), CrossSection())).decompose()
            self.filled.append((shape, max((part.area() for part in parts), default=0.0)))
        return area

    def _factors(self, path: Path, to_page: Affine, *, beside_px: float = 0.0) -> NDArray[np.float64] | None:
        """By node, how much finer than others the curve that ends there is cut; parts go as the root of the error."""
        if self._tips is None:
            return None
        asked = self._tips.asked_by_node(path, to_page, beside_px=beside_px)
        return np.sqrt(np.maximum(self._sagitta_px / asked, 1.0))

    def _section(self, shape: Shape, rings: list[NDArray[np.float64]], rule: Rule) -> CrossSection:
        """Fill rings, after a look at what that would cost."""
        self._points += sum(map(len, rings))
        keep_within("points", self._points)
        self._spent += keep_untangled(rings, spent=self._spent)
        self._rings[id(shape)] = rings
        self.drawn += rings
        return section_of_rings(rings, rule)


def _gathered(shapes: Iterable[Shape]) -> list[Shape]:
    """Shapes in order, neighbours that one pen draws alike taken as one: drawings of lines cost a third."""
    found = []
    for pen, run in itertools.groupby(shapes, key=drawn_alike):
        alike = list(run)
        path = alike[0].path if len(alike) == 1 else Path.joined([shape.path for shape in alike])
        found += [replace(alike[0], path=path)] if pen else alike
    return found


def _united(parts: list[CrossSection]) -> CrossSection:
    return parts[0] if len(parts) == 1 else CrossSection.batch_boolean(parts, OpType.Add)


def painted_over(layers: Sequence[tuple[bool, CrossSection]]) -> CrossSection:
    """Ink that layers leave, each of ink (true) or of bare ground, covering those before it."""
    none = CrossSection()
    runs = itertools.groupby(layers, key=lambda layer: layer[0])
    areas = [(adds, _united([area for _, area in run])) for adds, run in runs]
    return _halved([(area, none) if adds else (none, area) for adds, area in areas])[0]


def _halved(runs: list[tuple[CrossSection, CrossSection]]) -> tuple[CrossSection, CrossSection]:
    """(ink, cover) of runs in order, by halves."""
    if not runs:
        return CrossSection(), CrossSection()
    if len(runs) == 1:
        return runs[0]
    middle = len(runs) // 2
    (ink, cover), (ink_above, cover_above) = _halved(runs[:middle]), _halved(runs[middle:])
    return (ink - cover_above) + ink_above, cover + cover_above
