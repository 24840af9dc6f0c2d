"""From the cold head to the print in plain sentences, each with its figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stampwright.base import numbered

from .body import gradient_k, soak_s
from .losses import ROOM_C
from .pressing import HAND_FORCE_N
from .rod import loosening_mm, rod_metal

if TYPE_CHECKING:
    from stampwright.catalogue import Metal
    from stampwright.job import Head

    from .use import Range, RodPlan

TIGHT_MM = 0.005  # a joint that opens by less stays tight
_FAR_K = 100.0  # from here on a number between the ends of a head tells nobody more than words; our own judgement


@dataclass(frozen=True, slots=True)
class Heating:
    """How the head is brought to temperature."""

    torch_w: float
    power_w: float  # the share of it that enters the head
    range_s: Range
    target_c: Range


@dataclass(frozen=True, slots=True)
class Printing:
    """How prints are made."""

    dwell_s: Range
    force_n: Range
    prints: int
    handling_s: float


def steps_for(head: Head, *, metal: Metal, rod: RodPlan, heating: Heating, printing: Printing) -> tuple[str, ...]:
    """Order of work for one heat: joint, flame, soak, print."""
    joint = _joint(rod, metal=metal, warmer_by_k=heating.target_c[1] - ROOM_C)
    return (*joint, *_heating_says(head, metal=metal, heating=heating), *_printing_says(printing))


def _joint(rod: RodPlan, *, metal: Metal, warmer_by_k: float) -> list[str]:
    if rod.engagement_mm is None:
        return []
    opens_mm = loosening_mm(rod.diameter_mm, head=metal, rod=rod_metal(rod.material), warmer_by_k=warmer_by_k)
    sentence = "Screw the rod home against a shoulder or a jam nut"
    if opens_mm >= TIGHT_MM:
        sentence += f": hot, the hole grows {opens_mm:.3f} mm wider than the rod, and friction alone lets go"
    return [f"{sentence}."]


def _heating_says(head: Head, *, metal: Metal, heating: Heating) -> list[str]:
    length_m, section_m2 = head.thickness_mm / 1000, head.width_mm * head.height_mm / 1e6
    uneven_k = gradient_k(
        heating.power_w, length_m=length_m, section_m2=section_m2, conductivity_w_mk=metal.conductivity_w_mk
    )
    wait_s = max(round(soak_s(length_m, diffusivity_mm2_s=metal.diffusivity_mm2_s)), 1)
    (soon_s, late_s), (low_c, high_c) = heating.range_s, heating.target_c
    flame = f"Heat with {heating.torch_w:.0f} W of flame, always moving, for {soon_s:.0f} to {late_s:.0f} s"
    one_end = "one end of so small a head runs far ahead of the other in such a flame"
    if uneven_k <= _FAR_K:
        one_end = f"one end of the head may be {uneven_k:.0f} °C hotter than the other"
    return [
        f"{flame}, until the face shows {high_c:.0f} °C; print down to {low_c:.0f} °C.",
        f"Take the flame away and wait {wait_s} s, until the heat is even: {one_end}.",
    ]


def _printing_says(printing: Printing) -> list[str]:
    low_s, high_s = printing.dwell_s
    low_n, high_n = printing.force_n
    press = f"Press with {low_n:.0f} to {high_n:.0f} N for {low_s:g} to {high_s:g} s, never sliding, and lift straight."
    if high_n > HAND_FORCE_N:
        press += f" Above {HAND_FORCE_N:g} N an arbor press or the quill of a drill press is steadier than a hand."
    return ["Try on scrap of the same wood or leather first.", press, _again(printing)]


def _again(printing: Printing) -> str:
    if printing.prints == 0:
        cold = f"After {printing.handling_s:g} s of handling the face is too cool to print"
        return f"{cold}: bring the work nearer to the flame, or choose a metal that may be hotter."
    return f"Count on {numbered(printing.prints, 'print')} a heat, then back into the flame."
