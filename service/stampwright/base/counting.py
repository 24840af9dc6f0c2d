"""Rows of arrays: chosen, multiplied, counted in the groups they lie in one after the other, and cut into these."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Number = TypeVar("Number", bound=np.generic)


def picked(of: NDArray[Number], chosen: NDArray[Any]) -> NDArray[Number]:
    """`of[chosen]`, by numbers of rows or by a mask (n,): indexing takes ten times as long where rows are short."""
    return of.compress(chosen, axis=0) if chosen.dtype == bool else of.take(chosen, axis=0)


def columns(of: NDArray[Number], chosen: NDArray[Any]) -> NDArray[Number]:
    """Rows of an array (n, ...) of these numbers (k,), turned over: (numbers in a row, k).

    What is reckoned for each row with numbers of its own takes a fifth of the time so, where rows are short.
    """
    return np.ascontiguousarray(of.take(chosen, axis=0).reshape(len(chosen), math.prod(of.shape[1:])).T)


def counted(many: NDArray[np.integer]) -> NDArray[np.int64]:
    """0, 1, ... for each of the groups of so `many`, (sum,)."""
    return np.asarray(np.arange(int(many.sum())) - np.repeat(np.cumsum(many) - many, many))


def dot(one: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64]:
    """Products of vectors (..., 2): a sum over so short an axis takes three times as long."""
    return np.asarray(one[..., 0] * other[..., 0] + one[..., 1] * other[..., 1])


def cut_up(of: NDArray[Number], many: NDArray[np.integer]) -> list[NDArray[Number]]:
    """Groups of so `many` rows each, one after the other: `np.split` takes six times as long."""
    return [of[start:end] for start, end in pairwise([0, *np.cumsum(many).tolist()])]
