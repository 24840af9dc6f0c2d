"""How much of the cutter's rim is in metal along a path, and what feed keeps the chip at its wanted thickness."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely
from scipy.spatial import cKDTree

from stampwright.base.counting import counted, picked
from stampwright.plane import Strips

from .clip import side_by_side

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

SPOKES = 24  # samples of the leading half of the rim, 7.5° apart
SLOT_RAD = math.radians(150)  # beyond this arc the cut counts as a slot
SLOT_FEED_SHARE = 0.5  # in place of half the axial depth, which a passing bend cannot have
_THETA = (np.arange(SPOKES) + 0.5) / SPOKES * math.pi - math.pi / 2
_COS, _SIN = np.cos(_THETA), np.sin(_THETA)
_THICKEST_FIRST, _SIDES_FIRST = np.argsort(-_COS, kind="stable"), np.argsort(_COS, kind="stable")
_AT_ONCE = 2000  # samples: each meets about 70 places where others were
_SIDE_BY_SIDE = 8000  # samples: the metal around these alone is indexed while they are asked about
_FEW = 64  # samples: so many are asked about all their spokes at once, more about one spoke after the other
_SAMPLE_SHARE = 0.2  # of the diameter, between samples along the path


class Steps(NamedTuple):
    """Steps in which lines are looked at (n), and the places where these begin and end (m), each with its line."""

    middles: Floats  # (n, 2)
    headings: Floats  # (n, 2), of length 1
    lengths: Floats
    line: Ints
    places: Floats  # (m, 2)
    place_line: Ints


def samples_along(lines: NDArray[np.object_], diameter_mm: float) -> Steps:
    """Cut lines into even steps of 0.2 diameters at most."""
    length = shapely.length(lines)
    counts = np.maximum(1, np.ceil(length / (_SAMPLE_SHARE * diameter_mm))).astype(np.int64)
    line = np.repeat(np.arange(len(lines)), counts + 1)
    points = _along(lines, line, counted(counts + 1) / counts.take(line))
    within = line[1:] == line[:-1]
    steps, middles = picked(np.diff(points, axis=0), within), picked((points[1:] + points[:-1]) / 2, within)
    headings = steps / np.maximum(np.hypot(*steps.T), 1e-12)[:, None]
    return Steps(middles, headings, np.repeat(length / counts, counts), line[1:][within], points, line)


def _along(lines: NDArray[np.object_], line: Ints, share: Floats) -> Floats:
    """Points at these shares of the length of these lines: places on one way through all lines, one after the other."""
    vertices, owner = shapely.get_coordinates(lines, return_index=True)
    steps = np.hypot(*np.diff(vertices, axis=0).T)
    steps[owner[1:] != owner[:-1]] = 1.0  # from a line to the next: nobody stops there
    at = np.concatenate([[0.0], np.cumsum(steps)])
    first = np.searchsorted(owner, np.arange(len(lines)))
    last = np.append(first[1:], len(owner)) - 1
    wanted = at[first[line]] + share * (at[last] - at[first])[line]
    return np.column_stack([np.interp(wanted, at, axis) for axis in vertices.T])


def rim_in_metal(  # noqa: PLR0913  what is cut, with what, after what, by keyword
    steps: Steps,
    *,
    radius_mm: float,
    metal: shapely.Geometry,
    age: Ints,
    before: tuple[Floats, Ints],
    wanted_chip: float = 0.0,
) -> tuple[Floats, Floats]:
    """Arc in metal [rad] and greatest chip over feed per tooth [-] in each step.

    A tooth at angle θ from the heading takes a chip of fz cos θ. Metal is what `metal` holds and no disc has taken: a
    disc at a place of `before`, (m, 2) with ages (m,), takes what it covers from the rims of steps of a later `age`.

    With a `wanted_chip`, the rim is asked about only as far as it may change the feed: all of it where it may make a
    slot, elsewhere from the thickest chip down to the first in metal; the rest counts as metal.
    """
    cutting = _not_taken(steps, radius_mm, age, *before)
    for some, near in side_by_side(metal, np.tile(steps.middles, 2), radius_mm, at_once=_SIDE_BY_SIDE):
        own, asked = cutting[some], _Asked(steps.middles[some], steps.headings[some], radius_mm, near)
        _down_to_metal(own, asked, wanted_chip)
        _up_to_slots(own, asked, all_round=not wanted_chip)
        cutting[some] = own
    chips = _COS[_THICKEST_FIRST]
    thickest = chips[cutting[:, _THICKEST_FIRST].argmax(axis=1)]
    return cutting.mean(axis=1) * math.pi, np.where(cutting.any(axis=1), thickest, 0.0)


def _not_taken(steps: Steps, radius_mm: float, age: Ints, places: Floats, ages: Ints) -> NDArray[np.bool_]:
    """Which spokes of each step, (n, `SPOKES`), no disc of an earlier age covers."""
    left = np.ones((len(steps.middles), SPOKES), dtype=bool)
    earliest = ages < age.max(initial=0)  # of what the last ones cut none finds anything taken
    places, ages = picked(places, earliest), picked(ages, earliest)
    tree = cKDTree(places)
    for start in range(0, len(left) if len(places) else 0, _AT_ONCE):
        part = slice(start, start + _AT_ONCE)
        pairs = cKDTree(steps.middles[part]).sparse_distance_matrix(tree, 2 * radius_mm, output_type="ndarray")
        earlier = ages.take(pairs["j"]) < age[part].take(pairs["i"])
        sample, place, away_mm = (pairs[of].compress(earlier) for of in "ijv")
        vectors = picked(places, place) - picked(steps.middles[part], sample)
        ahead, aside = _in_frame(vectors, picked(steps.headings[part], sample))
        left[part] = ~_covered(sample, np.arctan2(aside, ahead), away_mm / radius_mm, len(left[part]))
    return left


class _Asked:
    """Which places of the rim lie in metal."""

    def __init__(self, middles: Floats, headings: Floats, radius_mm: float, metal: shapely.Geometry) -> None:
        self.middles, self.headings, self.radius_mm, self.metal = middles, headings, radius_mm, Strips(metal)

    def in_metal(self, sample: Ints, spoke: Ints) -> NDArray[np.bool_]:
        ahead, aside = self.radius_mm * _COS.take(spoke), self.radius_mm * _SIN.take(spoke)
        (x, y), (u, v) = picked(self.middles, sample).T, picked(self.headings, sample).T
        return self.metal.hold(x + ahead * u - aside * v, y + ahead * v + aside * u)


def _down_to_metal(cutting: NDArray[np.bool_], asked: _Asked, wanted_chip: float) -> None:
    """Strike off from each sample's rim what takes the thickest chip until that is in metal, or thin enough.

    Where the very thickest is not, every other spoke tells first whether any is: along a wall mostly none.
    """
    spokes = _THICKEST_FIRST[_COS[_THICKEST_FIRST] > wanted_chip]
    sample = np.arange(len(cutting))
    for nth, spoke in enumerate(spokes):
        if nth and len(sample) <= _FEW:
            before, hit = _asked_at_once(cutting, sample, asked, spokes[nth:])
            cutting[np.ix_(sample, spokes[nth:])] = before & np.logical_or.accumulate(hit, axis=1)
            return
        hit = cutting[sample, spoke]
        hit[hit] = asked.in_metal(sample[hit], np.full(int(hit.sum()), spoke))
        cutting[sample, spoke] = hit
        sample = sample[~hit]
        if nth == 0:
            sample = _with_any(cutting, sample, asked, np.sort(spokes)[::2])
            free = np.setdiff1d(np.flatnonzero(~hit), sample, assume_unique=True)
            cutting[np.ix_(free, spokes)] = False


def _with_any(cutting: NDArray[np.bool_], sample: Ints, asked: _Asked, spokes: Ints) -> Ints:
    """Samples that are in metal at any of these spokes."""
    return sample[_asked_at_once(cutting, sample, asked, spokes)[1].any(axis=1)]


def _asked_at_once(
    cutting: NDArray[np.bool_], sample: Ints, asked: _Asked, spokes: Ints
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which of these spokes count as in metal so far, (samples, spokes), and which of them are."""
    before = cutting[np.ix_(sample, spokes)]
    nth, which = np.nonzero(before)
    hit = before.copy()
    hit[before] = asked.in_metal(sample.take(nth), spokes.take(which))
    return before, hit


