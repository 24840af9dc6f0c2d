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
    """The sharp corners of rings: n points, the sine of half the angle between the sides that meet in each."""

    at: NDArray[np.intp]  # (n,): among the points of all rings in order
    points: NDArray[np.float64]
    half: NDArray[np.float64]
    ahead: NDArray[np.float64]  # (n, 2): the sum of the unit vectors along both sides
    shorter: NDArray[np.float64]  # (n,): the length of the shorter side
    ends: NDArray[np.float64]  # (2, n, 2): the points where both sides end

    @classmethod
    def of(cls, rings: Rings, *, below: float) -> Corners:
        """Those of rings whose sine of half the angle is below a bound."""
        after, before = (rings.points[each] - rings.points for each in (rings.after, rings.before))
        squares = np.einsum("ij,ij->i", after, after) * np.einsum("ij,ij->i", before, before)
        cosine = 1 - 2 * below**2  # of the whole angle
        at = np.flatnonzero(np.einsum("ij,ij->i", after, before) > cosine * np.sqrt(squares))
        sides = after[at], before[at]
        lengths = [np.hypot(*side.T) for side in sides]
        u, v = (side / length[:, None] for side, length in zip(sides, lengths, strict=True))
        half = np.hypot(*(u - v).T) / 2  # the sine of half the angle between unit vectors is half the way between them
        ends = np.array([rings.points[rings.after[at]], rings.points[rings.before[at]]])
        return cls(at, rings.points[at], half, u + v, np.minimum(*lengths), ends)

    @property
    def spikes(self) -> NDArray[np.bool_]:
        """Which corners (n,) are tips of spikes: no wider than rounding at the end of their shorter side."""
        return (self.half < _SPIKE) & (self.half * self.shorter < _SPIKE_PX)


class Rings(NamedTuple):
    """All points of rings in order, and the places of each one's neighbours and of each ring's first."""

    points: NDArray[np.float64]
    before: NDArray[np.intp]
    after: NDArray[np.intp]
    first: NDArray[np.intp]


def corners_of(ink: CrossSection, *, below: float) -> Corners:
    """The corners of ink whose sine of half the angle is below a bound."""
    return Corners.of(rings_of(ink.to_polygons()), below=below)


def rings_of(rings: Sequence[NDArray[np.float64]]) -> Rings:
    """Lay rings one after the other."""
    points = np.concatenate([np.zeros((0, 2)), *rings])
    stops = np.cumsum([len(ring) for ring in rings], dtype=np.intp)
    first = np.concatenate([np.zeros(1, dtype=np.intp), stops])[:-1]
    before, after = (np.arange(len(points)) + step for step in (-1, 1))
    before[first], after[stops - 1] = stops - 1, first
    return Rings(points, before, after, first)


def without_spikes(ink: CrossSection) -> CrossSection:
    """Ink without the lines of no width that rounding leaves where boundaries coincide."""
    contours: Sequence[NDArray[np.float64]] = ink.to_polygons()
    for layer in range(_LAYERS):
        rings = rings_of(contours)
        corners = Corners.of(rings, below=_SPIKE)
        spikes = np.zeros(len(rings.points), dtype=bool)
        spikes[corners.at[corners.spikes]] = True
        if not spikes.any():
            return section_of_rings(contours, "nonzero") if layer else ink
        kept = ~spikes | spikes[rings.before]  # of neighbours one goes: the other may be no spike without it
        stops = np.cumsum(np.add.reduceat(kept.astype(np.intp), rings.first))
        contours = [ring for ring in np.split(rings.points[kept], stops[:-1]) if len(ring) > 2]
    return section_of_rings(contours, "nonzero")
