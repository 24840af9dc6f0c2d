"""The front of the head: from the chosen cutters to the grounds each operation clears, which together are the floor."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from stampwright.plane import grown, polygons_of

from .laying import lay_bores, lay_clearing, lay_slots, lay_walls
from .reach import clean
from .settings import STOCK_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .bores import Bore
    from .laying import Laid
    from .plan import OperationKind
    from .rack import Ready
    from .reach import Ground
    from .settings import Setting
    from .work import Work

_SLOT_SLACK_MM = 0.02  # beyond the stock: what lies further from roughed ground is a slot, not a wall's skin


@dataclass(frozen=True, slots=True)
class Stage:
    """One operation on the front: what it clears, with which cutter, along which path."""

    kind: OperationKind
    ready: Ready
    setting: Setting
    stock_mm: float
    ground: shapely.MultiPolygon
    laid: Laid


def stages_of(chosen: Sequence[Ready], ground: Ground, bores: Sequence[Bore], work: Work) -> list[Stage]:
    """Rough from the largest cutter to the last, slots, walls, bores; their grounds part the open floor."""
    last = chosen[-1]
    left = polygons_of(shapely.difference(ground.floor, ground.uncut(last.radius_mm)))
    stages: list[Stage] = []

    def add(kind: OperationKind, ready: Ready, setting: Setting, laid: Laid, area: shapely.Geometry) -> None:
        nonlocal left
        taken = polygons_of(shapely.intersection(left, area))
        left = polygons_of(shapely.difference(left, area))
        stock_mm = STOCK_MM if kind in {"rough", "rest_rough"} else 0.0
        stages.append(Stage(kind, ready, setting, stock_mm, taken, laid))

    before_mm: float | None = None
    for ready in chosen:
        laid = lay_clearing(ground, ready.radius_mm, STOCK_MM, ready.rough, before_mm=before_mm)
        swept = ground.swept(ready.radius_mm, STOCK_MM)
        if before_mm is None:
            add("rough", ready, ready.rough, laid, swept)
        else:
            after = ground.swept(before_mm, STOCK_MM)
            add("rest_rough", ready, ready.rough, laid, ground.rest(ready.radius_mm, after=after, stock_mm=STOCK_MM))
        before_mm = ready.radius_mm
    slots = _slots(left, swept)
    laid = lay_slots(ground, last.radius_mm, slots, last.slot)
    if laid.path_mm > 0:  # a cusp far from roughed ground is no slot: the wall pass takes it
        add("slot", last, last.slot, laid, grown(laid.lines, last.radius_mm))
    add("wall", last, last.wall, lay_walls(ground, last.radius_mm, left, last.wall), left)
    if bores:
        stages.append(_bored(last, bores, work.relief_mm))
    return stages


def _bored(last: Ready, bores: Sequence[Bore], relief_mm: float) -> Stage:
    laid = lay_bores(bores, last.cutter.diameter_mm, last.slot, relief_mm=relief_mm)
    rings = polygons_of(shapely.union_all([bore.ring for bore in bores]))
    return Stage("bore", last, dataclasses.replace(last.slot, passes=1), 0.0, rings, laid)


def _slots(left: shapely.MultiPolygon, roughed: shapely.MultiPolygon) -> shapely.MultiPolygon:
    """Open ground too narrow for roughing with its stock and open to the bare cutter: gaps of D to D + 2 stocks."""
    return clean(shapely.difference(left, shapely.buffer(roughed, STOCK_MM + _SLOT_SLACK_MM)))
