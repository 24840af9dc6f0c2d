"""Shares of the outline that print where they were drawn, by cutter and deviation: each reckoned once, many in a pass.

Of a mark of few walls a pass over the axis costs by its calls and not by its rows. So what a review is likely to ask
about, after the cutters of the rack, goes along with these.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .faithful import faithful_shares
from .uncut import uncut_by

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    from .uncut import Uncut

    Floats = NDArray[np.float64]

ROWS_AT_ONCE = 40_000
"""Radii times rows of the axis in one pass: of small marks many radii, lest the passes cost more."""


class Shares:
    """What is known of one axis."""

    def __init__(self, axis: Axis) -> None:
        self._axis = axis
        self._known: dict[tuple[float, float], float] = {}

    @property
    def at_once(self) -> int:
        """About how many radii to ask in one pass."""
        return max(1, ROWS_AT_ONCE // len(self._axis.low))

    def of(self, asked: Floats) -> Floats:
        """Share (q,) that discs of some radii leave within some deviations, both in `asked` (2, q)."""
        pairs = list(zip(*asked.tolist(), strict=True))
        if new := [pair for pair in pairs if pair not in self._known]:
            radii_mm, deviations_mm = np.array(new).T
            self.learn(uncut_by(self._axis, radii_mm), deviations_mm)
        return np.array([self._known[pair] for pair in pairs])

    def learn(self, uncut: Uncut, deviations_mm: Floats) -> None:
        """Take in what some discs leave, by a deviation for each of their radii (q,)."""
        pairs = zip(uncut.radii_mm.tolist(), deviations_mm.tolist(), strict=True)
        self._known |= zip(pairs, faithful_shares(uncut, deviations_mm).tolist(), strict=True)
