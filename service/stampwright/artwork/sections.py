"""Areas of the page in px, made by the engine of the booleans in units of its own: it rounds to a part of its unit."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stampwright.plane import section_of_rings

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from manifold3d import CrossSection
    from numpy.typing import NDArray

    from stampwright.plane import Rule

_LEAST_PX = 2.0**-12  # of a smaller unit the page's 100 m would be too many for the engine's whole numbers
_ROUNDED = 1e-8  # of a unit: what the engine rounds coordinates to


class Unit:
    """The engine's unit of length where curves are kept within a chord error: a power of two near it, so exact."""

    def __init__(self, sagitta_px: float) -> None:
        """Choose it; hairs between boundaries that all but coincide are 1e-7 of a chord error wide, and narrower."""
        self._px = 2.0 ** math.floor(math.log2(min(max(sagitta_px, _LEAST_PX), 1.0)))

    @property
    def rounded_px(self) -> float:
        """What the engine rounds coordinates to."""
        return self._px * _ROUNDED

    def filled(self, rings: Sequence[NDArray[np.float64]], rule: Rule) -> CrossSection:
        """Fill rings in px by a rule, in the engine's units."""
        return section_of_rings([ring / self._px for ring in rings], rule)

    def on_page(self, section: CrossSection) -> CrossSection:
        """Take an area from the engine's units to px."""
        return section.scale((self._px, self._px))
