"""How a cutter runs: the most metal a minute that chip, feed, force, power, deflection and stress all allow."""

from __future__ import annotations

import bisect
import dataclasses
import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Literal

from stampwright.base import numbered

from . import milling

if TYPE_CHECKING:
    from stampwright.catalogue import Cutter, Metal
    from stampwright.job import Machine

WIDEST_SHARE = 0.30  # ae/D to start from; `settle` says why
DEEPEST_SHARE = 0.50  # ap/D likewise
NARROWEST_SHARE = 0.08  # ae/D: thinner shavings only polish
NARROWING = 0.9  # from one stepover tried to the next
SLOWING = 0.96  # from one feed tried to the next
SHALLOWEST_SHARE, SHALLOWEST_MM = 0.12, 0.35  # least ap, the smaller: in D alone a 6 mm cutter could not come down
MOST_FEED_GAIN = 2.0  # feed per tooth over wanted chip: a narrow cut thins the chip, a bend in the path restores it

RUB_MM = 0.003
"""Least greatest chip. A sharp micro cutter has an edge radius of 1 to 5 µm (from memory) and cuts copper-zinc from
about 0.6 of it (Cheng et al., Int. J. Adv. Manuf. Technol. 97, 2018, 3119); a thinner chip is rubbed, not cut."""

STOCK_MM = 0.13  # left on walls and floor by roughing; common practice, no source
WALL_BEND_MM = 0.01  # of the tip in a finishing pass; common practice, no source
ROUGH_BEND_MM = STOCK_MM / 3  # of the tip in roughing, so that the wall keeps most of its stock

Check = Literal["feed", "force", "power", "deflection", "stress", "rubbing", "length_of_cut"]


@dataclass(frozen=True, slots=True)
class Duty:
    """What a cutter is asked to do; `ae_mm` None: choose the stepover."""

    depth_mm: float
    bend_mm: float
    ae_mm: float | None = None
    deepest_share: float = DEEPEST_SHARE


@dataclass(frozen=True, slots=True)
class Setting:
    """How one cutter runs, and the loads that go with it: nominal, within the band that the plan tells."""

    rpm: float
    feed_mm_per_min: float
    fz_mm: float
    ae_mm: float
    ap_mm: float
    passes: int
    chip_mm: float  # the greatest
    power_w: float
    torque_nmm: float
    force_n: float
    deflection_mm: float
    stress_mpa: float
    cut_down_by: tuple[Check, ...] = ()  # what forbade the start values

    @property
    def removal_mm3_per_min(self) -> float:
        """Q = ae ap vf."""
        return milling.removal_mm3_per_min(ae_mm=self.ae_mm, ap_mm=self.ap_mm, feed=self.feed_mm_per_min)


@dataclass(frozen=True, slots=True)
class Overload:
    """No setting holds: the check that still fails when all is stepped down, in words with numbers."""

    check: Check
    says: str


def roughing(depth_mm: float) -> Duty:
    """Clear ground to a depth, leaving `STOCK_MM` on the walls."""
    return Duty(depth_mm, ROUGH_BEND_MM)


def levelling(stock_mm: float, *, width_mm: float) -> Duty:
    """Take the stock off the floor in one light pass, along the way of the roughing."""
    return Duty(stock_mm, ROUGH_BEND_MM, ae_mm=width_mm, deepest_share=math.inf)


def slotting(relief_mm: float, *, width_mm: float) -> Duty:
    """Cut a slot as wide as the cutter, at half the axial depth."""
    return Duty(relief_mm, ROUGH_BEND_MM, ae_mm=width_mm, deepest_share=DEEPEST_SHARE / 2)


def finishing(relief_mm: float) -> Duty:
    """Take the stock off the walls, in as few passes as the tip bears."""
    return Duty(relief_mm, WALL_BEND_MM, ae_mm=STOCK_MM, deepest_share=math.inf)


def out_of_reach(cutter: Cutter, relief_mm: float) -> str:
    """Say that the edges are too short for a relief, with both numbers."""
    return f"its length of cut is {cutter.length_of_cut_mm:.3g} mm, the relief {relief_mm:.3g} mm"


