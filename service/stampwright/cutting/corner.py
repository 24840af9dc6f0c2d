"""Cutters that are not flat: a pointed one may sharpen inside corners, a ball has no slope to follow."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import polygons_of

from .finest import openings, shares_faithful
from .minutes import following_min
from .rising import parted_share, rising
from .settings import Overload, finishing, settle
from .steps import Cut, milled

if TYPE_CHECKING:
    from stampwright.catalogue import Cutter

    from .finest import Finest
    from .reach import Ground
    from .rising import Rising
    from .settings import Setting
    from .work import Work

_TOLD_MM2 = 0.01  # of grooves: less is the inside of corners
EARNS_SHARE = 0.01  # of the outline brought within the deviation: less does not pay for a change; our own rule


@dataclass(frozen=True, slots=True)
class Sharpening:
    """What a pointed cutter adds at the end: its cut, whose ground is open at the height of the face."""

    cutter: Cutter
    cut: Cut
    left_uncut: shapely.MultiPolygon


@dataclass(frozen=True, slots=True)
class Corners:
    """What the last flat cutter leaves in the inside corners, as other cutters meet it."""

    ground: Ground
    finest: Finest
    work: Work

    def sharpened(self) -> tuple[Sharpening | None, dict[str, str]]:
        """The pointed cutter that earns its change, if one does; why others that are not flat are passed over."""
        tried = {c.key: self._tried(c) for c in self.work.job.cutters if c.shape != "flat"}
        passed_over = {key: reason for key, reason in tried.items() if isinstance(reason, str)}
        earned = [each for each in tried.values() if isinstance(each, Sharpening)]
        if not earned:
            return None, passed_over
        best = min(earned, key=lambda each: (each.left_uncut.area, -(each.cut.operation.removed_mm3 or 0.0)))
        beaten = {each.cutter.key: f"{best.cutter.key} sharpens further" for each in earned if each is not best}
        return best, passed_over | beaten

    def _tried(self, cutter: Cutter) -> Sharpening | str:
        relief_mm, flat_mm = self.work.relief_mm, self.finest.cutter.diameter_mm / 2
        if cutter.shape == "ball":
            return "a ball leaves a rounded floor, and this face has no slope for it to follow"
        if cutter.length_of_cut_mm < relief_mm:
            return f"its length of cut is {cutter.length_of_cut_mm:.3g} mm, the relief {relief_mm:.3g} mm"
        parts = parted_share(
            cutter,
            axis=self.ground.axis,
            below_mm=min(cutter.radius_at_mm(relief_mm), flat_mm) - WIDTH_MM,
            relief_mm=relief_mm,
        )
        if parts < EARNS_SHARE and (reason := self._not_sharper(cutter)):
            grooves = f"its grooves would keep walls apart along {100 * parts:.2f} % of the outline"
            return f"{reason}; {grooves}" if parts else reason
        # loads are those of a straight cutter as thick as the cone is at half the relief
        thick_mm = 2 * cutter.radius_at_mm(relief_mm / 2)
        stand_in = dataclasses.replace(cutter, shape="flat", diameter_mm=thick_mm, length_of_cut_mm=relief_mm)
        setting = settle(stand_in, finishing(relief_mm), metal=self.work.metal, machine=self.work.machine)
        return setting.says if isinstance(setting, Overload) else self._sharpened(cutter, setting)

    def _not_sharper(self, cutter: Cutter) -> str | None:
        """Why it is not worth its change at full depth; None if it is."""
        flat_mm, at_face_mm = self.finest.cutter.diameter_mm / 2, cutter.radius_at_mm(self.work.relief_mm)
        if at_face_mm >= flat_mm:
            cone = f"{self.work.relief_mm:.3g} mm deep its cone has a radius of {at_face_mm:.3g} mm at the face"
            return f"{cone}, {self.finest.cutter.key} has {flat_mm:.3g} mm"
        if self._opens(at_face_mm):
            return None
        if self.finest.holds:
            return f"sharper than this mark asks: of {self.finest.cutter.key}, {self.finest.says}"
        gain = self._share(at_face_mm) - self.finest.faithful_share
        return (
            None if gain >= EARNS_SHARE else f"it would bring {100 * gain:.2f} % more of the outline within the limits"
        )

    def _share(self, radius_mm: float) -> float:
        (share,) = shares_faithful(self.ground.axis, [radius_mm], self.work.job.limits.deviation_mm)
        return share

    def _opens(self, radius_mm: float) -> bool:
        """Whether it goes to the floor of gaps or counters that stay shut behind the last flat cutter."""
        flat_mm = self.finest.cutter.diameter_mm / 2
        return openings(self.ground.closings, radius_mm) != openings(self.ground.closings, flat_mm)

    def _sharpened(self, cutter: Cutter, setting: Setting) -> Sharpening:
        relief_mm, flat_mm = self.work.relief_mm, self.finest.cutter.diameter_mm / 2
        at_face_mm, before = cutter.radius_at_mm(relief_mm), self.ground.uncut(flat_mm)
        left = self.ground.uncut(at_face_mm) if at_face_mm < flat_mm else before
        opened = polygons_of(shapely.difference(before, left))
        rise = rising(cutter, axis=self.ground.axis, left=left, relief_mm=relief_mm)
        beside = shapely.intersection(self.ground.wall_path(at_face_mm), shapely.buffer(opened, at_face_mm))
        above = shapely.intersection(shapely.multilinestrings(rise.lines), shapely.buffer(before, at_face_mm))
        parts = shapely.get_parts([beside, above])
        lines = shapely.multilinestrings(parts[shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING])
        length_mm, pieces = float(shapely.length(lines)), len(shapely.get_parts(shapely.line_merge(lines)))
        operation = milled(
            "corner",
            cutter.key,
            setting,
            cleared_mm2=opened.area,
            # a cone beside a wall: about half of what an upright one would have
            removed_mm3=opened.area * relief_mm / 2 + rise.removed_mm3,
            path_mm=setting.passes * length_mm,
            minutes=following_min(length_mm, pieces, setting, relief_mm=relief_mm, machine=self.work.machine),
            why=self._why(cutter, rise),
        )
        return Sharpening(cutter, Cut(operation, opened, lines), left)

    def _why(self, cutter: Cutter, rise: Rising) -> str:
        gaps = f"rising, it grooves {rise.grooved.area:.2g} mm² of gaps too narrow for full depth"
        deviation_mm = self.work.job.limits.deviation_mm
        flat_mm, at_face_mm = self.finest.cutter.diameter_mm / 2, cutter.radius_at_mm(self.work.relief_mm)
        if at_face_mm >= flat_mm:
            return f"{gaps}, so that their walls do not print as one; they stay shut behind {self.finest.cutter.key}"
        foot_mm = at_face_mm - cutter.tip_mm / 2
        within = f"{100 * self._share(at_face_mm):.1f} % of the outline is within {deviation_mm:.3g} mm"
        opens = f"; it opens gaps that {self.finest.cutter.key} leaves shut" if self._opens(at_face_mm) else ""
        return (
            f"sharpens inside corners from a radius of {flat_mm:.3g} to {at_face_mm:.3g} mm at the face, so that "
            f"{within}; at the floor the wall's foot stays up to {foot_mm:.2g} mm wider"
            f"{opens}{f'; {gaps}' if rise.grooved.area >= _TOLD_MM2 else ''}"
        )
