"""Thin ribs as seen from their walls: what the wall on the far side fails to move, asked of the near one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .slopes import Round
    from .walls import Owned, Samples, Walls
    from .want import Wants

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_NEAR_CORNER = 0.02  # of the least width; twice as far off a foot is wholly on its own wall


class Facing:
    """The feet across each thin rib, of all samples (s) that such a rib owns."""

    def __init__(  # noqa: PLR0913  the parts of one drawing
        self, walls: Walls, wants: Wants, samples: Samples, *, ink: Owned, feet: Floats, rounds: Round
    ) -> None:
        self._walls, self._samples, self._round = walls, samples, rounds
        axis = walls.axis
        thin = wants.rib & (axis.low_mm < wants.least_mm / 2)
        counts = self._long_enough(_NEAR_CORNER * wants.least_mm)
        self._at, column = np.nonzero((ink.row >= 0) & thin[np.maximum(ink.row, 0)] & counts)
        row, side, share = ink.row[self._at, column], 1 - ink.side[self._at, column], ink.share[self._at, column]
        ends = feet[row, :, side]
        self._across: Floats = ends[:, 0] + share * (ends[:, 1] - ends[:, 0])
        self._want = wants.at(axis, row, share)
        self._site = axis.site[row, side]
        # a foot at a corner stands on both its walls, and turning the drawing may put it on either
        from_start = self._across - walls.base[self._site]
        to_corners = np.column_stack([from_start, walls.length_mm[self._site] - from_start])
        self._at_corner: Floats = np.clip(2 - to_corners / (_NEAR_CORNER * wants.least_mm), 0.0, 1.0)

    def lacks(self, by: Floats) -> Floats:
        """What the far side of the rib lacks of its want, at each sample; between corners that of the nearest rib."""
        there = np.interp(self._across, self._samples.position, by)
        corner = np.maximum(self._at_corners(by)[self._site] - there[:, None], 0.0)
        there += (self._at_corner * corner).max(axis=1)
        lack = np.full(len(by), -1.0)
        np.maximum.at(lack, self._at, self._want - there)
        return np.maximum(self._round.nearest_known(lack, known=lack > -1.0), 0.0)

    def _at_corners(self, by: Floats) -> Floats:
        """Move of the corners at the start and the end of each wall, (k, 2): the larger of the two walls'.

        A crumb has the same at both its ends: which of them is the corner is a matter of the grid.
        """
        samples, walls = self._samples, self._walls
        end = np.maximum(by[samples.last], by[samples.first][walls.next])
        crumb = np.flatnonzero(walls.crumb)
        end[crumb] = end[walls.previous[crumb]] = np.maximum(end[crumb], end[walls.previous[crumb]])
        start = end[walls.previous]
        return np.column_stack([start, end])

    def _long_enough(self, least_mm: float) -> Bools:
        """Whether what lies before and after each sample on its wall, (s, 2), is no crumb that a turn would lose."""
        samples = self._samples
        run = np.where(samples.wall[1:] == samples.wall[:-1], np.diff(samples.position), 0.0)
        least = np.minimum(least_mm, self._walls.length_mm[samples.wall] / 2)
        return np.column_stack([np.append(0.0, run) >= least, np.append(run, 0.0) >= least])
