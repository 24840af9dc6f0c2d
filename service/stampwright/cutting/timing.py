"""Each stage of the front becomes an operation: its minutes, its path where one is known, and its reason."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from stampwright.base import numbered

from .laying import PLUNGE_SHARE
from .minutes import RAMP_DEG
from .settings import STOCK_MM, Setting, roughing, settle
from .steps import Cut, milled

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .bores import Bore
    from .clearing import Stage
    from .finest import Finest
    from .laying import Laid
    from .settings import Check
    from .work import Work

STUB_SHARE = 2.0  # length of cut over the diameter of a short cutter; common practice, no source
WORTH_TELLING = 1.25  # times the removal rate, from which a shorter cutter is worth a word
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
        reasons = [self._reason(stage), held_back(stage.setting), *self._shorter(stage)]
        reasons += [] if stage.levels_only else _remarks(laid, lifted_min)  # told of the same way by the roughing
        operation = milled(
            stage.kind,
            stage.ready.cutter.key,
            stage.setting,
            stock_mm=stage.stock_mm,
            cleared_mm2=0.0 if stage.levels_only else stage.ground.area,
            removed_mm3=stage.ground.area * stage.depth_mm,
            path_mm=passes * laid.path_mm,
            minutes=passes * laid.feed_min + lifted_min,
            why="; ".join(reasons),
        )
        opened = shapely.MultiPolygon() if stage.levels_only else stage.ground
        return Cut(operation, opened, laid.lines)

    def _shorter(self, stage: Stage) -> list[str]:
        """What a shorter cutter would bear, where its own length is what holds it back in roughing."""
        cutter, setting = stage.ready.cutter, stage.setting
        least_mm = max(STUB_SHARE * cutter.diameter_mm, self.work.relief_mm)
        bending = {"stress", "deflection"} & set(setting.cut_down_by)
        if stage.kind not in {"rough", "rest_rough"} or not bending or least_mm >= cutter.length_of_cut_mm:
            return []
        stub = dataclasses.replace(cutter, length_of_cut_mm=least_mm)
        borne = settle(stub, roughing(stage.depth_mm), metal=self.work.metal, machine=self.work.machine)
        if not isinstance(borne, Setting) or borne.removal_mm3_per_min < WORTH_TELLING * setting.removal_mm3_per_min:
            return []
        times = borne.removal_mm3_per_min / setting.removal_mm3_per_min
        own = f"its edges are {cutter.length_of_cut_mm:.3g} mm long"
        return [f"{own}: the same cutter with {least_mm:.3g} mm would bear {times:.1f} times the cut"]

    def _reason(self, stage: Stage) -> str:
        share = f"{100 * stage.ground.area / self.floor_mm2:.1f} % of the floor"
        if stage.kind == "rough":
            return f"the largest cutter that earns its place clears {share}, {STOCK_MM} mm short of walls and floor"
        if stage.kind == "floor":
            return f"the last {stage.depth_mm:.2g} mm to the floor in a light pass along the same way"
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
    if laid.entries:
        helices = laid.entries - laid.tight_entries
        remarks += (
            [f"enters closed ground by {numbered(helices, 'helix', 'helices')} of {RAMP_DEG:.2g}°"] if helices else []
        )
    if laid.tight_entries:
        remarks.append(
            f"{numbered(laid.tight_entries, 'pocket')} too tight for a helix: straight down at "
            f"{100 * PLUNGE_SHARE:.0f} % of the feed, in pecks"
        )
    if min(laid.slotted_share, laid.slowed_share) > TOLD_SHARE:
        remarks.append(
            f"on {100 * laid.slotted_share:.0f} % of the path the cutter is in metal all round: half feed there"
        )
    return remarks
