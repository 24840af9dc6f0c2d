"""How a cutter runs: the most metal a minute that chip, feed, force, power, deflection and stress all allow."""

from __future__ import annotations

import bisect
import dataclasses
import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Literal, NamedTuple

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
    above = 0.0
    widths = [width for ae_mm in bench.stepovers() if (width := bench.width(ae_mm)).feeds]
    for passes in bench.pass_counts():
        for width in widths:
            faster = bench.fastest(passes, width, above=above)
            best, above = (faster, faster.removal_mm3_per_min) if faster else (best, above)
    return dataclasses.replace(best, cut_down_by=bench.asked()) if best else bench.why_not()


class Width(NamedTuple):
    """A cut so wide: feeds per tooth to try, `fz_mm` and those so many steps slower; and what its loads go by."""

    ae_mm: float
    fz_mm: float
    feeds: range  # steps slower; none where even the highest feed rubs
    chip: float  # the greatest over feed per tooth
    mean_chip: float  # over the arc, likewise
    teeth: float  # in the cut, one at least

    def slowed_mm(self, steps: int) -> float:
        """Feed per tooth so many steps slower."""
        return self.fz_mm * SLOWING**steps


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

    def fastest(self, passes: int, width: Width, *, above: float) -> Setting | None:
        """Slow the feed until every limit holds; None where that removes no more than `above` [mm³/min]."""
        ap_mm = self.duty.depth_mm / passes
        removal = width.ae_mm * ap_mm * self.cutter.flutes * self.rpm  # mm³/min over feed per tooth
        if width.fz_mm * removal <= above:
            return None
        most_n = self._most_force_n(ap_mm)

        def holds(slowing: int) -> bool:
            fz_mm = width.slowed_mm(slowing)
            return (
                self._force_n(fz_mm, ap_mm, width) <= most_n
                and milling.power_w(removal * fz_mm, self._kc(width.mean_chip * fz_mm)) <= self.machine.spindle_power_w
            )

        worth = bisect.bisect_left(width.feeds, -above, key=lambda slowing: -width.slowed_mm(slowing) * removal)
        if not holds(worth - 1):  # what does not hold at the least feed worth it holds at no higher one
            return None
        slowing = bisect.bisect_left(range(worth - 1), 1, key=holds)
        return self.run(passes, width, width.slowed_mm(slowing))

    def width(self, ae_mm: float) -> Width:
        """What there is to try in a cut so wide."""
        share = ae_mm / self.cutter.diameter_mm
        chip, fz_mm = milling.chip_factor(share), self._highest_fz_mm(ae_mm)
        thinnest_fz_mm, feeds = RUB_MM / chip, range(0)
        if fz_mm >= thinnest_fz_mm * (1 - 1e-9):
            feeds = range(math.floor(math.log(thinnest_fz_mm / fz_mm) / math.log(SLOWING) + 1e-9) + 1)
        teeth = max(milling.teeth_in_cut(self.cutter.flutes, ae_share=share), 1.0)
        return Width(ae_mm, fz_mm, feeds, chip, milling.mean_chip_mm(1.0, ae_share=share), teeth)

    def why_not(self) -> Overload:
        """Say what fails even in the lightest cut."""
        passes, ae_mm = self.pass_counts()[-1], self.stepovers()[-1]
        width = self.width(ae_mm)
        if not width.feeds:
            return Overload("rubbing", self._rubs(self.run(passes, width, width.fz_mm)))
        return self._overload(self.run(passes, width, width.slowed_mm(width.feeds[-1])))

    def _highest_fz_mm(self, ae_mm: float) -> float:
        cap_mm = self.machine.max_feed_mm_per_min / (self.cutter.flutes * self.rpm)
        return min(self.wanted_fz_mm(ae_mm), cap_mm)

    def asked(self) -> tuple[Check, ...]:
        """The checks that the start values break."""
        ae_mm = self.stepovers()[0]
        start = self.run(self.pass_counts()[0], self.width(ae_mm), self.wanted_fz_mm(ae_mm))
        fed: tuple[Check, ...] = ("feed",) if start.feed_mm_per_min > self.machine.max_feed_mm_per_min else ()
        return fed + self.exceeded(start)

    def run(self, passes: int, width: Width, fz_mm: float) -> Setting:
        """Every number of one way to run."""
        ap_mm, ae_mm = self.duty.depth_mm / passes, width.ae_mm
        feed = milling.feed_mm_per_min(fz_mm, flutes=self.cutter.flutes, rpm=self.rpm)
        removal = milling.removal_mm3_per_min(ae_mm=ae_mm, ap_mm=ap_mm, feed=feed)
        mean_chip_mm = milling.mean_chip_mm(fz_mm, ae_share=ae_mm / self.cutter.diameter_mm)
        power = milling.power_w(removal, self._kc(mean_chip_mm))
        force = self._force_n(fz_mm, ap_mm, width)
        bend, stress, torque = self._bend_mm(force), self._stress_mpa(force, ap_mm), milling.torque_nmm(power, self.rpm)
        chip_mm = fz_mm * width.chip
        return Setting(self.rpm, feed, fz_mm, ae_mm, ap_mm, passes, chip_mm, power, torque, force, bend, stress)

    def _most_force_n(self, ap_mm: float) -> float:
        """What machine, deflection and stress allow: these two are the force times a factor."""
        by_stress = milling.STRESS_LIMIT_MPA / self._stress_mpa(1.0, ap_mm)
        return min(self.machine.max_force_n, self.duty.bend_mm / self._bend_mm(1.0), by_stress)

    def _bend_mm(self, force_n: float) -> float:
        return milling.deflection_mm(
            force_n,
            reach_mm=self.cutter.length_of_cut_mm,
            fluted_mm=milling.FLUTED_SHARE * self.cutter.diameter_mm,
            overhang_mm=self.cutter.overhang_mm,
            shank_mm=self.cutter.shank_mm,
        )

    def _stress_mpa(self, force_n: float, ap_mm: float) -> float:
        fluted_mm = milling.FLUTED_SHARE * self.cutter.diameter_mm
        return milling.bending_stress_mpa(
            force_n, lever_mm=self.cutter.length_of_cut_mm - ap_mm / 2, fluted_mm=fluted_mm
        )

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

    def _force_n(self, fz_mm: float, ap_mm: float, width: Width) -> float:
        """Of all teeth in the cut: resultants at the thickest chip, of a tooth that runout makes bite up to twice."""
        chip_mm = fz_mm * width.chip
        bite = min(2.0, 1 + self.machine.runout_mm / fz_mm)
        tangential = milling.tooth_force_n(chip_mm, ap_mm=ap_mm, kc=self._kc(chip_mm))
        return milling.RESULTANT_SHARE * tangential * float(bite ** (1 - self.metal.mc)) * width.teeth

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
