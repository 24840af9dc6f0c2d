"""Which cutters of the rack can do this job at all, how each would run, and why the others stay in their drawer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stampwright.base import JobError

from .settings import (
    STOCK_MM,
    Overload,
    Setting,
    finishing,
    levelling,
    out_of_reach,
    roughing,
    settle,
    slotting,
)

if TYPE_CHECKING:
    from stampwright.catalogue import Cutter

    from .settings import Duty
    from .work import Work


@dataclass(frozen=True, slots=True)
class Ready:
    """A flat cutter that reaches the floor, with its settings for open ground, its floor, slots and walls."""

    cutter: Cutter
    rough: Setting
    floor: Setting
    slot: Setting
    wall: Setting

    @property
    def radius_mm(self) -> float:
        """Half its diameter."""
        return self.cutter.diameter_mm / 2


def ready_cutters(work: Work) -> tuple[list[Ready], dict[str, str]]:
    """Flat cutters that reach and hold, largest first, and why each other flat one is passed over.

    Raises `JobError` (no-flat-cutter, relief-out-of-reach, cutters-overloaded) when none is left.
    """
    flats = sorted(
        (cutter for cutter in work.job.cutters if cutter.shape == "flat"), key=lambda cutter: -cutter.diameter_mm
    )
    if not flats:
        detail = "the rack holds no flat cutter; add one that fits the gaps of the mark"
        raise JobError.at("no-flat-cutter", detail, pointer="/job/cutters")
    if all(cutter.length_of_cut_mm < work.relief_mm for cutter in flats):
        raise JobError.at("relief-out-of-reach", _out_of_reach(flats, work.relief_mm), pointer="/job/cutters")
    ready: list[Ready] = []
    passed_over: dict[str, str] = {}
    for cutter in flats:
        made = _made_ready(cutter, work)
        if isinstance(made, Ready):
            ready.append(made)
        else:
            passed_over[cutter.key] = made.says
    if not ready:
        reasons = "; ".join(f"{key}, {reason}" for key, reason in passed_over.items())
        raise JobError.at("cutters-overloaded", f"no cutter holds on this machine: {reasons}", pointer="/job/machine")
    return ready, passed_over


def _out_of_reach(flats: list[Cutter], relief_mm: float) -> str:
    longest = max(flats, key=lambda cutter: cutter.length_of_cut_mm)
    return (
        f"the relief is {relief_mm:.3g} mm and the longest length of cut in the rack {longest.length_of_cut_mm:.3g} mm "
        f"({longest.key}); lower the relief or add a cutter with a longer reach"
    )


def _made_ready(cutter: Cutter, work: Work) -> Ready | Overload:
    def settled(duty: Duty) -> Setting | Overload:
        return settle(cutter, duty, metal=work.metal, machine=work.machine)

    relief_mm = work.relief_mm
    if cutter.length_of_cut_mm < relief_mm:
        return Overload("length_of_cut", out_of_reach(cutter, relief_mm))
    stock_mm = min(STOCK_MM, relief_mm / 2)
    walls = [settled(slotting(relief_mm, width_mm=cutter.diameter_mm)), settled(finishing(relief_mm))]
    rough = settled(roughing(relief_mm - stock_mm))
    if isinstance(rough, Overload):
        return rough
    settings: list[Setting] = []
    for setting in (rough, settled(levelling(stock_mm, width_mm=rough.ae_mm)), *walls):
        if isinstance(setting, Overload):
            return setting
        settings.append(setting)
    return Ready(cutter, *settings)
