r"""The threaded hole in the back: how much full thread fits under the floor, and what must be drilled for it.

      ______              ______    face
 ____|      |____________|      |   floor  ─┐ relief, milled out of the block
|            /\                 |           ├ wall, at least 3 mm and half a diameter
|           /  \                |          ─┤ point of the drill, 118 degrees
|          |    |               |           │ chip room, one pitch; lead of the tap
|          |    |               |           │ full thread, 1.5 diameters where they fit
|__________/    \_______________|          ─┘ countersink, 90 degrees
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stampwright.base import DoesNotFit
from stampwright.base.quantities import drill_point_mm
from stampwright.catalogue import tap_named, thread_named

from .solid import Hole

if TYPE_CHECKING:
    from stampwright.catalogue import Thread
    from stampwright.job import Head, ThreadChoice

# All of these are common practice, no source.
_WANTED_DIAMETERS = 1.5  # full thread of a light joint in brass; 1.5 D is also the usual figure for a blind steel hole
_LEAST_PITCHES = 2.0  # fewer turns than this hold nothing
_CHIP_ROOM_PITCHES = 1.0  # drilled deeper than tapped, for chips
_LEAST_WALL_MM = 3.0  # between the drill's point and the floor
_WALL_DIAMETERS = 0.5
_COUNTERSINK_DIAMETERS = 1.05  # mouth just beyond the major diameter, so that the first thread raises no burr
_RIM_MM = 2.0  # metal around the mouth


def plan_hole(thread: ThreadChoice | None, *, head: Head, relief_mm: float) -> Hole | None:
    """Plan the deepest thread up to 1.5 diameters; None when the job wants no hole.

    The head's thickness is that of the whole block, relief included. Raises `DoesNotFit` with the least thickness
    when less than two pitches of full thread fit, and when the mouth is too wide for the head.
    """
    if thread is None:
        return None
    form, tap = thread_named(thread.size), tap_named(thread.tap)
    mouth_mm = _COUNTERSINK_DIAMETERS * form.major_mm
    _check_mouth(form, mouth_mm, head=head)
    point_mm = drill_point_mm(form.drill_mm)
    lead_mm = (tap.incomplete_threads + _CHIP_ROOM_PITCHES) * form.pitch_mm
    wall_mm = max(_LEAST_WALL_MM, _WALL_DIAMETERS * form.major_mm)
    room_mm = head.thickness_mm - relief_mm - wall_mm - point_mm - lead_mm
    full_mm = min(_WANTED_DIAMETERS * form.major_mm, room_mm)
    least_mm = _LEAST_PITCHES * form.pitch_mm
    if full_mm < least_mm:
        detail = (
            f"{form.size} in a head of {head.thickness_mm:g} mm: relief {relief_mm:g}, wall {wall_mm:.2f}, drill point "
            f"{point_mm:.2f}, tap lead and chip room {lead_mm:.2f} mm leave {max(room_mm, 0.0):.2f} mm of full thread, "
            f"and {least_mm:.2f} mm is the least; make the head at least "
            f"{head.thickness_mm + least_mm - room_mm:.2f} mm thick, "
            f"or choose a smaller thread, a tap with a shorter lead, a lower relief or no thread"
        )
        raise DoesNotFit.at("hole-too-deep", detail, pointer="/job/head/thickness")
    drilled_mm = full_mm + lead_mm
    return Hole(
        thread=form.size,
        tap=tap.key,
        drill_mm=form.drill_mm,
        drill_name=form.drill_name,
        full_thread_mm=full_mm,
        drilled_mm=drilled_mm,
        point_mm=point_mm,
        wall_mm=head.thickness_mm - relief_mm - drilled_mm - point_mm,
        countersink_mm=mouth_mm,
    )


def _check_mouth(form: Thread, mouth_mm: float, *, head: Head) -> None:
    across_mm = min(head.width_mm, head.height_mm)
    least_mm = mouth_mm + 2 * _RIM_MM
    room_mm = (across_mm - least_mm) / 2
    if room_mm >= 0 and head.edge_break_mm > room_mm:
        detail = (
            f"the mouth of {form.size} is {mouth_mm:.2f} mm wide and wants {_RIM_MM:g} mm of metal around it in the "
            f"back: give an edge break of at most {math.floor(100 * room_mm) / 100:g} mm, or a larger head"
        )
        raise DoesNotFit.at("edge-break-too-wide", detail, pointer="/job/head/edge_break")
    if room_mm < 0:
        name = "diameter" if head.shape == "round" else "width" if head.width_mm <= head.height_mm else "height"
        detail = (
            f"the mouth of {form.size} is {mouth_mm:.2f} mm wide and wants {_RIM_MM:g} mm of metal around it: "
            f"{across_mm:g} mm of head is less than {least_mm:.2f} mm; choose a smaller thread or a larger head"
        )
        raise DoesNotFit.at("hole-too-wide", detail, pointer=f"/job/head/{name}")
