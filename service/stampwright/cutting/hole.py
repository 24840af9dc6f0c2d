"""The back of the head: drill, countersink and tap, and the thread as the sheet shows it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stampwright.catalogue import thread_named

from . import milling
from .plan import ThreadPlan
from .steps import simple

if TYPE_CHECKING:
    from stampwright.catalogue import Metal
    from stampwright.job import Machine
    from stampwright.solid import Hole

    from .plan import Operation

HSS_SHARE = 0.5  # high-speed steel over carbide cutting speed: a common table of speeds lets carbide run twice as fast
DRILL_FEED_SHARE = 0.015  # feed per turn over the drill's diameter, 1 to 2 %; common practice, no source
TAPPING_MIN = 3.0  # by hand: start square, half turns back, chips out; common practice, no source
COUNTERSINK_RPM = 1000.0  # slow, against chatter; common practice, no source
COUNTERSINK_FEED = 50.0  # mm/min; common practice, no source


def thread_plan(hole: Hole) -> ThreadPlan:
    """The hole as the sheet shows it; diameters from the 60° form (ISO 68-1, ASME B1.1)."""
    thread = thread_named(hole.thread)
    return ThreadPlan(
        size=hole.thread,
        tap=hole.tap,
        drill_mm=hole.drill_mm,
        drill_name=hole.drill_name,
        percent_of_thread=thread.percent_of_thread,
        drilled_mm=hole.drilled_mm,
        full_thread_mm=hole.full_thread_mm,
        engagement_diameters=hole.full_thread_mm / thread.major_mm,
        point_mm=hole.point_mm,
        wall_mm=hole.wall_mm,
        internal_minor_mm=thread.internal_minor_mm,
        pitch_mm=thread.pitch_mm,
    )


def hole_operations(hole: Hole, *, metal: Metal, machine: Machine) -> list[Operation]:
    """Drill, countersink, tap."""
    return [_drill(hole, metal, machine), _countersink(hole, machine), _tap(hole)]


def _drill(hole: Hole, metal: Metal, machine: Machine) -> Operation:
    rpm = min(milling.spindle_rpm(metal.cutting_speed_low_m_min * HSS_SHARE, hole.drill_mm), machine.max_rpm)
    feed = min(rpm * DRILL_FEED_SHARE * hole.drill_mm, machine.max_feed_mm_per_min)
    depth_mm = hole.drilled_mm + hole.point_mm
    pecks = max(1, round(depth_mm / hole.drill_mm))
    # a peck goes back to the mouth and down again, on average half the depth each way
    minutes = depth_mm / feed + pecks * depth_mm / machine.lift_mm_per_min
    why = (
        f"{hole.drill_name} drill for {hole.thread}: {hole.drilled_mm:.2f} mm to the shoulder of its point, in pecks "
        f"of one diameter; the point ends {hole.wall_mm:.2f} mm short of the floor"
    )
    removed_mm3 = math.pi * hole.drill_mm**2 / 4 * (hole.drilled_mm + hole.point_mm / 3)
    return simple(
        "drill",
        f"drill-{hole.drill_mm:.3f}",
        side="back",
        rpm=float(round(rpm)),
        feed=feed,
        path_mm=depth_mm,
        removed_mm3=removed_mm3,
        minutes=minutes,
        why=why,
    )


def _countersink(hole: Hole, machine: Machine) -> Operation:
    depth_mm = max(hole.countersink_mm - hole.drill_mm, 0.0) / 2  # a 90° countersink goes as deep as it is wide
    feed = min(COUNTERSINK_FEED, machine.max_feed_mm_per_min)
    return simple(
        "countersink",
        "countersink-90",
        side="back",
        rpm=min(COUNTERSINK_RPM, machine.max_rpm),
        feed=feed,
        path_mm=depth_mm,
        removed_mm3=math.pi * depth_mm**2 * (hole.drill_mm / 2 + depth_mm / 3),
        minutes=depth_mm / feed,
        why=f"a mouth of {hole.countersink_mm:.2f} mm, so that the tap starts true and raises no burr",
    )


def _tap(hole: Hole) -> Operation:
    why = (
        f"{hole.tap} tap by hand, {hole.full_thread_mm:.2f} mm of full thread; chips out before it, depth marked, half "
        f"a turn back for each turn"
    )
    return simple("tap", f"tap-{hole.tap}", side="back", minutes=TAPPING_MIN, why=why)
