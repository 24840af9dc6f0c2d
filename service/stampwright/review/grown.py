r"""Narrow lands of a grown face, told as the places of the drawn face of which they are left.

    drawn  _________ 0.3 _________     one place: a line too thin
    grown  _ 0.4 _ 0.5 _ 0.3 _ 0.5     one place still, as thin as 0.3: the line, thin in two stretches

A maker looks at one line once, however many of its stretches the ground beside it kept thin; and a place that has got
better is never told as more places, nor a tip that has got stouter as a land that is too thin.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.thickening import enough_mm

from .widths import Stretches, Widths, first_of, summed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stampwright.plane import Axis, Pieces

    from .widths import Below

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]


class GrownWidths(Widths):
    """Local widths of a face whose thin lands were grown; `drawn` are those before."""

    def __init__(self, axis: Axis, drawn: Widths) -> None:
        super().__init__(axis)
        self._drawn = drawn

    def below(self, *limits: Below) -> list[Stretches]:
        """Find all stretches narrower than each of the limits; of lands those of one drawn stretch together.

        A land that is `enough_mm` is narrower than no limit: grown to just that, a line would be as thin all along as
        in its thinnest stretch.
        """
        eased = [lim._replace(limit_mm=enough_mm(lim.limit_mm)) if lim.in_ink else lim for lim in limits]
        pieces, limit_mm = self.cut_at(eased)
        stem, tapered = self._stems(limits, pieces)
        found, kept = self.told(pieces, limit_mm, tapered=tapered)
        own = -1 - np.arange(pieces.count)  # what has no stem is a place of its own, and so is a tip where none was
        place = np.where((stem >= 0) & (tapered | ~found.is_tip), stem, own)
        chosen = [kept & (pieces.cut == i) for i in range(len(limits))]
        return [_together(found.where(some), place[some]) for some in chosen]

    def _stems(self, limits: Sequence[Below], pieces: Pieces) -> tuple[Ints, Bools]:
        """The drawn stretch nearest to each piece of land, (count,), -1 where none is near; and whether it is no land.

        That is a tip, a whole land that runs out in points, of which its mean is told, or where none is near a corner,
        as a hair too short to be told: something as narrow was there before, since growing leaves nothing else.
        """
        axis, drawn = self.axis, self._drawn.axis
        lowest = first_of(pieces.piece, axis.low_mm[pieces.row], pieces.count)
        at = shapely.points(axis.vertices[axis.low[pieces.row[lowest]]])
        stem, tapers = np.full(pieces.count, -1), np.zeros(pieces.count, dtype=bool)
        for i, limit in enumerate(limits):
            some = np.flatnonzero(pieces.cut == i)
            if not limit.in_ink or not len(some):
                continue
            was, was_mm = self._drawn.cut_at([limit])
            were, told = self._drawn.told(was, was_mm)
            row = np.flatnonzero(told[was.piece])
            lines = np.stack([drawn.vertices[drawn.low[was.row[row]]], was.at_top[row]], axis=1)
            tree = shapely.STRtree(shapely.linestrings(lines))
            which, nearest = tree.query_nearest(at[some], max_distance=limit.limit_mm, all_matches=False)
            stem[some[which]] = piece = was.piece[row[nearest]]
            tapers[some] = True
            tapers[some[which]] = (were.is_tip | (were.least_mm == 0.0))[piece]
        return stem, tapers


def _together(found: Stretches, place: Ints) -> Stretches:
    """Stretches (k) of the same place (k,) as one: its tip if it has one, else the thinnest, with all their length."""
    order = np.lexsort((found.width_mm, ~found.is_tip, place))
    found, place = found.where(order), place[order]
    places, first, group = np.unique(place, return_index=True, return_inverse=True)
    told, count, widest = found.where(first), len(places), np.zeros(len(places))
    np.maximum.at(widest, group, found.widest_mm)
    return Stretches(
        *(told.ways, told.width_mm, told.least_mm, widest, told.at),
        *(summed(group, found.length_mm, count), told.angle_deg, summed(group, found.area_mm2, count)),
        *(told.part, np.bincount(group, minlength=count)),
    )
