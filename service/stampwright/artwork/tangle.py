"""What a plane sweep over rings would cost, judged before it is begun: the engine in C cannot be stopped.

Two things make it slow: crossings, each a new corner; and edges that lie side by side across the sweep, for each edge
is sought among all those that the sweep line meets. A drawing of 40 kB can hold millions of either.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.quantities import MM_PER_CSS_PX

from .limits import LIMITS, keep_within

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

_DIGITS = 6  # px: the engine rounds too, and centres of an arc that differ by 1e-15 cross each other at random
_TESTS = 5e5  # pairs of edges tested for the estimate, whose boxes meet; some 50 ms
_MANY = 4096  # edges of the sample: half the edges of a crest cross none, and a hundredth a hundred
_AT_ONCE = 1e6  # pairs at most: whatever edges lie at the places that are sampled


def keep_untangled(rings: Sequence[NDArray[np.float64]], *, spent: float = 0.0) -> float:
    """Refuse rings (in px of the page) that would cost too much; return the pairs of edges side by side among them.

    `spent`: pairs of earlier sweeps of the same drawing. Raises `TooComplex`.
    """
    if not rings:
        return 0.0
    starts = np.concatenate(rings)
    keep_within("reach", float(np.abs(starts).max(initial=0.0)) * MM_PER_CSS_PX)
    if len(starts) ** 2 / 2 <= LIMITS["crossings"].most:  # even if each edge met each other
        return 0.0
    ends = np.concatenate([part for ring in rings for part in (ring[1:], ring[:1])])
    beside = side_by_side(starts[:, 1], ends[:, 1])
    keep_within("beside", spent + beside)
    most = LIMITS["crossings"].most
    if beside > most and side_by_side(starts[:, 0], ends[:, 0]) > most:  # else there cannot be more
        keep_within("crossings", crossings(np.round(starts, _DIGITS), np.round(ends, _DIGITS)))
    return beside


def side_by_side(a: NDArray[np.float64], b: NDArray[np.float64]) -> float:
    """Number of pairs of edges whose extents [a, b] along one axis overlap, exactly, in n log n."""
    low, high = np.sort(np.minimum(a, b)), np.sort(np.maximum(a, b))
    count = len(a)
    return float(np.searchsorted(low, high, side="right").sum()) - count * (count + 1) / 2


def crossings(starts: NDArray[np.float64], ends: NDArray[np.float64]) -> float:
    """Estimate how often edges (n, 2) → (n, 2) cross each other, from a fixed sample tested against all."""
    lines = shapely.linestrings(np.stack([starts, ends], axis=1))
    tree, count = shapely.STRtree(lines), len(lines)
    sample = np.unique(np.linspace(0, count - 1, min(count, _MANY)).astype(np.int64))
    parts = int(np.ceil(len(sample) * count / _AT_ONCE))
    looked = tested = crossed = 0
    for nth in range(parts):  # each spread over all
        if tested >= _TESTS:
            break
        edges = sample[nth::parts]
        one, other = tree.query(lines[edges])
        p, q, a, b = starts[edges][one], ends[edges][one], starts[other], ends[other]
        apart = (_turn(p, q, a) * _turn(p, q, b) < 0) & (_turn(a, b, p) * _turn(a, b, q) < 0)
        looked, tested, crossed = looked + len(edges), tested + len(one), crossed + int(apart.sum())
    return crossed * count / max(looked, 1) / 2


def _turn(a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64]) -> NDArray[np.float64]:
    return (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