def _up_to_slots(cutting: NDArray[np.bool_], asked: _Asked, *, all_round: bool) -> None:
    """Strike off the rest of what is not in metal where it may yet be a slot, from the sides on; or `all_round`."""
    if all_round:
        cutting[cutting] = asked.in_metal(*np.nonzero(cutting))
        return
    sample = np.arange(len(cutting))
    for nth, spoke in enumerate(_SIDES_FIRST):
        in_metal = picked(cutting, sample).sum(axis=1)
        sample, in_metal = (of[in_metal * math.pi > SPOKES * SLOT_RAD] for of in (sample, in_metal))
        if len(sample) <= _FEW:
            spokes = _SIDES_FIRST[nth:]
            before, hit = _asked_at_once(cutting, sample, asked, spokes)
            struck = np.cumsum(before & ~hit, axis=1)
            left = np.column_stack([in_metal, in_metal[:, None] - struck[:, :-1]])  # as each spoke is come to
            cutting[np.ix_(sample, spokes)] = hit | before & (left * math.pi <= SPOKES * SLOT_RAD)
            return
        hit = cutting[sample, spoke]
        hit[hit] = asked.in_metal(sample[hit], np.full(int(hit.sum()), spoke))
        cutting[sample, spoke] = hit


def _covered(sample: Ints, toward: Floats, radii_apart: Floats, count: int) -> NDArray[np.bool_]:
    """Which spokes of each sample, (count, `SPOKES`), lie in discs of the same radius so far away in these directions.

    Two circles of radius r, d apart, overlap over acos(d / 2r) to both sides of the line between their centres.
    """
    half = np.arccos(np.minimum(radii_apart / 2, 1.0))
    first, last = (
        np.clip(np.ceil((toward + side * half) * SPOKES / math.pi + (SPOKES - 1) / 2), 0, SPOKES) for side in (-1, 1)
    )
    row, size = sample * (SPOKES + 1), count * (SPOKES + 1)
    begun = np.bincount(row + first.astype(np.int64), minlength=size)
    begun -= np.bincount(row + last.astype(np.int64), minlength=size)
    return np.asarray(begun.reshape(count, -1).cumsum(axis=1)[:, :SPOKES] > 0)


def _in_frame(vectors: Floats, headings: Floats) -> tuple[Floats, Floats]:
    # without a sign of 0: what lies at the very place is no way behind
    ahead = vectors[:, 0] * headings[:, 0] + vectors[:, 1] * headings[:, 1] + 0.0
    return ahead, headings[:, 0] * vectors[:, 1] - headings[:, 1] * vectors[:, 0]


def feed_share(arc: Floats, chip: Floats, *, wanted_chip: float) -> Floats:
    """Share of the set feed that keeps the chip: less where the rim bites deeper than reckoned; half in slots."""
    share = np.minimum(1.0, wanted_chip / np.maximum(chip, 1e-9))
    return np.where(arc > SLOT_RAD, SLOT_FEED_SHARE * share, share)
