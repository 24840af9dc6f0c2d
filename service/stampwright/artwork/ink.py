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

from .affine import IDENTITY, moved, moved_rings, stretch
from .display import drawn_alike
from .flatten import flatten
from .limits import LIMITS, keep_within
from .outline import outline, winds_within
from .paths import Path
from .reach import unclipped_px
from .sections import Unit
from .tangle import keep_untangled
from .trace import traced

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from stampwright.plane import Rule

    from .affine import Affine
    from .display import Shape, Stencil
    from .flatten import Asked
    from .tips import Tips


class Painter:
    """Turns shapes into areas of the page in px, curves kept within `sagitta_px`.

    `tips` ask for finer ones of the shapes around them. `budget`: the share of the limits on points and sweeps that may
    be spent.
    """

    def __init__(self, *, sagitta_px: float, tips: Tips | None = None, budget: float = 1.0) -> None:
        self._sagitta_px, self._tips = sagitta_px, tips
        self.unit = Unit(sagitta_px)
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
        """The ink [px] that painted shapes leave, in their order."""
        return self.unit.on_page(self._ink(shapes))

    def area(self, shape: Shape) -> CrossSection:
        """Area [px] of one shape inside its stencils."""
        return self.unit.on_page(self._area(shape))

    def _ink(self, shapes: Sequence[Shape]) -> CrossSection:
        keep_within("layers", len(shapes))
        painted = _gathered(itertools.dropwhile(lambda shape: not shape.adds, shapes))
        areas = [(shape.adds, self._area(shape)) for shape in painted]
        if len(painted) > 1:  # each was looked at alone; together they may still be a hatch
            keep_untangled([ring for shape in painted for ring in self._rings.pop(id(shape), ())])
        return painted_over(areas)

    def _area(self, shape: Shape) -> CrossSection:
        self.shapes.append(shape)
        area = self._stroke(shape) if shape.pen else self._fill(shape)
        for stencil in shape.stencils:
            area ^= self._stencil(stencil)
        return area

    def _stencil(self, stencil: Stencil) -> CrossSection:
        if id(stencil) not in self._stencils:
            self._stencils[id(stencil)] = self._ink(stencil.shapes)
        return self._stencils[id(stencil)]

    def _fill(self, shape: Shape) -> CrossSection:
        sagitta = self._sagitta_px / max(stretch(shape.to_page), 1e-12)
        lines = flatten(shape.path, sagitta=sagitta, asked=self._asked(shape, shape.to_page))
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
        sagitta, asked = self._sagitta_px / scale, self._asked(shape, last)
        runs = traced(path, sagitta=sagitta, half=pen.width / 2, asked=asked)
        rings = outline(runs, pen, sagitta=sagitta, asked=asked)
        area = self._section(shape, moved_rings(rings, last), "nonzero")
        if len(rings) > len(runs.closed) + runs.closed.sum() and winds_within(runs, pen.width / 2):
            plain = moved_rings(outline(runs, pen, sagitta=sagitta, asked=asked, folding=False), last)
            hole = area - self.unit.filled(plain, "nonzero")
            parts = (hole - self._fills.get(id(shape.path), CrossSection())).decompose()
            self.filled.append((shape, max((self.unit.on_page(part).area() for part in parts), default=0.0)))
        return area

    def _asked(self, shape: Shape, to_page: Affine) -> Asked | None:
        """What tips ask of the chords of a shape, in the space that `to_page` takes to the page; None for nothing."""
        tips, box = self._tips, unclipped_px(shape) if self._tips else None
        if tips is None or box is None or not np.isfinite(tips.asked_in(*np.array(box).reshape(2, 1, 2))).all():
            return None
        scale = max(stretch(to_page), 1e-12)

        def asked(places: NDArray[np.float64]) -> NDArray[np.float64]:
            on_page = moved(places.reshape(-1, 2), to_page).reshape(places.shape)
            return np.asarray(tips.asked_in(on_page.min(axis=0), on_page.max(axis=0)) / scale)

        return asked

    def _section(self, shape: Shape, rings: list[NDArray[np.float64]], rule: Rule) -> CrossSection:
        """Fill rings, after a look at what that would cost."""
        self._points += sum(map(len, rings))
        keep_within("points", self._points)
        self._spent += keep_untangled(rings, spent=self._spent)
        self._rings[id(shape)] = rings
        self.drawn += rings
        return self.unit.filled(rings, rule)


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
