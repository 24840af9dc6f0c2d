"""Makes operations: by a cutter with its setting, by a drill or by hand; then numbers them and counts changes."""

from __future__ import annotations

import dataclasses
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, NamedTuple

import shapely

from .plan import Operation

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stampwright.job import Machine

    from .plan import OperationKind
    from .settings import Setting


class Cut(NamedTuple):
    """An operation with the ground it clears to full depth and its path in one axial pass."""

    operation: Operation
    ground: shapely.MultiPolygon = shapely.MultiPolygon()
    path: shapely.MultiLineString = shapely.MultiLineString()


def milled(  # noqa: PLR0913  one argument a field of the record, by keyword
    kind: OperationKind,
    cutter: str,
    setting: Setting,
    *,
    why: str,
    minutes: float,
    removed_mm3: float,
    side: Literal["face", "back"] = "face",
    stock_mm: float = 0.0,
    cleared_mm2: float = 0.0,
    path_mm: float | None = None,
) -> Operation:
    """An operation of an end mill; its step is numbered later."""
    return Operation(
        step=0,
        kind=kind,
        side=side,
        cutter=cutter,
        spindle_rpm=setting.rpm,
        feed_mm_per_min=setting.feed_mm_per_min,
        feed_per_tooth_mm=setting.fz_mm,
        radial_engagement_mm=setting.ae_mm,
        axial_depth_mm=setting.ap_mm,
        passes=setting.passes,
        stock_to_leave_mm=stock_mm,
        cleared_area_mm2=float(cleared_mm2),
        removed_mm3=float(removed_mm3),
        path_mm=path_mm,
        time_min=float(minutes),
        power_w=setting.power_w,
        force_n=setting.force_n,
        deflection_mm=setting.deflection_mm,
        torque_nmm=setting.torque_nmm,
        stress_mpa=setting.stress_mpa,
        chip_mm=setting.chip_mm,
        why=why,
    )


def simple(  # noqa: PLR0913  likewise
    kind: OperationKind,
    tool: str,
    *,
    why: str,
    minutes: float,
    side: Literal["face", "back"],
    rpm: float = 0.0,
    feed: float = 0.0,
    removed_mm3: float = 0.0,
    path_mm: float | None = None,
) -> Operation:
    """An operation of a drill or a hand tool: loads are not reckoned; a speed of 0 means by hand."""
    return Operation(
        step=0,
        kind=kind,
        side=side,
        cutter=tool,
        spindle_rpm=rpm,
        feed_mm_per_min=feed,
        feed_per_tooth_mm=None,
        radial_engagement_mm=None,
        axial_depth_mm=None,
        passes=1,
        stock_to_leave_mm=0.0,
        cleared_area_mm2=0.0,
        removed_mm3=removed_mm3,
        path_mm=path_mm,
        time_min=minutes,
        power_w=None,
        force_n=None,
        deflection_mm=None,
        torque_nmm=None,
        stress_mpa=None,
        chip_mm=None,
        why=why,
    )


def numbered(operations: Iterable[Operation]) -> tuple[Operation, ...]:
    """Number the steps from 1."""
    return tuple(dataclasses.replace(operation, step=step) for step, operation in enumerate(operations, start=1))


def tool_changes(operations: Iterable[Operation]) -> int:
    """How often another tool comes into the spindle; the first is counted with the set-up, hand tools not at all."""
    in_spindle = [operation.cutter for operation in operations if operation.spindle_rpm > 0]
    return sum(before != after for before, after in pairwise(in_spindle))


def total_min(operations: Sequence[Operation], machine: Machine) -> float:
    """All operations and the changes of tool between them [min]."""
    return sum(operation.time_min for operation in operations) + tool_changes(operations) * machine.tool_change_min
