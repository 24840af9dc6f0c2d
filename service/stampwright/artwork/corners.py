"""Corners of ink: how sharp each is, and those that are no corners but what rounding leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from manifold3d import CrossSection
    from numpy.typing import NDArray

    from .sections import Unit

_SPIKE_WIDTH = 4  # times what the engine of the booleans rounds to
_SPIKE = 0.01  # the sine of half an angle of 1°
_LEAST = 2  # points
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

    def spikes(self, rounded_px: float) -> NDArray[np.bool_]:
        """Which corners (n,) are tips of spikes: no wider than rounding at the end of their shorter side."""
        return (self.half < _SPIKE) & (self.half * self.shorter < _SPIKE_WIDTH * rounded_px)


class Rings(NamedTuple):
    """All points of rings in order, and the places of each one's neighbours and of each ring's first."""

    points: NDArray[np.float64]
    before: NDArray[np.intp]
    after: NDArray[np.intp]
    first: NDArray[np.intp]

    @property
    def apart(self) -> list[NDArray[np.float64]]:
        """Each ring's points (n, 2)."""
        return np.split(self.points, self.first[1:])

    def less(self, gone: NDArray[np.bool_]) -> Rings:
        """The rings without some of their points; those go of which two or fewer would be left."""
        if not gone.any():
            return self
        stops = np.cumsum(np.add.reduceat((~gone).astype(np.intp), self.first))
        return rings_of([ring for ring in np.split(self.points[~gone], stops[:-1]) if len(ring) > _LEAST])


def corners_of(ink: CrossSection, *, below: float, blunt_px: float) -> Corners:
    """The corners of ink whose sine of half the angle is below a bound.

    An edge shorter than `blunt_px` between longer ones counts as a point: hairs may end in it.
    """
    rings = rings_of(ink.to_polygons())
    if blunt_px > 0:
        short = np.hypot(*(rings.points[rings.after] - rings.points).T) < blunt_px
        rings = rings.less(short & ~short[rings.before] & ~short[rings.after])
    return Corners.of(rings, below=below)


def rings_of(rings: Sequence[NDArray[np.float64]]) -> Rings:
    """Lay rings one after the other."""
    points = np.concatenate([np.zeros((0, 2)), *rings])
    stops = np.cumsum([len(ring) for ring in rings], dtype=np.intp)
    first = np.concatenate([np.zeros(1, dtype=np.intp), stops])[:-1]
    before, after = (np.arange(len(points)) + step for step in (-1, 1))
    before[first], after[stops - 1] = stops - 1, first
    return Rings(points, before, after, first)


def without_spikes(ink: CrossSection, unit: Unit) -> CrossSection:
    """Ink [px] without the lines of no width that rounding leaves where boundaries coincide."""
    rings = rings_of(ink.to_polygons())
    for layer in range(_LAYERS):
        corners = Corners.of(rings, below=_SPIKE)
        spikes = np.zeros(len(rings.points), dtype=bool)
        spikes[corners.at[corners.spikes(unit.rounded_px)]] = True
        if not spikes.any():
            return unit.on_page(unit.filled(rings.apart, "nonzero")) if layer else ink
        rings = rings.less(spikes & ~spikes[rings.before])  # of neighbours one goes: the other may then be no spike
    return unit.on_page(unit.filled(rings.apart, "nonzero"))
