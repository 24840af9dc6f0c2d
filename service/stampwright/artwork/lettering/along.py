"""Text on a path: the track that cells are carried along, by the length of its curve (SVG 2, 11.8)."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stampwright.artwork.flatten import flatten

if TYPE_CHECKING:
    from stampwright.artwork.paths import Path

    from .shaping import Cell

_SAGITTA = 1e-7  # of the path's size: tangents of chords are then right to half a thousandth of a radian


class Track:
    """A path by its length. Cells beyond its ends are hidden."""

    def __init__(self, path: Path, *, offset_px: float = 0.0, offset_share: float = 0.0) -> None:
        """Measure `path`. Text begins `offset_px` along it, plus `offset_share` of its length."""
        reach = path.reach() or (0.0, 0.0, 0.0, 0.0)
        size = max(reach[2] - reach[0], reach[3] - reach[1], 1e-12)
        lines = [
            np.concatenate([line, line[:1]]) if closed else line
            for line, closed in flatten(path, sagitta=size * _SAGITTA)
        ]
        self._lines = [line for line in lines if len(line) > 1]
        steps = [np.hypot(*np.diff(line, axis=0).T) for line in self._lines]
        ends = np.cumsum([step.sum() for step in steps]).tolist()
        self.length = ends[-1] if ends else 0.0
        self._at = [
            np.concatenate([[0.0], np.cumsum(step)]) + start for step, start in zip(steps, [0.0, *ends], strict=False)
        ]
        self._offset = offset_px + offset_share * self.length

    @property
    def end(self) -> tuple[float, float]:
        """Where the path ends."""
        x, y = self._lines[-1][-1].tolist() if self._lines else (0.0, 0.0)
        return x, y

    def carry(self, cell: Cell) -> None:
        """Move a cell from its place on a straight line to its place on the path, by its middle."""
        half = cell.advance * cell.wide / 2
        along = cell.x + half + self._offset
        if not 0 <= along <= self.length or not self._lines:
            cell.hidden = True
            return
        x, y, turn = self._point(along)
        cell.turn_rad += turn  # with the letter's own turn, which browsers take about the middle too
        cos, sin = math.cos(cell.turn_rad), math.sin(cell.turn_rad)
        cell.x, cell.y = x - half * cos - cell.y * sin, y - half * sin + cell.y * cos

    def _point(self, along: float) -> tuple[float, float, float]:
        """Point and direction at a length."""
        place = next((i for i, at in enumerate(self._at) if along <= at[-1]), len(self._at) - 1)
        at, line = self._at[place], self._lines[place]
        step = min(max(int(np.searchsorted(at, along, side="left")), 1), len(at) - 1)
        span = at[step] - at[step - 1]
        share = (along - at[step - 1]) / span if span > 0 else 0.0
        (x0, y0), (x1, y1) = line[step - 1].tolist(), line[step].tolist()
        return x0 + share * (x1 - x0), y0 + share * (y1 - y0), math.atan2(y1 - y0, x1 - x0)
