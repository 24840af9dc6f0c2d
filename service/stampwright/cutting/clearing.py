"""The front of the head: from the chosen cutters to the grounds each operation clears, which together are the floor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from stampwright.plane import polygons_of

from .reach import clean
from .settings import STOCK_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .bores import Bore
    from .plan import OperationKind
    from .rack import Ready
    from .reach import Ground
    from .settings import Setting

_SLOT_SLACK_MM = 0.02  # beyond the stock: what lies further from roughed ground is a slot, not a wall's skin


@dataclass(frozen=True, slots=True)
class Stage:
    """One operation on the front before it is timed: what it clears, with which cutter, how."""

    kind: OperationKind
    ready: Ready
    setting: Setting
    stock_mm: float
    ground: shapely.MultiPolygon
    first: bool = False


def stages_of(chosen: Sequence[Ready], ground: Ground, bores: Sequence[Bore]) -> list[Stage]:
    """Rough from the largest cutter to the last, slots, walls, bores; their grounds part the open floor."""
    last = chosen[-1]
    left = polygons_of(shapely.difference(ground.floor, ground.uncut(last.radius_mm)))
    stages: list[Stage] = []

    def add(kind: OperationKind, ready: Ready, setting: Setting, stock_mm: float, area: shapely.Geometry) -> None:
        nonlocal left
        taken = polygons_of(shapely.intersection(left, area))
        left = polygons_of(shapely.difference(left, area))
        stages.append(Stage(kind, ready, setting, stock_mm, taken, first=not stages))

    for ready in chosen:
        kind: OperationKind = "rest_rough" if stages else "rough"
        add(kind, ready, ready.rough, STOCK_MM, ground.swept(ready.radius_mm, STOCK_MM))
    slots = _slots(left, ground.swept(last.radius_mm, STOCK_MM))
    if not slots.is_empty:
        add("slot", last, last.slot, 0.0, slots)
    add("wall", last, last.wall, 0.0, left)
    bored = shapely.union_all([bore.ring for bore in bores])
    if bores:
        stages.append(Stage("bore", last, last.rough, 0.0, polygons_of(bored)))
    return stages


def _slots(left: shapely.MultiPolygon, roughed: shapely.MultiPolygon) -> shapely.MultiPolygon:
    """Open ground too narrow for roughing with its stock and open to the bare cutter: gaps of D to D + 2 stocks."""
    return clean(shapely.difference(left, shapely.buffer(roughed, STOCK_MM + _SLOT_SLACK_MM)))
