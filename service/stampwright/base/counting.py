"""Rows of arrays: chosen from them, and counted in the groups that they lie in one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Number = TypeVar("Number", bound=np.generic)


def picked(of: NDArray[Number], chosen: NDArray[Any]) -> NDArray[Number]:
    """`of[chosen]`, by numbers of rows or by a mask (n,): indexing takes ten times as long where rows are short."""
    return of.compress(chosen, axis=0) if chosen.dtype == bool else of.take(chosen, axis=0)


def counted(many: NDArray[np.integer]) -> NDArray[np.int64]:
    """0, 1, ... for each of the groups of so `many`, (sum,)."""
    return np.asarray(np.arange(int(many.sum())) - np.repeat(np.cumsum(many) - many, many))
