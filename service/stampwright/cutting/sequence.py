"""Face and rack become a plan: back first, then the front from the largest cutter to the smallest, walls, bores."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Literal

import shapely

from stampwright.layout import outline_of
from stampwright.plane import Closings, outside, polygons_of

from .blank import blank_for, facing
from .bores import bores_for
from .cautions import cautions_for
from .choice import choose_cutters
from .clearing import Clearings, stages_of
from .corner import Corners
from .finest import finest_needed
from .hole import hole_operations, thread_plan
from .origins import origins
from .plan import CuttingPlan
from .rack import ready_cutters
from .reach import Ground
from .steps import Cut, numbered, simple, total_min
from .timing import Clock
from .work import Work

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stampwright.catalogue import Cutter, Metal
    from stampwright.job import Head, Job
    from stampwright.layout import Face
    from stampwright.plane import Axis
    from stampwright.review import Review
    from stampwright.solid import Hole

    from .bores import Bore
    from .plan import Operation

_TAKE_UP_FILE_MIN, _FILED_MM3_PER_MIN = 1.0, 60.0  # a bastard file in brass; common practice, no source
_BREAK_EDGES_MIN = 3.0  # a file round the block and along the lands; common practice, no source


def plan_cutting(  # noqa: PLR0913  the face, the job, and what the pipeline makes once for all stages
    face: Face,
    job: Job,
    *,
    hole: Hole | None,
    metal: Metal,
    axis: Axis,
    closings: Closings,
    review: Review | None = None,
) -> CuttingPlan:
    """Plan the work from the sawn block to the finished head; `axis` and `closings` are those of the face's ink.

    `review`: of the same face, if there is one: what each cutter leaves of the outline is not reckoned again.
    Every operation's ground is disjoint from those before it, and together they are the floor less `left_uncut`.
    Raises `JobError` when no cutter of the rack reaches the floor or none holds on the machine.
    """
    work = Work(job, metal, face.relief_mm)
    ready, passed_over = ready_cutters(work)
    known = {reach.cutter: reach.faithful_share for reach in review.cutters} if review else None
    finest = finest_needed([each.cutter for each in ready], axis, closings, job.limits, known=known)
    bores = bores_for(finest.cutter.diameter_mm, face.ink)
    ground = _ground_without(bores, closings, face, axis, finest.cutter.diameter_mm / 2)
    used = [each for each in ready if each.cutter.diameter_mm >= finest.cutter.diameter_mm]
    finer = f"finer than this mark asks: of {finest.cutter.key}, {finest.says}"
    passed_over |= {each.cutter.key: finer for each in ready if each not in used}
    clearings = Clearings(ground)
    chosen, dear = choose_cutters(used, clearings, work)
    ground.let_go(all_but=[each.radius_mm for each in chosen])
    by_flats = ground.uncut(finest.cutter.diameter_mm / 2)
    pointed, others = Corners(ground, finest, work).sharpened()
    clock = Clock(float(shapely.area(ground.floor)), bores, finest, work)
    stages = stages_of(chosen, clearings, bores, work)
    cuts = [clock.cut_of(stage) for stage in stages]
    cutters = [each.cutter for each in chosen]
    front = [*_skimmed(cutters, "face", work), *cuts, *([pointed.cut] if pointed else []), _edges_broken()]
    back = [*(cut.operation for cut in _skimmed(cutters, "back", work)), *_holed(hole, work), *_back_broken(job.head)]
    operations = numbered([*back, *(cut.operation for cut in front)])
    return CuttingPlan(
        operations=operations,
        cleared=tuple(cut.ground for cut in front),
        left_uncut=pointed.left_uncut if pointed else by_flats,
        left_by_flats=by_flats,
        cutters=tuple(cutter.key for cutter in [*cutters, *([pointed.cutter] if pointed else [])]),
        passed_over=_in_rack_order(passed_over | dear | others, job),
        total_min=total_min(operations, job.machine),
        blank=blank_for(job.head, metal=metal, relief_mm=face.relief_mm, hole=hole),
        thread=thread_plan(hole) if hole else None,
        cautions=cautions_for(
            metal,
            tapped=hole is not None,
            plunged=any(stage.laid.tight_entries for stage in stages),
            sloping=job.relief.draft_deg > 0.0,
        ),
        origins=origins(),
        paths=tuple(cut.path for cut in front),
    )


def _skimmed(cutters: Sequence[Cutter], side: Literal["face", "back"], work: Work) -> list[Cut]:
    """Face one side with the largest chosen cutter that bears it: no change of cutter for it."""
    borne = (cut for cutter in cutters if (cut := facing(cutter, side, work)))
    return [*itertools.islice(borne, 1)]


def _holed(hole: Hole | None, work: Work) -> list[Operation]:
    return hole_operations(hole, metal=work.metal, machine=work.machine) if hole else []


def _back_broken(head: Head) -> list[Operation]:
    """The broken edge round the back, if the job has one: by hand, before the block is turned over."""
    wide_mm = head.edge_break_mm
    if not wide_mm:
        return []
    taken_mm3 = outline_of(head).broken_mm3(wide_mm)
    minutes = _TAKE_UP_FILE_MIN + taken_mm3 / _FILED_MM3_PER_MIN
    why = f"the edge round the back broken by {wide_mm:.3g} mm at 45°, with a file or a deburring tool, for a safe grip"
    return [simple("break_edge", "file", side="back", removed_mm3=taken_mm3, minutes=minutes, why=why)]


def _edges_broken() -> Cut:
    why = "edges of block and lands broken by 0.05 to 0.1 mm with a fine file, so that they press fibres and cut none"
    return Cut(simple("break_edge", "file", side="face", minutes=_BREAK_EDGES_MIN, why=why))


def _in_rack_order(reasons: dict[str, str], job: Job) -> dict[str, str]:
    return {cutter.key: reasons[cutter.key] for cutter in job.cutters if cutter.key in reasons}


def _ground_without(bores: Sequence[Bore], closings: Closings, face: Face, axis: Axis, least_mm: float) -> Ground:
    """Ground for clearing: round counters that get bored are no floor of it."""
    if not bores:
        return Ground(closings, face.head, face.floor, axis, least_mm=least_mm)
    filled = polygons_of(shapely.union_all([closings.ink, *(bore.ring for bore in bores)]))
    return Ground(Closings(filled, axis), face.head, outside(filled, face.head), axis, least_mm=least_mm)
