"""What each cutter of the rack reaches alone, with the corners it rounds; the finest speaks for the whole rack."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import Finding, Mend
from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import grown

from . import rules
from .apart import lying_apart
from .found import Found, mm, places
from .rack import flat_that_passes, flats_below, is_sold
from .report import Corner, CutterReach, Shut
from .scales import asked_first
from .uncut import areas_mm2, uncut_by
from .widths import summed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from stampwright.catalogue import Cutter

    from .apart import Apart
    from .rack import Judged
    from .subject import Subject
    from .uncut import Uncut

_BLIND_SHARE = 1.1  # a piece deeper than its angle explains, by a tenth and the tolerance, is a gap without an end


def reaches_of(subject: Subject) -> tuple[CutterReach, ...]:
    """Measure what each cutter of the rack reaches at the face, and what of the floor it clears to full depth."""
    judged, axis = subject.rack.judged, subject.axis
    uncut, shares = _left_of(subject)
    areas, blind = areas_mm2(uncut), _is_blind(subject, uncut)
    filled = (uncut.mouths == 0) & axis.part_is_counter[uncut.part]
    closed = blind | _is_closed(uncut) & ~filled
    apart = lying_apart(uncut, closed)
    here = np.maximum(areas - summed(apart.piece, apart.area_mm2, len(areas)), 0.0)
    corner = (uncut.mouths == 1) & (uncut.residual_mm >= WIDTH_MM) & ~blind
    floor_mm2 = float(subject.face.head.area - subject.face.ink.area)
    told = []
    for cut, (each, share) in enumerate(zip(judged, shares.tolist(), strict=True)):
        own = uncut.cut == cut
        uncut_mm2 = float(areas[own].sum())
        reaches_mm2 = max(floor_mm2 - uncut_mm2, 0.0)
        corners = tuple(_corners(uncut, areas, corner & own))
        reach = CutterReach(
            cutter=each.cutter.key,
            reaches_area_mm2=reaches_mm2,
            uncut_area_mm2=uncut_mm2,
            filled_counters=int(np.count_nonzero(filled & own)),
            closed_gaps=int(np.count_nonzero(closed & own)),
            corners=corners,
            shut=tuple(_shut(uncut, here, filled, (filled | closed) & own, apart, each)),
            worst_residual_mm=corners[0].residual_mm if corners else 0.0,
            faithful_share=share,
            face_radius_mm=each.face_mm,
            floor_radius_mm=each.floor_mm,
            full_depth_area_mm2=_full_depth_mm2(subject, each, reaches_mm2),
            reaches_floor=each.is_deep,
        )
        told.append(reach)
    return tuple(told)


def _left_of(subject: Subject) -> tuple[Uncut, NDArray[np.float64]]:
    """What each cutter leaves uncut, and its share of the outline that prints true.

    Of a mark of few walls, in the same pass also what will be asked later: finer cutters, and the sizes tried first.
    """
    judged, deviation_mm = subject.rack.judged, subject.job.limits.deviation_mm
    own = np.array([(each.face_mm, deviation_mm) for each in judged]).T
    asked = np.concatenate([own, _asked_of_finer(subject), asked_first(subject)], axis=1)
    if asked.shape[1] > subject.shares.at_once:
        asked = own
    uncut = uncut_by(subject.axis, asked[0])
    subject.shares.learn(uncut, asked[1])
    return uncut.of_first(len(judged)), subject.shares.of(own)


def _full_depth_mm2(subject: Subject, judged: Judged, reaches_mm2: float) -> float:
    """Ground cleared to the floor: a ball or a cone leaves a foot between its widest part and its lowest."""
    if not judged.is_deep:
        return 0.0
    if judged.floor_mm == judged.face_mm:
        return reaches_mm2
    kept = subject.closings.grown(judged.face_mm)
    if judged.floor_mm:
        kept = grown(kept, -judged.floor_mm)
    return float(shapely.area(shapely.difference(subject.face.head, kept)))


def _is_blind(subject: Subject, uncut: Uncut) -> NDArray[np.bool_]:
    """Gaps without an end: pieces of one mouth, deeper than a corner of their angle, whose walls face each other."""
    sharp = uncut.radius_mm * (1 / np.sin(np.radians(np.maximum(uncut.angle_deg, 1.0)) / 2) - 1)
    facing = np.bincount(uncut.pieces.piece, subject.widths.is_level[uncut.pieces.row], minlength=len(uncut.mouths)) > 0
    return np.asarray((uncut.mouths == 1) & facing & (uncut.residual_mm > _BLIND_SHARE * sharp + WIDTH_MM))


def _is_closed(uncut: Uncut) -> NDArray[np.bool_]:
    """Gaps the disc cannot pass: between reachable grounds, or wholly out of reach."""
    through = (uncut.mouths > 1) & (uncut.width_mm < 2 * uncut.radius_mm)
    return np.asarray(through | (uncut.mouths == 0))


def _corners(uncut: Uncut, areas: NDArray[np.float64], corner: NDArray[np.bool_]) -> Iterator[Corner]:
    """Corners, the worst residual first; pieces below the accuracy of a width are facets of curves, and left out."""
    chosen = np.flatnonzero(corner)
    chosen = chosen[np.lexsort((uncut.tip[chosen, 1], uncut.tip[chosen, 0], -uncut.residual_mm[chosen].round(6)))]
    return map(
        Corner,
        *(places(uncut.tip[chosen]), uncut.angle_deg[chosen].tolist(), uncut.radius_mm[chosen].tolist()),
        *(uncut.residual_mm[chosen].tolist(), areas[chosen].tolist()),
    )


def _shut(  # noqa: PLR0913, PLR0917  each a separate fact of the ground
    uncut: Uncut,
    areas: NDArray[np.float64],
    filled: NDArray[np.bool_],
    shut: NDArray[np.bool_],
    apart: Apart,
    judged: Judged,
) -> Iterator[Shut]:
    """Gaps and counters that stay shut, the largest first: a gap by its least width, else by its largest disc.

    Ground of a gap that lies apart from its place is told beside it.
    """
    by_disc = filled | np.isnan(uncut.width_mm)
    own = shut[apart.piece]
    at = np.concatenate([np.where(by_disc[:, None], uncut.wide_at, uncut.thin_at)[shut], apart.at[own]])
    width_mm = np.concatenate([np.where(by_disc, uncut.widest_mm, uncut.width_mm)[shut], apart.width_mm[own]])
    area_mm2 = np.concatenate([areas[shut], apart.area_mm2[own]])
    is_counter = np.append(filled[shut], np.zeros(own.sum(), dtype=bool))
    order = np.lexsort((at[:, 1], at[:, 0], -area_mm2.round(6)))
    widths = width_mm[order].tolist()
    return map(
        Shut,
        *(places(at[order]), is_counter[order].tolist(), widths, map(judged.grooved_mm, widths)),
        area_mm2[order].tolist(),
    )


def corner_findings(subject: Subject, reach: CutterReach) -> Iterator[Found]:
    """Corners the rack leaves rounder than the deviation allows; `reach` is that of its finest cutter."""
    limits = subject.job.limits
    severity = rules.rounded_corner(share=reach.faithful_share, least_share=limits.faithful)
    if severity == "warning":
        yield _unfaithful(subject, reach)
    for corner in reach.corners:
        if corner.residual_mm <= limits.deviation_mm:
            return
        finding = Finding(
            code="rounded-corner",
            severity=severity,
            # whatever the plan chooses of the rack, this is the best that can become of it
            says=f"Even {reach.cutter} rounds an inside corner of {_degrees(corner.angle_deg)} with radius "
            f"{mm(corner.radius_mm)}: the print stands out at least {mm(corner.residual_mm)} there"
            f"{_risen(subject, corner)}.",
            remedy=_sharper(subject, corner),
            would_mend=Mend(cutter=flat_that_passes(_sharp_mm(subject, corner), relief_mm=subject.face.relief_mm)),
            at_mm=corner.at_mm,
            measured_mm=corner.residual_mm,
            limit_mm=limits.deviation_mm,
            area_mm2=corner.uncut_area_mm2,
            angle_deg=corner.angle_deg,
        )
        yield Found(limits.deviation_mm / corner.residual_mm, finding)


def _degrees(angle_deg: float) -> str:
    return f"{angle_deg:.0f}°" if angle_deg >= 1.0 else "less than 1°"


def _percent(share: float) -> str:
    """A share for a sentence, rounded down: what falls short of its limit is not told as the limit itself."""
    return f"{math.floor(1000 * share + 1e-6) / 10:g} %"


def _risen(subject: Subject, corner: Corner) -> str:
    """What a pointed cutter can do better that rises into a corner: as much as its tip is finer than its cone."""
    finest = subject.rack.finest
    if not finest.rises or subject.rack.foot_mm > 0.0:
        return ""
    left_mm = corner.residual_mm * finest.floor_mm / finest.face_mm
    return f" at full depth; rising, the cutter can bring that to {mm(left_mm)} at the face"


def _unfaithful(subject: Subject, reach: CutterReach) -> Found:
    """All roundings together: too little of the outline prints where it was drawn."""
    limits, finer = subject.job.limits, _finer(subject)
    finding = Finding(
        code="rounded-corner",
        severity="warning",
        says=f"With {reach.cutter} only {_percent(reach.faithful_share)} of the outline prints within "
        f"{mm(limits.deviation_mm)} of where it was drawn, {_percent(limits.faithful)} is asked; "
        f"{reach.uncut_area_mm2:.2f} mm² of ground stay uncut.",
        remedy=_finer_rack(*finer),
        would_mend=Mend(cutter=finer[0]),
        area_mm2=reach.uncut_area_mm2,
    )
    return Found(0.0, finding)


def _finer_rack(key: str | None, share: float) -> str:
    if key:
        return f"Add {key} to the rack: it keeps {_percent(share)}."
    return "No flat cutter of the catalogue that cuts this deep is enough: make the mark larger, or simplify it."


def _finer(subject: Subject) -> tuple[str | None, float]:
    """The largest flat cutter of the catalogue with which enough of the outline would print true, and that share."""
    faithful, shares = subject.job.limits.faithful, subject.shares.of(_asked_of_finer(subject)).tolist()
    enough = ((cutter.key, share) for cutter, share in zip(_flats(subject), shares, strict=True) if share >= faithful)
    return next(enough, (None, 0.0))


def _flats(subject: Subject) -> list[Cutter]:
    """The flat cutters of the catalogue that are finer than the rack, the largest first."""
    return flats_below(2 * subject.rack.finest.face_mm, relief_mm=subject.face.relief_mm)


def _asked_of_finer(subject: Subject) -> NDArray[np.float64]:
    """Their radii, and the deviation that each is asked about, (2, q)."""
    radii_mm = [cutter.diameter_mm / 2 for cutter in _flats(subject)]
    return np.array([radii_mm, [subject.job.limits.deviation_mm] * len(radii_mm)])


def _sharp_mm(subject: Subject, corner: Corner) -> float:
    """A residual is proportional to the radius: the diameter that keeps it within the deviation [mm]."""
    return 2 * corner.radius_mm * subject.job.limits.deviation_mm / corner.residual_mm


def _sharper(subject: Subject, corner: Corner) -> str:
    limit_mm, diameter_mm = subject.job.limits.deviation_mm, _sharp_mm(subject, corner)
    key = flat_that_passes(diameter_mm, relief_mm=subject.face.relief_mm)
    if not key and not is_sold(diameter_mm, relief_mm=subject.face.relief_mm):
        return f"No flat cutter that cuts this deep keeps it within {mm(limit_mm)}: draw the corner round."
    cutter = f"{key} does" if key else "the catalogue has none so fine that cuts this deep"
    return f"A flat cutter of {mm(diameter_mm)} keeps it within {mm(limit_mm)} ({cutter}); or draw the corner round."
