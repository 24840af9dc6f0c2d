"""Each stage of the front becomes an operation: its minutes, its path where one is known, and its reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .settings import STOCK_MM
from .steps import Cut, milled

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .bores import Bore
    from .clearing import Stage
    from .finest import Finest
    from .laying import Laid
    from .settings import Check, Setting
    from .work import Work

TOLD_SHARE = 0.01  # of a path, below which its slots are not worth a word

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

    floor_mm2: float
    bores: Sequence[Bore]
    finest: Finest
    work: Work

    def cut_of(self, stage: Stage) -> Cut:
        """Make the operation of one stage."""
        passes, laid = stage.setting.passes, stage.laid
        lifted_min = passes * laid.lifted_min(relief_mm=self.work.relief_mm, machine=self.work.machine)
        reasons = [self._reason(stage), held_back(stage.setting), *_remarks(laid, lifted_min)]
        operation = milled(
            stage.kind,
            stage.ready.cutter.key,
            stage.setting,
            stock_mm=stage.stock_mm,
            cleared_mm2=stage.ground.area,
            removed_mm3=stage.ground.area * self.work.relief_mm,
            path_mm=passes * laid.path_mm,
            minutes=passes * laid.feed_min + lifted_min,
            why="; ".join(reasons),
        )
        return Cut(operation, stage.ground, laid.lines)

    def _reason(self, stage: Stage) -> str:
        share = f"{100 * stage.ground.area / self.floor_mm2:.1f} % of the floor"
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


def _remarks(laid: Laid, lifted_min: float) -> list[str]:
    remarks = [f"lifted {laid.lifts} times a pass, {lifted_min:.1f} min of it"] if laid.lifts > 1 else []
    if min(laid.slotted_share, laid.slowed_share) > TOLD_SHARE:
        remarks.append(
            f"on {100 * laid.slotted_share:.0f} % of the path the cutter is in metal all round: half feed there"
        )
    return remarks
