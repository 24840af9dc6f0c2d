"""The front of the head: from the chosen cutters to the grounds each operation clears, which together are the floor."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import shapely

from stampwright.plane import SPECK_MM2, area_of, grown, less, polygons_of, section_less, section_of

from .laying import lay_bores, lay_clearing, lay_slots, lay_walls
from .reach import SAFE_MM
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


@dataclass(frozen=True, slots=True)
class Stage:
    """One operation on the front: what it clears, how deep, with which cutter, along which path."""

    kind: OperationKind
    ready: Ready
    setting: Setting
    stock_mm: float
    ground: shapely.MultiPolygon
    laid: Laid
    depth_mm: float

    @property
    def levels_only(self) -> bool:
        """A floor pass levels ground that roughing has opened."""
        return self.kind == "floor"


class Clearings:
    """The paths on which cutters clear what the one before them left, each laid once."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self._laid: dict[tuple[str | None, str], Laid] = {}

    def laid(self, before: Ready | None, this: Ready) -> Laid:
        """The way of `this` after `before`, or on the untouched block."""
        key = (before.cutter.key if before else None, this.cutter.key)
        if key not in self._laid:
            before_mm = before.radius_mm if before else None
            self._laid[key] = lay_clearing(self.ground, this.radius_mm, STOCK_MM, this.rough, before_mm=before_mm)
        return self._laid[key]


def levelled(laid: Laid, ready: Ready) -> Laid:
    """The same way once more, at the feed of the floor pass."""
    slower = ready.rough.feed_mm_per_min / ready.floor.feed_mm_per_min
    return dataclasses.replace(laid, feed_min=laid.feed_min * slower)


def stages_of(chosen: Sequence[Ready], clearings: Clearings, bores: Sequence[Bore], work: Work) -> list[Stage]:
    """Rough and level with each cutter, largest first, then slots, walls, bores; their grounds part the open floor.

    Each cutter levels its own floor before it is changed: one pass more, and no change of cutter for it.
    """
    ground = clearings.ground
    last = chosen[-1]
    befores: list[Ready | None] = [None, *chosen[:-1]]
    grounds = _roughed(chosen, ground)
    stages: list[Stage] = []
    for before, ready, taken in zip(befores, chosen, grounds, strict=True):
        laid, roughed_mm = clearings.laid(before, ready), ready.rough.passes * ready.rough.ap_mm
        kind: OperationKind = "rest_rough" if before else "rough"
        level = levelled(laid, ready), work.relief_mm - roughed_mm
        stages.append(Stage(kind, ready, ready.rough, STOCK_MM, taken, laid, roughed_mm))
        stages.append(Stage("floor", ready, ready.floor, STOCK_MM, taken, *level))
    ground.let_go(all_but=[last.radius_mm])
    left = section_less(ground.floor, ground.closings.closed(last.radius_mm), *grounds)

    def add(kind: OperationKind, setting: Setting, laid: Laid, area: shapely.MultiPolygon) -> None:
        stages.append(Stage(kind, last, setting, 0.0, area, laid, work.relief_mm))

    laid = lay_slots(ground, last.radius_mm, last.slot)
    if laid.path_mm > 0:
        # chords of this sagitta, so much beyond the cutter, lie nowhere within it
        cut = section_of(grown(laid.lines, last.radius_mm + SAFE_MM, sagitta_mm=SAFE_MM))
        add("slot", last.slot, laid, area_of(left ^ cut, specks_mm2=SPECK_MM2))
        left -= cut
    skin = area_of(left, specks_mm2=SPECK_MM2)
    add("wall", last.wall, lay_walls(ground, last.radius_mm, skin, last.wall), skin)
    if bores:
        stages.append(_bored(last, bores, work.relief_mm))
    return stages


def _roughed(chosen: Sequence[Ready], ground: Ground) -> list[shapely.MultiPolygon]:
    """What each cutter clears with its stock. It lies apart from what the one before has swept, but for a rounding."""
    radii_mm = [ready.radius_mm for ready in chosen]
    grounds = [ground.swept(radii_mm[0], STOCK_MM)]
    for n, (before_mm, this_mm) in enumerate(pairwise(radii_mm)):
        rest = ground.rest(this_mm, STOCK_MM, before_mm)
        for earlier_mm in radii_mm[:n]:
            rest = less(rest, ground.swept(earlier_mm, STOCK_MM))
        grounds.append(rest)
    return grounds


def _bored(last: Ready, bores: Sequence[Bore], relief_mm: float) -> Stage:
    laid = lay_bores(bores, last.cutter.diameter_mm, last.slot, relief_mm=relief_mm)
    rings = polygons_of(shapely.union_all([bore.ring for bore in bores]))
    return Stage("bore", last, dataclasses.replace(last.slot, passes=1), 0.0, rings, laid, relief_mm)
