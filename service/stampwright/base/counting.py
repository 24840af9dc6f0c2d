"""Places within groups that lie one after the other in one array."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


def counted(many: NDArray[np.integer]) -> NDArray[np.int64]:
    """0, 1, ... for each of the groups of so `many`, (sum,)."""
    return np.asarray(np.arange(int(many.sum())) - np.repeat(np.cumsum(many) - many, many))
