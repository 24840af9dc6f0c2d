"""What growing must keep, judged beside the code that grows: GEOS for areas, the review's own widths for the rest."""

import dataclasses

import numpy as np
import shapely

from stampwright.plane import count_slivers
from stampwright.review.grown import GrownWidths
from stampwright.review.rules import THINNEST_LAND_MM
from stampwright.review.widths import Below, Widths

TOLERANCE_MM = 0.005


@dataclasses.dataclass(frozen=True)
class Judgement:
    """Faults by name; thin length before and after, all of it and where the gaps allow the full width [mm]."""

    faults: tuple
    thin_before_mm: float
    thin_after_mm: float
    allowed_before_mm: float
    allowed_after_mm: float


def counters(ink):
    return int(shapely.get_num_interior_rings(ink.geoms).sum())


def judged(drawn_and_axis, grown_and_axis, *, land_mm, gap_mm):
    """Judge grown ink against drawn ink, each given with its axis."""
    (drawn, before), (grown, after) = drawn_and_axis, grown_and_axis
    faults = []
    if len(drawn.geoms) != len(grown.geoms):
        faults.append(f"lands {len(drawn.geoms)} to {len(grown.geoms)}")
    if counters(drawn) != counters(grown):
        faults.append(f"counters {counters(drawn)} to {counters(grown)}")
    if (lost := shapely.difference(drawn, grown).area) > 2e-4 * drawn.length:  # one step of the grid along the outline
        faults.append(f"ink lost {lost:.3g}")
    if specks := count_slivers(grown):
        faults.append(f"{specks} slivers")
    for what, limit, in_ink in (("gap", gap_mm, False), ("land", land_mm, True)):
        at, width = newly_narrow(before, after, limit_mm=limit, in_ink=in_ink)
        if len(at):
            faults.append(f"{len(at)} new narrow {what}, {width.min():.3f} at {np.round(at[width.argmin()], 2)}")
    for below_mm in (land_mm, min(land_mm, THINNEST_LAND_MM)):
        was = thin_places(Widths(before), land_mm, below_mm) + hairs(Widths(before), land_mm)
        now = thin_places(GrownWidths(after, Widths(before)), land_mm, below_mm)
        if now > was:
            faults.append(f"{was} places thinner than {below_mm:g} told as {now}")
    thin, allowed = thin_rows(before, land_mm=land_mm, gap_mm=gap_mm)
    still, length = after_rows(after, land_mm)
    return Judgement(
        tuple(faults),
        float(thin[1].sum()),
        float(length.sum()),
        float(thin[1][allowed].sum()),
        float(length[near(still, thin[0], allowed)].sum()),
    )


def ribs(axis, *, limit_mm, in_ink):
    """Rows between facing walls below the limit."""
    return np.flatnonzero(
        (axis.in_ink == in_ink) & Widths(axis).is_rib & (axis.low_mm < limit_mm / 2 - TOLERANCE_MM / 2)
    )


def thin_places(widths, land_mm, below_mm):
    """How many thin lands and specks the review tells: its tips are notes, and more may show where lines got wider."""
    (lands,) = widths.below(Below(land_mm, in_ink=True))
    return int((~lands.is_tip & (lands.width_mm < below_mm - TOLERANCE_MM)).sum())


def hairs(widths, land_mm):
    """How many stretches are too thin to be measured, and told by the review only once they have grown."""
    found, told = widths.told(*widths.cut_at([Below(land_mm, in_ink=True)]))
    return int((~told & (found.length_mm > 0)).sum())


def lines(axis, rows):
    return shapely.linestrings(np.stack([axis.vertices[axis.low[rows]], axis.vertices[axis.high[rows]]], axis=1))


def newly_narrow(before, after, *, limit_mm, in_ink):
    """Places of ribs after for which no row as narrow, between walls at 120° or more, lay within the limit before."""
    rows = ribs(after, limit_mm=limit_mm, in_ink=in_ink)
    rows = rows[Widths(after).is_level[rows]]  # a groove or a tip runs out in a point and has no width
    was = np.flatnonzero(
        (before.in_ink == in_ink) & (before.separation_low_deg >= 120) & (before.low_mm < limit_mm / 2)
    )
    points = shapely.points(after.vertices[after.low[rows]])
    ok = np.zeros(len(rows), dtype=bool)
    if len(was) and len(rows):
        i, j = shapely.STRtree(lines(before, was)).query(points, predicate="dwithin", distance=limit_mm)
        ok[i[before.low_mm[was[j]] <= after.low_mm[rows[i]] + TOLERANCE_MM / 2]] = True
    return after.vertices[after.low[rows[~ok]]], 2 * after.low_mm[rows[~ok]]


def length_below(axis, rows, limit_mm):
    """Length of each row from its low end to where it is as wide as the limit, taken as straight."""
    low, high = axis.low_mm[rows], axis.high_mm[rows]
    share = np.clip((limit_mm / 2 - low) / np.maximum(high - low, 1e-9), 0, 1)
    return share * shapely.length(lines(axis, rows))


def after_rows(axis, land_mm):
    rows = ribs(axis, limit_mm=land_mm, in_ink=True)
    rows = rows[Widths(axis).is_level[rows]]  # what runs out in a point is a tip
    return lines(axis, rows), length_below(axis, rows, land_mm)


def thin_rows(axis, *, land_mm, gap_mm):
    """Thin ribs before, with their length, and which of them the ground beside them leaves room to mend.

    Room: what both feet may move before half a gap is left, together at least what is wanting; and no place without
    room, and no point, within the reach of the slope of 1 : 4.
    """
    rows = ribs(axis, limit_mm=land_mm, in_ink=True)
    level = Widths(axis).is_level[rows]
    want = land_mm - 2 * axis.low_mm[rows]
    spare = sum(np.maximum(floor_radius(axis, axis.feet_low[rows, side]) - gap_mm / 2, 0) for side in (0, 1))
    short = (spare < want) | ~level | (2 * axis.low_mm[rows] < land_mm / 3)
    middle = lines(axis, rows)
    allowed = ~short
    if short.any() and allowed.any():
        away = shapely.distance(middle, shapely.union_all(middle[short]))
        allowed &= away > 4 * want / 2
    return (middle, length_below(axis, rows, land_mm)), allowed


def floor_radius(axis, feet):
    """Least radius of the floor's axis that has its foot within a hundredth of each place; without one, endless."""
    rows = np.flatnonzero(~axis.in_ink & (axis.separation_low_deg > 120))
    out = np.full(len(feet), np.inf)
    if not len(rows) or not len(feet):
        return out
    for side in (0, 1):
        paths = shapely.linestrings(np.stack([axis.feet_low[rows, side], axis.feet_high[rows, side]], axis=1))
        i, j = shapely.STRtree(paths).query(shapely.points(feet), predicate="dwithin", distance=0.01)
        np.minimum.at(out, i, axis.low_mm[rows[j]])
    return out


def near(still, before, allowed):
    """Whether what is still thin lies nearest to a stretch that had room."""
    if not len(still) or not len(before):
        return np.zeros(len(still), dtype=bool)
    nearest = shapely.STRtree(before).nearest(shapely.line_interpolate_point(still, 0.5, normalized=True))
    return allowed[nearest]
