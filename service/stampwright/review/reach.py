"""What each cutter of the rack reaches alone, with the corners it rounds; the finest speaks for the whole rack."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import Finding
from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import grown

from . import rules
from .faithful import moved_mm, outline_mm
from .found import Found, mm, place
from .gaps import is_counter
from .rack import flat_that_passes
from .report import Corner, CutterReach
from .uncut import uncut_by

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from .rack import Judged
    from .subject import Subject
    from .uncut import Uncut

_BLIND_SHARE = (
    1.1  # a piece deeper than its angle alone explains, by a tenth and the tolerance, is a gap without an end
)


def reach_of(subject: Subject, judged: Judged) -> CutterReach:
    """Measure what one cutter reaches at the face, and what of the floor it clears to full depth."""
    uncut = uncut_by(subject.axis, judged.face_mm)
    corner = _is_corner(uncut)
    filled = (uncut.mouths == 0) & is_counter(subject)[uncut.part]
    closed = _is_closed(uncut) & ~filled
    floor_mm2 = float(subject.face.head.area - subject.face.ink.area)
    uncut_mm2 = float(uncut.area_mm2.sum())
    moved = moved_mm(subject.axis, uncut, deviation_mm=subject.job.limits.deviation_mm)
    corners = tuple(_corners(uncut, corner))
    reaches_mm2 = max(floor_mm2 - uncut_mm2, 0.0)
    return CutterReach(
        cutter=judged.cutter.key,
        reaches_area_mm2=reaches_mm2,
        uncut_area_mm2=uncut_mm2,
        filled_counters=int(filled.sum()),
        closed_gaps=int(closed.sum()),
        corners=corners,
        worst_residual_mm=corners[0].residual_mm if corners else 0.0,
        faithful_share=float(np.clip(1.0 - moved / outline_mm(subject.axis), 0.0, 1.0)),
        face_radius_mm=judged.face_mm,
        floor_radius_mm=judged.floor_mm,
        full_depth_area_mm2=_full_depth_mm2(subject, judged, reaches_mm2),
        reaches_floor=judged.is_deep,
    )


def _full_depth_mm2(subject: Subject, judged: Judged, reaches_mm2: float) -> float:
    """Ground cleared to the floor: a ball or a cone leaves a foot between its widest part and its lowest."""
    if not judged.is_deep:
        return 0.0
    if judged.floor_mm == judged.face_mm:
        return reaches_mm2
    kept = grown(subject.closings.grown(judged.face_mm), -judged.floor_mm) if judged.floor_mm else None
    kept = kept if kept is not None else subject.closings.grown(judged.face_mm)
    return float(shapely.area(shapely.difference(subject.face.head, kept)))


def _is_corner(uncut: Uncut) -> NDArray[np.bool_]:
    """Pieces of one mouth that are as deep as their angle explains; smaller ones are facets of curves."""
    sharp = uncut.radius_mm * (1 / np.sin(np.radians(np.maximum(uncut.angle_deg, 1.0)) / 2) - 1)
    deep = uncut.residual_mm > _BLIND_SHARE * sharp + WIDTH_MM
    return np.asarray((uncut.mouths == 1) & (uncut.residual_mm >= WIDTH_MM) & ~deep)


def _is_closed(uncut: Uncut) -> NDArray[np.bool_]:
    """Gaps the disc cannot pass: between reachable grounds, without an end, or wholly out of reach."""
    deep = (uncut.mouths == 1) & (uncut.residual_mm >= WIDTH_MM) & ~_is_corner(uncut)
    through = (uncut.mouths > 1) & (uncut.width_mm < 2 * uncut.radius_mm - WIDTH_MM)
    return np.asarray(deep | through | (uncut.mouths == 0))


def _corners(uncut: Uncut, corner: NDArray[np.bool_]) -> Iterator[Corner]:
    """Corners, the worst residual first."""
    chosen = np.flatnonzero(corner)
    chosen = chosen[np.lexsort((uncut.tip[chosen, 1], uncut.tip[chosen, 0], -uncut.residual_mm[chosen].round(6)))]
    rows = zip(
        *(uncut.tip[chosen].tolist(), uncut.angle_deg[chosen].tolist(), uncut.residual_mm[chosen].tolist()),
        uncut.area_mm2[chosen].tolist(),
        strict=True,
    )
    for at, angle_deg, residual_mm, area_mm2 in rows:
        yield Corner(place(at), angle_deg, uncut.radius_mm, residual_mm, area_mm2)


def corner_findings(subject: Subject, reach: CutterReach) -> Iterator[Found]:
    """Corners the rack leaves rounder than the deviation allows; `reach` is that of its finest cutter."""
    limits = subject.job.limits
    severity = rules.rounded_corner(share=reach.faithful_share, least_share=limits.faithful)
    moved = (
        f", and only {100 * reach.faithful_share:.0f} % of the outline prints where it was drawn"
        if severity == "warning"
        else ""
    )
    for corner in reach.corners:
        if corner.residual_mm <= limits.deviation_mm:
            return
        finding = Finding(
            code="rounded-corner",
            severity=severity,
            says=f"{reach.cutter} rounds an inside corner of {corner.angle_deg:.0f}° with radius "
            f"{mm(corner.radius_mm)}: the print stands out {mm(corner.residual_mm)} there{moved}.",
            remedy=_sharper(subject, corner),
            at_mm=corner.at_mm,
            measured_mm=corner.residual_mm,
            limit_mm=limits.deviation_mm,
            area_mm2=corner.uncut_area_mm2,
            angle_deg=corner.angle_deg,
        )
        yield Found(limits.deviation_mm / corner.residual_mm, finding)


def _sharper(subject: Subject, corner: Corner) -> str:
    """A residual is proportional to the radius: the diameter that keeps it within the deviation."""
    limit_mm = subject.job.limits.deviation_mm
    diameter_mm = 2 * corner.radius_mm * limit_mm / corner.residual_mm
    key = flat_that_passes(diameter_mm, relief_mm=subject.face.relief_mm)
    cutter = f"{key} does" if key else "the catalogue has none so fine that cuts this deep"
    return f"A flat cutter of {mm(diameter_mm)} keeps it within {mm(limit_mm)} ({cutter}); or draw the corner round."
