"""The cheapest order of cutters for one face, and for every cutter that stays out of it, what it would have cost."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from .minutes import clearing_min
from .reach import clean
from .search import Route, cheapest_route
from .settings import STOCK_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .rack import Ready
    from .reach import Ground
    from .work import Work


def choose_cutters(candidates: Sequence[Ready], ground: Ground, work: Work) -> tuple[list[Ready], dict[str, str]]:
    """Choose from `candidates`, largest first, the last of which is always used; tool changes counted."""
    swept = [ground.swept(ready.radius_mm, STOCK_MM) for ready in candidates]

    def cost(before: int | None, this: int) -> float:
        cleared = shapely.MultiPolygon() if before is None else swept[before]
        found = clean(shapely.intersection(shapely.difference(swept[this], cleared), ground.floor))
        change = 0.0 if before is None else work.machine.tool_change_min
        rough = candidates[this].rough
        return change + clearing_min(found, rough, first=before is None, relief_mm=work.relief_mm, machine=work.machine)

    route = cheapest_route(len(candidates), cost)
    return [candidates[stop] for stop in route.stops], _passed_over(candidates, route)


def _passed_over(candidates: Sequence[Ready], route: Route) -> dict[str, str]:
    return {
        ready.cutter.key: (
            f"does not earn its change: clearing takes about {route.through[index]:.1f} min with it, "
            f"{route.cost:.1f} min without"
        )
        for index, ready in enumerate(candidates)
        if index not in route.stops
    }
