"""The rod between head and handle: how long it must stay bare, and what a given one does to the hand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stampwright.base import JobError
from stampwright.base.tables import rows
from stampwright.catalogue import METALS, thread_named

from .fin import Fin, arrival_s
from .use import RodPlan

if TYPE_CHECKING:
    from stampwright.catalogue import Metal
    from stampwright.job import Rod, ThreadChoice
    from stampwright.solid import Hole

    from .use import Range

TOUCH_LIMIT_C = 48.0  # metal or wood held for more than a minute; secondary source of ISO 13732-1, see the bibliography
LENGTH_FACTOR = 1.5  # bare length over the endless rod's reach; common practice, no source
USUAL_ROD_MM = 6.35  # a quarter inch, when there is no thread to tell

HANDLE_DIAMETERS = 8.0  # depth of the rod in the handle, 8 to 10; common practice, no source
THREAD_IN_WOOD = (0.2, 0.5)  # pitches over the internal minor diameter, in hardwood; common practice, no source
GLUE_GAP_MM = (0.3, 0.8)  # bore over a rod that is glued in; common practice, no source

RODS = {row["key"]: row for row in rows("stampwright.heat", "rods")}


def rod_metal(key: str) -> Metal:
    """Metal of the rod; raises `JobError` (unknown-rod-material) that lists what rods are made of."""
    if key not in RODS:
        detail = f"{key!r} is not a metal for rods; there are {', '.join(RODS)}"
        raise JobError.at("unknown-rod-material", detail, pointer="/job/use/rod/material")
    return METALS[key]


def safe_length_mm(fin: Fin, *, hot_c: float) -> float:
    """Bare length that keeps the grip at the touch limit, by both rules, rounded up to 5 mm.

    One is 1.5 times the reach of an endless dull rod; the other the integrated balance of a bright one that ends in an
    insulating handle. The second is the longer one for every head that may be used; the first stays as a floor.
    """
    by_rule = LENGTH_FACTOR * fin.endless_reach_mm(hot_c, limit_c=TOUCH_LIMIT_C)
    by_balance = fin.bare_length_mm(hot_c, grip_c=TOUCH_LIMIT_C)
    return math.ceil(max(by_rule, by_balance) / 5) * 5.0


def loosening_mm(diameter_mm: float, *, head: Metal, rod: Metal, warmer_by_k: float) -> float:
    """How much wider than the rod the threaded hole grows when hot [mm]; negative when the rod outgrows it.

    Expansion 20.5 against 12 µm/(m K) over 380 K opens a 1/4 in joint by 0.0205 mm.
    """
    return (head.expansion_um_mk - rod.expansion_um_mk) * 1e-6 * warmer_by_k * diameter_mm


def handle_bore_mm(diameter_mm: float, *, thread: ThreadChoice | None) -> Range:
    """Bore of the wooden handle [mm]: for the rod's own thread cut into the wood, else for a rod glued in.

    A 1/4-20 thread in hardwood asks for 5.2 to 5.6 mm, 7/32 in (common practice, no source).
    """
    if thread and _is_threaded(diameter_mm, thread):
        form = thread_named(thread.size)
        low, high = (form.internal_minor_mm + share * form.pitch_mm for share in THREAD_IN_WOOD)
        return low, high
    return diameter_mm + GLUE_GAP_MM[0], diameter_mm + GLUE_GAP_MM[1]


def _is_threaded(diameter_mm: float, thread: ThreadChoice | None) -> bool:
    """A rod as thick as its thread is threaded at both ends; any other is turned down at one, and glued in."""
    return thread is not None and diameter_mm == thread_named(thread.size).major_mm


def plan_rod(asked: Rod, *, thread: ThreadChoice | None, hole: Hole | None, hot_c: float) -> RodPlan:
    """Choose or judge the rod for a head that works at up to `hot_c`. Raises `JobError` for an unknown material."""
    metal = rod_metal(asked.material)
    major_mm = thread_named(thread.size).major_mm if thread else USUAL_ROD_MM
    diameter_mm = asked.diameter_mm or major_mm
    fin = Fin(diameter_mm, metal.conductivity_w_mk)
    safe_mm = safe_length_mm(fin, hot_c=hot_c)
    bare_mm = asked.bare_length_mm or safe_mm
    grip_c = fin.grip_c(hot_c, length_mm=bare_mm)
    sentences = [_length_says(bare_mm, safe_mm=safe_mm, grip_c=grip_c, hot_c=hot_c)]
    if thread and diameter_mm < major_mm:
        sentences.append(f"{diameter_mm:g} mm is too thin for the thread {thread.size}, which needs {major_mm:g} mm.")
    minutes = arrival_s(bare_mm, diffusivity_mm2_s=metal.diffusivity_mm2_s) / 60
    drawn_w = fin.drawn_w(hot_c, length_mm=bare_mm)
    sentences.append(f"The grip stays at room temperature for the first {minutes:.1f} min, then warms slowly.")
    sentences.append(f"The rod draws up to {drawn_w:.0f} W from the head.")
    bore_mm = handle_bore_mm(diameter_mm, thread=thread)
    sentences.append(_handle_says(bore_mm, HANDLE_DIAMETERS * diameter_mm, threaded=_is_threaded(diameter_mm, thread)))
    return RodPlan(
        material=metal.key,
        diameter_mm=diameter_mm,
        bare_length_mm=bare_mm,
        touch_limit_c=TOUCH_LIMIT_C,
        grip_c=grip_c,
        engagement_mm=hole.full_thread_mm if hole else None,
        handle_bore_mm=bore_mm,
        handle_depth_mm=HANDLE_DIAMETERS * diameter_mm,
        says=" ".join(sentences),
    )


def _handle_says(bore_mm: Range, depth_mm: float, *, threaded: bool) -> str:
    low_mm, high_mm = bore_mm
    how = "cut its thread into the wood by hand" if threaded else "glue it in, with a flat along it for the air"
    return f"Bore the hardwood handle {low_mm:.1f} to {high_mm:.1f} mm wide and {depth_mm:.0f} mm deep, and {how}."


def _length_says(bare_mm: float, *, safe_mm: float, grip_c: float, hot_c: float) -> str:
    if grip_c > TOUCH_LIMIT_C:
        reached = f"at {hot_c:.0f} °C the grip may reach {grip_c:.0f} °C, and {TOUCH_LIMIT_C:g} °C is the hand's limit"
        return f"{bare_mm:g} mm of bare rod is too short: {reached}. Take {safe_mm:g} mm."
    if bare_mm < safe_mm:
        return f"{bare_mm:g} mm of bare rod will do and leaves no margin; {safe_mm:g} mm is the usual length."
    return f"{bare_mm:g} mm of bare rod keeps the grip at {grip_c:.0f} °C; {TOUCH_LIMIT_C:g} °C is the hand's limit."
