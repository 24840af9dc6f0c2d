"""Face and rack become a plan: back first, then the front from the largest cutter to the smallest, walls, bores."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import shapely

from stampwright.plane import Closings, polygons_of

from .blank import blank_for, facing
from .bores import bores_for
from .cautions import cautions_for
from .choice import choose_cutters
from .clearing import stages_of
from .corner import Corners
from .finest import finest_needed
from .hole import hole_operations, thread_plan
from .plan import CuttingPlan
from .rack import ready_cutters
from .reach import Ground
from .steps import numbered, simple, total_min
from .timing import Clock
from .work import Work

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stampwright.catalogue import Metal
    from stampwright.job import Job
    from stampwright.layout import Face
    from stampwright.solid import Hole

    from .bores import Bore
    from .plan import Operation
    from .rack import Ready

_BREAK_EDGES_MIN = 3.0  # a file round the block and along the lands; common practice, no source


def plan_cutting(face: Face, job: Job, *, hole: Hole | None, metal: Metal, closings: Closings) -> CuttingPlan:
    """Plan the work from the sawn block to the finished head.

    Every operation's ground is disjoint from those before it, and together they are the floor less `left_uncut`.
    Raises `JobError` when no cutter of the rack reaches the floor or none holds on the machine.
    """
    relief_mm, machine = face.relief_mm, job.machine
    ready, passed_over = ready_cutters(job.cutters, relief_mm=relief_mm, metal=metal, machine=machine)
    finest = finest_needed([each.cutter for each in ready], closings, job.limits)
    used = [each for each in ready if each.cutter.diameter_mm >= finest.cutter.diameter_mm]
    passed_over |= {
        each.cutter.key: f"finer than this mark asks: of {finest.cutter.key}, {finest.says}"
        for each in ready
        if each not in used
    }
    bores = bores_for(finest.cutter.diameter_mm, face.ink)
    ground = _ground_without(bores, closings, face.head)
    chosen, dear = choose_cutters(used, ground, relief_mm=relief_mm, machine=machine)
    work = Work(job, metal, relief_mm)
    pointed, others = Corners(ground, finest, work).sharpened()
    clock = Clock(ground, bores, finest, work)
    front = [(clock.operation_of(stage), stage.ground) for stage in stages_of(chosen, ground, bores)]
    if pointed:
        front.append((pointed.operation, pointed.ground))
    operations = _in_order(chosen, [operation for operation, _ in front], job=job, metal=metal, hole=hole)
    grounds = iter([area for _, area in front])
    milled_kinds = {operation.kind for operation, _ in front}
    return CuttingPlan(
        operations=operations,
        cleared=tuple(
            next(grounds) if operation.kind in milled_kinds else shapely.MultiPolygon()
            for operation in operations
            if operation.side == "face"
        ),
        left_uncut=pointed.left_uncut if pointed else ground.uncut(finest.cutter.diameter_mm / 2),
        cutters=tuple(each.cutter.key for each in chosen) + ((pointed.cutter.key,) if pointed else ()),
        passed_over=_in_rack_order(passed_over | dear | others, job),
        total_min=total_min(operations, machine),
        blank=blank_for(job.head, metal=metal, relief_mm=relief_mm, hole=hole),
        thread=thread_plan(hole) if hole else None,
        cautions=cautions_for(metal, tapped=hole is not None),
    )


def _in_order(
    chosen: Sequence[Ready], front: Sequence[Operation], *, job: Job, metal: Metal, hole: Hole | None
) -> tuple[Operation, ...]:
    """Back first, while the block's front is still whole to stand on; edges last."""
    skims = {side: _skim(chosen, side, job=job, metal=metal) for side in ("back", "face")}
    holes = hole_operations(hole, metal=metal, machine=job.machine) if hole else []
    ordered = [skims["back"], *holes, skims["face"], *front, _break_edges()]
    return numbered([operation for operation in ordered if operation])


def _skim(chosen: Sequence[Ready], side: Literal["face", "back"], *, job: Job, metal: Metal) -> Operation | None:
    """Face one side with the largest chosen cutter that bears it: no change of cutter for it."""
    tried = (facing(ready.cutter, side, head=job.head, metal=metal, machine=job.machine) for ready in chosen)
    return next((operation for operation in tried if operation), None)


def _break_edges() -> Operation:
    why = "edges of block and lands broken by 0.05 to 0.1 mm with a fine file, so that they press fibres and cut none"
    return simple("break_edge", "file", side="face", minutes=_BREAK_EDGES_MIN, why=why)


def _in_rack_order(reasons: dict[str, str], job: Job) -> dict[str, str]:
    return {cutter.key: reasons[cutter.key] for cutter in job.cutters if cutter.key in reasons}


def _ground_without(bores: Sequence[Bore], closings: Closings, head: shapely.Polygon) -> Ground:
    """Ground for clearing: round counters that get bored are no floor of it."""
    if not bores:
        return Ground(closings, head)
    filled = shapely.union_all([closings.ink, *(bore.ring for bore in bores)])
    return Ground(Closings(polygons_of(filled)), head)
