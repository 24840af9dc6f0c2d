"""The job's cutters as the review sees them: their radius where it matters, and whether they reach the floor."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from stampwright.base import JobError
from stampwright.catalogue import CUTTERS

from . import rules

if TYPE_CHECKING:
    from stampwright.catalogue import Cutter
    from stampwright.job import Head

_DEEP_MM = 1e-9  # a length of cut equal to the relief reaches the floor


@dataclass(frozen=True, slots=True)
class Judged:
    """A cutter at full depth. What prints is judged at the face, by the widest part of the cutter below it."""

    cutter: Cutter
    face_mm: float  # radius at the face
    floor_mm: float  # radius at the floor
    is_deep: bool  # its cutting length reaches the floor

    @property
    def rises(self) -> bool:
        """Whether it goes on, less deep, into ground that is too narrow for it at full depth: a cone that is deep."""
        return self.is_deep and self.cutter.shape == "pointed"

    def grooved_mm(self, width_mm: float) -> float:
        """How deep it goes where two walls are so far apart, too near for full depth; 0 if it does not rise [mm]."""
        if not self.rises:
            return 0.0
        slope = math.tan(math.radians(self.cutter.half_angle_deg))
        return max(width_mm / 2 - self.cutter.tip_mm / 2, 0.0) / slope


@dataclass(frozen=True, slots=True)
class Rack:
    """All cutters, in the job's order, and the one that decides what the rack as a whole reaches.

    What a larger disc reaches, a smaller one reaches as well: openings nest. So the finest cutter that is long enough
    decides; when none is, the finest of all, and the review says so.
    """

    judged: tuple[Judged, ...]
    finest: Judged
    relief_mm: float
    foot_mm: float  # what a drafted wall gains from face to floor

    @property
    def passes_mm(self) -> float:
        """Least gap at the face that the finest cutter passes at full depth [mm]."""
        return 2 * (self.finest.face_mm + self.foot_mm)

    @property
    def finest_says(self) -> str:
        """The finest cutter for a sentence."""
        short = any(j.face_mm < self.finest.face_mm for j in self.judged)
        return f"the finest cutter{' that reaches the floor' if short else ''}, {self.finest.cutter.key},"

    @property
    def too_short(self) -> tuple[Judged, ...]:
        """Finer cutters that do not reach the floor, in the job's order."""
        return tuple(j for j in self.judged if not j.is_deep and j.face_mm < self.finest.face_mm)

    def grooves_deepest(self, width_mm: float) -> Judged:
        """The cutter that rises the deepest where two walls are so far apart; the finest where none does."""
        return max((self.finest, *self.judged), key=lambda judged: judged.grooved_mm(width_mm))

    @property
    def any_is_deep(self) -> bool:
        """Whether a cutter reaches the floor at all."""
        return self.finest.is_deep


def rack_of(cutters: tuple[Cutter, ...], *, relief_mm: float, draft_deg: float, head: Head) -> Rack:
    """Judge the cutters at a relief. Raises `JobError` when even the finest is larger than the head."""
    judged = tuple(
        Judged(c, c.radius_at_mm(relief_mm), c.radius_at_mm(0.0), c.length_of_cut_mm >= relief_mm - _DEEP_MM)
        for c in cutters
    )
    finest = min(judged, key=lambda j: (not j.is_deep, j.face_mm))
    if 2 * finest.face_mm > min(head.width_mm, head.height_mm):
        detail = f"even the finest cutter, {finest.cutter.key}, is wider than the head; name a smaller one"
        raise JobError.at("cutter-too-large", detail, pointer="/job/cutters")
    return Rack(judged, finest, relief_mm, relief_mm * math.tan(math.radians(draft_deg)))


def is_sold(diameter_mm: float, *, relief_mm: float) -> bool:
    """Whether shops sell a flat cutter so fine that cuts so deep."""
    return diameter_mm >= max(rules.FINEST_SOLD_MM, relief_mm / rules.LONGEST_CUT_DIAMETERS)


@lru_cache(maxsize=64)
def _flats(relief_mm: float) -> tuple[Cutter, ...]:
    """The catalogue's flat cutters that cut to full depth, the largest first."""
    deep = (c for c in CUTTERS.values() if c.shape == "flat" and c.length_of_cut_mm >= relief_mm)
    return tuple(sorted(deep, key=lambda c: -c.diameter_mm))


def flats_below(diameter_mm: float, *, relief_mm: float) -> list[Cutter]:
    """Of those cutters the ones below a diameter, the largest first."""
    return [c for c in _flats(relief_mm) if c.diameter_mm < diameter_mm]


def flat_that_passes(width_mm: float, *, relief_mm: float) -> str | None:
    """The largest of them that enters a gap of `width_mm`, by key; None without one."""
    return next((c.key for c in _flats(relief_mm) if c.diameter_mm <= width_mm), None)
