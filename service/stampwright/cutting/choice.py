"""The cheapest order of cutters for one face, and for every cutter that stays out of it, what it would have cost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .clearing import levelled
from .minutes import Extent, clearing_min
from .search import cheapest_route, routes_near
from .settings import STOCK_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .clearing import Clearings
    from .rack import Ready
    from .work import Work

RIVAL_SHARE = 1.01  # of the cheapest estimate: so near, estimates are often wrong about the order, and paths are laid
MOST_RIVALS = 3  # laid beside the cheapest


def choose_cutters(candidates: Sequence[Ready], clearings: Clearings, work: Work) -> tuple[list[Ready], dict[str, str]]:
    """Choose from `candidates`, largest first, the last of which is always used; tool changes counted."""
    ground = clearings.ground

    def cost(before: int | None, this: int) -> float:
        before_mm = None if before is None else candidates[before].radius_mm
        found = Extent.of(ground.rest(candidates[this].radius_mm, STOCK_MM, before_mm))
        change = 0.0 if before is None else work.machine.tool_change_min
        return change + sum(
            clearing_min(found, setting, first=before is None, relief_mm=work.relief_mm, machine=work.machine)
            for setting in (candidates[this].rough, candidates[this].floor)
        )

    route = cheapest_route(len(candidates), cost)
    near = routes_near(route, RIVAL_SHARE)[: 1 + MOST_RIVALS]
    laid = {stops: _laid_min([candidates[i] for i in stops], clearings, work) for stops in near if len(near) > 1}
    stops = min(laid, key=lambda each: laid[each], default=route.stops)
    passed_over = {
        ready.cutter.key: _does_not_earn(index, route.through[index], route.cost, stops, laid)
        for index, ready in enumerate(candidates)
        if index not in stops
    }
    return [candidates[stop] for stop in stops], passed_over


def _laid_min(chosen: Sequence[Ready], clearings: Clearings, work: Work) -> float:
    """Minutes of roughing and levelling on paths that are really laid, changes counted."""
    total = (len(chosen) - 1) * work.machine.tool_change_min
    befores: list[Ready | None] = [None, *chosen[:-1]]
    for before, this in zip(befores, chosen, strict=True):
        laid = clearings.laid(before, this)
        lifted_min = laid.lifted_min(relief_mm=work.relief_mm, machine=work.machine)
        total += this.rough.passes * (laid.feed_min + lifted_min)
        total += this.floor.passes * (levelled(laid, this).feed_min + lifted_min)
    return total


def _does_not_earn(
    index: int, through: float, cost: float, stops: tuple[int, ...], laid: dict[tuple[int, ...], float]
) -> str:
    """Why a cutter stays out: by laid paths where the estimates are close, else by the estimates."""
    with_it = [minutes for rival, minutes in laid.items() if index in rival]
    if with_it:
        return (
            f"does not earn its change: on laid paths clearing takes {min(with_it):.1f} min with it, "
            f"{laid[stops]:.1f} min without"
        )
    return f"does not earn its change: clearing takes about {through:.1f} min with it, {cost:.1f} min without"