@lru_cache(maxsize=512)  # a plan asks for the same more than once
def settle(cutter: Cutter, duty: Duty, *, metal: Metal, machine: Machine) -> Setting | Overload:
    """Choose passes, stepover and feed with the highest removal rate that every limit allows.

    Starts at 0.30 D wide, 0.50 D deep and the metal's chip share: with these one rule fits all cutters, and on a mill
    of 10 000 rpm, 305 mm/min and 20 N it lands within a factor of two of common practice for a small brass head.
    """
    if cutter.length_of_cut_mm < duty.depth_mm:
        return Overload("length_of_cut", out_of_reach(cutter, duty.depth_mm))
    bench = Bench(cutter, duty, metal, machine)
    best: Setting | None = None
    widths = [(ae_mm, bench.feeds_per_tooth(ae_mm)) for ae_mm in bench.stepovers()]
    for passes in bench.pass_counts():
        for ae_mm, feeds in widths:
            best = bench.fastest(passes, ae_mm, feeds, above=best.removal_mm3_per_min if best else 0.0) or best
    return dataclasses.replace(best, cut_down_by=bench.asked()) if best else bench.why_not()


@dataclass(frozen=True)
class Bench:
    """One cutter at one duty in one metal on one machine."""

    cutter: Cutter
    duty: Duty
    metal: Metal
    machine: Machine

    @cached_property
    def rpm(self) -> float:
        """From the upper cutting speed, within the spindle."""
        wanted = milling.spindle_rpm(self.metal.cutting_speed_high_m_min, self.cutter.diameter_mm)
        return float(math.floor(min(wanted, self.machine.max_rpm)))

    @property
    def wanted_chip_mm(self) -> float:
        """The metal's share of the diameter, and thick enough to be cut."""
        return max(self.metal.chip_share * self.cutter.diameter_mm, RUB_MM)

    def pass_counts(self) -> range:
        """Whole passes only: rounding a depth afterwards wastes up to a third of it."""
        diameter, depth = self.cutter.diameter_mm, self.duty.depth_mm
        fewest = max(math.ceil(depth / (self.duty.deepest_share * diameter) - 1e-9), 1)
        most = math.floor(depth / min(SHALLOWEST_SHARE * diameter, SHALLOWEST_MM))
        return range(fewest, max(fewest, most) + 1)

    def stepovers(self) -> list[float]:
        """Those to try, the widest first [mm]."""
        if self.duty.ae_mm is not None:
            return [self.duty.ae_mm]
        steps = math.floor(math.log(NARROWEST_SHARE / WIDEST_SHARE) / math.log(NARROWING)) + 1
        return [WIDEST_SHARE * NARROWING**step * self.cutter.diameter_mm for step in range(steps)]

    def wanted_fz_mm(self, ae_mm: float) -> float:
        """Feed per tooth that gives the wanted greatest chip in a cut this wide."""
        gain = min(1 / milling.chip_factor(ae_mm / self.cutter.diameter_mm), MOST_FEED_GAIN)
        return self.wanted_chip_mm * gain

    def fastest(self, passes: int, ae_mm: float, feeds: list[float], *, above: float) -> Setting | None:
        """Slow the feed until every limit holds; None where that removes no more than `above` [mm³/min]."""
        at_most = ae_mm * self.duty.depth_mm / passes * self.cutter.flutes * self.rpm  # removal over feed per tooth
        worth = bisect.bisect_left(feeds, -above, key=lambda fz_mm: -fz_mm * at_most)

        def holds(slowing: int) -> bool:
            return not self.exceeded(self.run(passes, ae_mm, feeds[slowing]))

        if not worth or not holds(worth - 1):  # what does not hold at the least feed worth it holds at no higher one
            return None
        return self.run(passes, ae_mm, feeds[bisect.bisect_left(range(worth - 1), 1, key=holds)])

    def feeds_per_tooth(self, ae_mm: float) -> list[float]:
        """Those to try in a cut this wide, the highest first; none where even that rubs [mm]."""
        fz_mm, thinnest_fz_mm = (
            self._highest_fz_mm(ae_mm),
            RUB_MM / milling.chip_factor(ae_mm / self.cutter.diameter_mm),
        )
        if fz_mm < thinnest_fz_mm * (1 - 1e-9):
            return []
        slowings = math.floor(math.log(thinnest_fz_mm / fz_mm) / math.log(SLOWING) + 1e-9)
        return [fz_mm * SLOWING**slowing for slowing in range(slowings + 1)]

    def why_not(self) -> Overload:
        """Say what fails even in the lightest cut."""
        passes, ae_mm = self.pass_counts()[-1], self.stepovers()[-1]
        feeds = self.feeds_per_tooth(ae_mm)
        if not feeds:
            return Overload("rubbing", self._rubs(self.run(passes, ae_mm, self._highest_fz_mm(ae_mm))))
        return self._overload(self.run(passes, ae_mm, feeds[-1]))

    def _highest_fz_mm(self, ae_mm: float) -> float:
        cap_mm = self.machine.max_feed_mm_per_min / (self.cutter.flutes * self.rpm)
        return min(self.wanted_fz_mm(ae_mm), cap_mm)

    def asked(self) -> tuple[Check, ...]:
        """The checks that the start values break."""
        ae_mm = self.stepovers()[0]
        start = self.run(self.pass_counts()[0], ae_mm, self.wanted_fz_mm(ae_mm))
        fed: tuple[Check, ...] = ("feed",) if start.feed_mm_per_min > self.machine.max_feed_mm_per_min else ()
        return fed + self.exceeded(start)

    def run(self, passes: int, ae_mm: float, fz_mm: float) -> Setting:
        """Every number of one way to run."""
        cutter, share, ap_mm = self.cutter, ae_mm / self.cutter.diameter_mm, self.duty.depth_mm / passes
        feed = milling.feed_mm_per_min(fz_mm, flutes=cutter.flutes, rpm=self.rpm)
        removal = milling.removal_mm3_per_min(ae_mm=ae_mm, ap_mm=ap_mm, feed=feed)
        power = milling.power_w(removal, self._kc(milling.mean_chip_mm(fz_mm, ae_share=share)))
        chip_mm = fz_mm * milling.chip_factor(share)
        force = self._peak_force_n(chip_mm, fz_mm, ap_mm) * max(milling.teeth_in_cut(cutter.flutes, ae_share=share), 1)
        fluted_mm = milling.FLUTED_SHARE * cutter.diameter_mm
        bend = milling.deflection_mm(
            force,
            reach_mm=cutter.length_of_cut_mm,
            fluted_mm=fluted_mm,
            overhang_mm=cutter.overhang_mm,
            shank_mm=cutter.shank_mm,
        )
        stress = milling.bending_stress_mpa(force, lever_mm=cutter.length_of_cut_mm - ap_mm / 2, fluted_mm=fluted_mm)
        torque = milling.torque_nmm(power, self.rpm)
        return Setting(self.rpm, feed, fz_mm, ae_mm, ap_mm, passes, chip_mm, power, torque, force, bend, stress)

    def exceeded(self, run: Setting) -> tuple[Check, ...]:
        """The limits of load that `run` breaks, by name."""
        return tuple(check for check, value, limit in self._loads(run) if value > limit)

    def _loads(self, run: Setting) -> tuple[tuple[Check, float, float], ...]:
        return (
            ("force", run.force_n, self.machine.max_force_n),
            ("power", run.power_w, self.machine.spindle_power_w),
            ("deflection", run.deflection_mm, self.duty.bend_mm),
            ("stress", run.stress_mpa, milling.STRESS_LIMIT_MPA),
        )

    def _kc(self, chip_mm: float) -> float:
        return milling.specific_force_n_mm2(chip_mm, kc11_n_mm2=self.metal.kc11_n_mm2, mc=self.metal.mc)

    def _peak_force_n(self, chip_mm: float, fz_mm: float, ap_mm: float) -> float:
        """Resultant at the thickest chip of the tooth that runout makes bite deepest: up to twice its share."""
        bite = min(2.0, 1 + self.machine.runout_mm / fz_mm)
        tangential = milling.tooth_force_n(chip_mm, ap_mm=ap_mm, kc=self._kc(chip_mm))
        return milling.RESULTANT_SHARE * tangential * float(bite ** (1 - self.metal.mc))

    def _overload(self, run: Setting) -> Overload:
        unit = {"force": "N", "power": "W", "deflection": "mm", "stress": "MPa"}
        check, value, limit = next(load for load in self._loads(run) if load[1] > load[2])
        passes = numbered(run.passes, "pass", "passes")
        deed = f"at {passes}, {run.ae_mm:.2g} mm wide and a chip of {1000 * run.chip_mm:.2g} µm"
        return Overload(check, f"{deed} its {check} is {value:.3g} {unit[check]}, the limit {limit:.3g} {unit[check]}")

    def _rubs(self, run: Setting) -> str:
        at = f"at {self.rpm:.0f} rpm and {run.feed_mm_per_min:.4g} mm/min"
        return (
            f"{at} its thickest chip is {1000 * run.chip_mm:.2g} µm, below the {1000 * RUB_MM:.2g} µm it needs to cut"
        )
