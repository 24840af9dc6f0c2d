"""Corners of ink: how sharp each is, and those that are no corners but what rounding leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.plane import section_of_rings

if TYPE_CHECKING:
    from collections.abc import Sequence

    from manifold3d import CrossSection
    from numpy.typing import NDArray

ROUNDED_PX = 1e-8  # what the engine of the booleans rounds coordinates to
_SPIKE_PX = 4 * ROUNDED_PX
_SPIKE = 0.01  # the sine of half an angle of 1°
_LAYERS = 8  # of spikes on spikes


class Corners(NamedTuple):
    """The corners of rings in order: n points, the sine of half the angle between the sides that meet in each."""

    points: NDArray[np.float64]
    half: NDArray[np.float64]
    ahead: NDArray[np.float64]  # (n, 2): the sum of the unit vectors along both sides
    shorter: NDArray[np.float64]  # (n,): the length of the shorter side
    before: NDArray[np.intp]  # (n,): the corner before
    first: NDArray[np.intp]  # (r,): of each ring

    @classmethod
    def of(cls, rings: Sequence[NDArray[np.float64]]) -> Corners:
        """Of rings, each (n, 2), that do not repeat their first point."""
        counts = np.array([len(ring) for ring in rings], dtype=np.intp)
        points = np.concatenate([np.zeros((0, 2)), *rings])
        first = np.cumsum(counts) - counts
        before, after = (np.arange(len(points)) + step for step in (-1, 1))
        before[first], after[first + counts - 1] = first + counts - 1, first
        sides = points[after] - points, points[before] - points
        lengths = [np.hypot(*side.T) for side in sides]
        with np.errstate(invalid="ignore", divide="ignore"):
            u, v = (side / length[:, None] for side, length in zip(sides, lengths, strict=True))
        half = np.hypot(*(u - v).T) / 2  # the sine of half the angle between unit vectors is half the way between them
        return cls(points, half, u + v, np.minimum(*lengths), before, first)

    @property
    def spikes(self) -> NDArray[np.bool_]:
        """Which corners (n,) are tips of spikes: no wider than rounding at the end of their shorter side."""
        return (self.half < _SPIKE) & (self.half * self.shorter < _SPIKE_PX)


def without_spikes(ink: CrossSection) -> CrossSection:
    """Ink without the lines of no width that rounding leaves where boundaries coincide."""
    rings: Sequence[NDArray[np.float64]] = ink.to_polygons()
    for layer in range(_LAYERS):
        corners = Corners.of(rings)
        spikes = corners.spikes
        if not spikes.any():
            return section_of_rings(rings, "nonzero") if layer else ink
        kept = ~spikes | spikes[corners.before]  # of neighbours one goes: the other may be no spike without it
        stops = np.cumsum(np.add.reduceat(kept.astype(np.intp), corners.first))
        rings = [ring for ring in np.split(corners.points[kept], stops[:-1]) if len(ring) > 2]
    return section_of_rings(rings, "nonzero")
