"""Each stage of the front becomes an operation: its minutes, its path where one is known, and its reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from .minutes import boring_mm, clearing_min, following_min, lift_min
from .reach import clean
from .settings import STOCK_MM
from .steps import milled

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .bores import Bore
    from .clearing import Stage
    from .finest import Finest
    from .plan import Operation
    from .reach import Ground
    from .settings import Check, Setting
    from .work import Work

_ASKED: dict[Check, str] = {
    "feed": "the machine's feed",
    "force": "its force limit",
    "power": "its power",
    "deflection": "bending of the cutter",
    "stress": "stress in the cutter",
    "rubbing": "the least chip",
    "length_of_cut": "the length of cut",
}


@dataclass(frozen=True, slots=True)
class Clock:
    """Times the stages of one face and says why each is there."""

    ground: Ground
    bores: Sequence[Bore]
    finest: Finest
    work: Work

    def operation_of(self, stage: Stage) -> Operation:
        """Make the operation of one stage."""
        path_mm, minutes = self._way(stage)
        return milled(
            stage.kind,
            stage.ready.cutter.key,
            stage.setting,
            stock_mm=stage.stock_mm,
            cleared_mm2=stage.ground.area,
            removed_mm3=stage.ground.area * self.work.relief_mm,
            path_mm=path_mm,
            minutes=minutes,
            why=f"{self._reason(stage)}; {held_back(stage.setting)}",
        )

    def _way(self, stage: Stage) -> tuple[float | None, float]:
        """Length [mm] where the path is known, and minutes."""
        relief_mm, machine = self.work.relief_mm, self.work.machine
        cutter, setting = stage.ready.cutter, stage.setting
        if stage.kind == "wall":
            rings = self.ground.wall_path(stage.ready.radius_mm)
            length, count = float(shapely.length(rings)), len(shapely.get_parts(rings))
            return setting.passes * length, following_min(length, count, setting, relief_mm=relief_mm, machine=machine)
        if stage.kind == "slot":
            length, count = float(stage.ground.area) / cutter.diameter_mm, len(stage.ground.geoms)
            return None, following_min(length, count, setting, relief_mm=relief_mm, machine=machine)
        if stage.kind == "bore":
            turns = [boring_mm(b.diameter_mm, cutter, depth_mm=relief_mm, stock_mm=STOCK_MM) for b in self.bores]
            lifts = len(turns) * lift_min(relief_mm, machine)
            return sum(turns), sum(turns) / setting.feed_mm_per_min + lifts
        return None, clearing_min(clean(stage.ground), setting, first=stage.first, relief_mm=relief_mm, machine=machine)

    def _reason(self, stage: Stage) -> str:
        share = f"{100 * stage.ground.area / self.ground.floor.area:.1f} % of the floor"
        if stage.kind == "rough":
            return f"the largest cutter that earns its place clears {share}, {STOCK_MM} mm short of the walls"
        if stage.kind == "rest_rough":
            return f"clears only what the larger cutter could not enter, {share}"
        if stage.kind == "slot":
            low_mm = stage.ready.cutter.diameter_mm
            gaps = f"gaps of {low_mm:.3g} to {low_mm + 2 * STOCK_MM:.3g} mm, too narrow to leave stock"
            return f"{gaps}: a full slot, half as deep"
        if stage.kind == "wall":
            return f"the last cutter takes the {STOCK_MM} mm left on the walls; {self.finest.says}"
        sizes = ", ".join(f"{bore.diameter_mm:.2f}" for bore in self.bores)
        return f"round counters of {sizes} mm, bored by a helix and rounded by one finishing turn"


def held_back(setting: Setting) -> str:
    """What forbade running wider, deeper or faster."""
    if not setting.cut_down_by:
        return "no limit asked for less"
    return f"held back by {', '.join(_ASKED[check] for check in setting.cut_down_by)}"
