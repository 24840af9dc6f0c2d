"""The block before the first chip: how large to saw it, how to hold it, where zero is, in which order to work."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.catalogue import drill_says

from .plan import Blank
from .settings import Duty, Setting, settle
from .steps import Cut, milled

if TYPE_CHECKING:
    from typing import Literal

    from stampwright.catalogue import Cutter, Metal
    from stampwright.job import Head
    from stampwright.solid import Hole

    from .work import Work

ALLOWANCE_MM = 1.0  # on every measure, half a side, for the saw's wander; common practice, no source
GRIP_SHARE = 0.5  # of the thickness within the jaws, at least; common practice, no source
FREE_MM = 2.0  # of the block above the jaws, below the floor; common practice, no source
FACING_BEND_MM = 0.05  # of the tip in facing, where no wall stands near


def blank_for(head: Head, *, metal: Metal, relief_mm: float, hole: Hole | None) -> Blank:
    """Saw size, mass, holding, zero and the order of work."""
    width, height, thickness = (
        measure + ALLOWANCE_MM for measure in (head.width_mm, head.height_mm, head.thickness_mm)
    )
    section_mm2 = _sawn_section_mm2(head)
    return Blank(
        saw_width_mm=width,
        saw_height_mm=height,
        saw_thickness_mm=thickness,
        allowance_mm=ALLOWANCE_MM,
        mass_g=section_mm2 * thickness * metal.density_kg_m3 / 1e6,
        holding=_holding(head, relief_mm),
        zero=(
            "X and Y at the middle between two touched sides, Z on the faced front, by touch to about 0.01 mm; "
            "a stop at one side brings the next block to the same place"
        ),
        checklist=_checklist(head, relief_mm, hole),
    )


def facing(cutter: Cutter, side: Literal["face", "back"], work: Work) -> Cut | None:
    """Skim one side in parallel rows, half the allowance deep; None when this cutter cannot bear it."""
    depth_mm = ALLOWANCE_MM / 2
    setting = settle(cutter, Duty(depth_mm, FACING_BEND_MM), metal=work.metal, machine=work.machine)
    if not isinstance(setting, Setting):
        return None
    width, height = (measure + ALLOWANCE_MM for measure in (work.job.head.width_mm, work.job.head.height_mm))
    rows = math.ceil(height / setting.ae_mm)
    path = _to_and_fro(rows, setting.ae_mm, width / 2 + cutter.diameter_mm / 2, height / 2 + cutter.diameter_mm / 2)
    path_mm = setting.passes * float(shapely.length(path))
    operation = milled(
        "face",
        cutter.key,
        setting,
        side=side,
        path_mm=path_mm,
        minutes=path_mm / setting.feed_mm_per_min,
        removed_mm3=_sawn_section_mm2(work.job.head) * depth_mm,
        why=f"{depth_mm:.2g} mm off the sawn {side}, in {rows} rows to and fro from beyond the edge",
    )
    return Cut(operation, path=shapely.MultiLineString([path]))


def _sawn_section_mm2(head: Head) -> float:
    width, height = head.width_mm + ALLOWANCE_MM, head.height_mm + ALLOWANCE_MM
    return math.pi / 4 * width**2 if head.shape == "round" else width * height


def _to_and_fro(rows: int, step_mm: float, half_width_mm: float, top_mm: float) -> shapely.LineString:
    y = top_mm - step_mm * np.repeat(np.arange(1, rows + 1), 2)
    x = half_width_mm * np.resize([-1.0, 1.0, 1.0, -1.0], 2 * rows)
    return shapely.linestrings(np.column_stack([x, y]))


def _stands_out_mm(relief_mm: float) -> float:
    return relief_mm + FREE_MM


def _holding(head: Head, relief_mm: float) -> str:
    jaws = "soft jaws bored to size, or V-jaws," if head.shape == "round" else "a vice, on parallels,"
    grip_mm = head.thickness_mm - _stands_out_mm(relief_mm) - head.edge_break_mm
    few = "" if grip_mm >= GRIP_SHARE * head.thickness_mm else "; this grips less than half: mill with care"
    return (
        f"in {jaws} seated with a soft blow; {_stands_out_mm(relief_mm):.1f} mm stand out, "
        f"{grip_mm:.1f} mm are gripped{few}"
    )


def _checklist(head: Head, relief_mm: float, hole: Hole | None) -> tuple[str, ...]:
    across = f"{head.width_mm:g} mm across" if head.shape == "round" else f"{head.width_mm:g} × {head.height_mm:g} mm"
    bring = "turn" if head.shape == "round" else "dress the sides square"
    drill = f"drill {drill_says(hole.drill_name, hole.drill_mm)} to {hole.drilled_mm:.2f} mm" if hole else ""
    back = f"From the back: {drill}, countersink, tap {hole.thread}" if hole else "The back keeps no hole"
    return (
        f"Saw the block with {ALLOWANCE_MM:.2g} mm to spare on every measure",
        f"Bring the outline to {across}: {bring}; this is not in the plan's minutes",
        f"Back up: face the back, {ALLOWANCE_MM / 2:.2g} mm",
        back,
        *(
            [f"Break the edge round the back, {head.edge_break_mm:.3g} mm at 45°, with a file or a deburring tool"]
            if head.edge_break_mm
            else []
        ),
        "Turn the block over on clean parallels, seat it with a soft blow, side stop in place",
        f"Face the front to {head.thickness_mm:g} mm, set Z to zero on it, X and Y to the middle",
        f"Front: rough to {relief_mm:.3g} mm from the largest cutter to the smallest, then the walls, then the bores",
        "Break all edges, wipe clean" + (", try the thread on the rod" if hole else ""),
    )
