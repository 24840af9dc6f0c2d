"""How much of the cutter's rim is in metal along a path, and what feed keeps the chip at its wanted thickness."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SPOKES = 24  # samples of the leading half of the rim, 7.5° apart
SLOT_RAD = math.radians(150)  # beyond this arc the cut counts as a slot
SLOT_FEED_SHARE = 0.5  # in place of half the axial depth, which a passing bend cannot have
_SAMPLE_SHARE = 0.15  # of the diameter, between samples along the path


def samples_along(lines: NDArray[np.object_], diameter_mm: float) -> tuple[Floats, Floats, Floats]:
    """Middles (n, 2), unit headings (n, 2) and lengths (n,) of the steps in which lines are looked at."""
    length = shapely.length(lines)
    counts = np.maximum(1, np.ceil(length / (_SAMPLE_SHARE * diameter_mm))).astype(np.int64)
    line = np.repeat(np.arange(len(lines)), counts + 1)
    nth = np.arange(len(line)) - np.repeat(np.cumsum(counts + 1) - counts - 1, counts + 1)
    points = shapely.get_coordinates(shapely.line_interpolate_point(lines[line], nth / counts[line], normalized=True))
    within = line[1:] == line[:-1]
    steps, middles = np.diff(points, axis=0)[within], ((points[1:] + points[:-1]) / 2)[within]
    chords = np.maximum(np.hypot(*steps.T), 1e-12)
    return middles, steps / chords[:, None], np.repeat(length / counts, counts)


def rim_in_metal(
    middles: Floats, headings: Floats, *, radius_mm: float, metal: shapely.Geometry, swept: Iterable[shapely.Geometry]
) -> tuple[Floats, Floats]:
    """Arc in metal [rad] and greatest chip over feed per tooth [-] at each sample.

    A tooth at angle θ from the heading takes a chip of fz cos θ. Metal is what `metal` holds and none of `swept`, the
    likeliest first, has taken.
    """
    theta = (np.arange(SPOKES) + 0.5) / SPOKES * math.pi - math.pi / 2
    turned = np.stack([np.cos(theta), np.sin(theta)], axis=-1)
    rim_x = middles[:, :1] + radius_mm * (headings[:, :1] * turned[:, 0] - headings[:, 1:] * turned[:, 1])
    rim_y = middles[:, 1:] + radius_mm * (headings[:, 1:] * turned[:, 0] + headings[:, :1] * turned[:, 1])
    shapely.prepare(metal)
    cutting = shapely.contains_xy(metal, rim_x, rim_y)
    for area in swept:
        shapely.prepare(area)
        left = np.nonzero(cutting)
        cutting[left] = ~shapely.contains_xy(area, rim_x[left], rim_y[left])
    arc = cutting.mean(axis=1) * math.pi
    return arc, np.where(cutting, np.cos(theta), 0.0).max(axis=1)


def feed_share(arc: Floats, chip: Floats, *, wanted_chip: float, slots: bool) -> Floats:
    """Share of the set feed that keeps the chip: less where the rim bites deeper than reckoned; half in `slots`."""
    share = np.minimum(1.0, wanted_chip / np.maximum(chip, 1e-9))
    return np.where(slots & (arc > SLOT_RAD), SLOT_FEED_SHARE * share, share)
