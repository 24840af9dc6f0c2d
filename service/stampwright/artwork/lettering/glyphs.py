"""Outlines of glyphs as paths of the reader: taken once from a font, then placed wherever a letter stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import uharfbuzz as hb

from stampwright.artwork.limits import keep_within
from stampwright.artwork.paths import Path

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from stampwright.artwork.affine import Affine


class Outline(NamedTuple):
    """A glyph in units of its font, y up as fonts have it."""

    nodes: NDArray[np.float64]  # (n, 2)
    ends: tuple[int, ...]  # index of the node each cubic ends in
    cubics: NDArray[np.float64]  # (k, 4, 2)
    subpaths: tuple[tuple[int, int, bool], ...]


def _move(x: float, y: float, path: Path) -> None:
    path.move(x, y)


def _line(x: float, y: float, path: Path) -> None:
    path.line(x, y)


def _quadratic(x1: float, y1: float, x: float, y: float, path: Path) -> None:
    path.quadratic(x1, y1, x, y)


def _cubic(x1: float, y1: float, x2: float, y2: float, x: float, y: float, path: Path) -> None:  # noqa: PLR0913, PLR0917
    path.cubic(x1, y1, x2, y2, x, y)


def _close(path: Path) -> None:
    if path.open and len(path.nodes) > 1 and _comes_back(path):
        path.nodes.pop()
    path.end(closed=True)


def _comes_back(path: Path) -> bool:
    """Whether the subpath ends in a straight line to where it began, which closing draws anyway."""
    first, last = path.subpaths[-1][1] if path.subpaths else 0, len(path.nodes) - 1
    is_curve = bool(path.cubics) and path.cubics[-1][0] == last
    return last > first and path.nodes[first] == path.nodes[last] and not is_curve


def _drawing() -> Any:  # noqa: ANN401  the library has no types
    draw = hb.DrawFuncs()
    draw.set_move_to_func(_move)
    draw.set_line_to_func(_line)
    draw.set_quadratic_to_func(_quadratic)
    draw.set_cubic_to_func(_cubic)
    draw.set_close_path_func(_close)
    return draw


_DRAW = _drawing()


class Outlines:
    """The outlines of one reading, each drawn once."""

    def __init__(self) -> None:
        self._nodes = 0
        self._drawn: dict[tuple[int, int], Outline] = {}

    def of(self, font: Any, glyph: int) -> Outline:  # noqa: ANN401  an hb.Font, which its face keeps alive
        """The outline of a glyph; its nodes are none where it has no ink."""
        key = (id(font), glyph)
        if key not in self._drawn:
            path = Path()
            font.draw_glyph(glyph, _DRAW, path)
            path.end(closed=True)
            self._nodes += len(path.nodes)
            keep_within("segments", self._nodes)
            self._drawn[key] = _kept(path)
        return self._drawn[key]


def _kept(path: Path) -> Outline:
    rows = np.array(path.cubics, dtype=np.float64).reshape(-1, 9)
    nodes = np.array(path.nodes, dtype=np.float64).reshape(-1, 2)
    ends = tuple(int(end) for end in rows[:, 0])
    return Outline(nodes, ends, rows[:, 1:].reshape(-1, 4, 2), tuple(path.subpaths))


def placed(outlines: Iterable[tuple[Outline, Affine]]) -> Path:
    """One path of outlines, each under its own map."""
    whole = Path()
    for outline, (a, b, c, d, e, f) in outlines:
        at = len(whole.nodes)
        keep_within("segments", at)
        matrix, corner = np.array([[a, b], [c, d]]), np.array([e, f])
        whole.nodes += [(x, y) for x, y in (outline.nodes @ matrix + corner).tolist()]
        rows = (outline.cubics @ matrix + corner).reshape(-1, 8).tolist()
        whole.cubics += [(end + at, *row) for end, row in zip(outline.ends, rows, strict=True)]
        whole.subpaths += [(first + at, stop + at, closed) for first, stop, closed in outline.subpaths]
    return whole
