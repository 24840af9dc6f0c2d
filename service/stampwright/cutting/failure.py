"""Where the plan of a mark that cannot be made comes to its end: the review's worst finding, put at its step."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stampwright.base import Finding

    from .plan import CuttingPlan, OperationKind

_CAN_BE_CUT = frozenset({"metal-too-cool"})  # what fails in the fire fails no step of the cutting

_COMES_TO_LIGHT: dict[str, OperationKind] = {"hole-too-deep": "tap", "thin-land": "wall"}
"""The step at which a finding makes itself felt: a thread is short when it is tapped, a thin land breaks when its wall
is cut. All others are there from the first cut on the front."""


def with_failure(plan: CuttingPlan, findings: Iterable[Finding]) -> CuttingPlan:
    """Mark the earliest step at which a finding of the severity "stop" defeats the plan; the rest is for nothing."""
    fatal = [each for each in findings if each.severity == "stop" and each.code not in _CAN_BE_CUT]
    stops = [(_step(plan, finding.code), finding) for finding in fatal]
    if not stops:
        return plan
    step, finding = min(stops, key=lambda stop: stop[0])
    return dataclasses.replace(plan, fails_at_step=step, fails_because=f"{finding.says} {finding.remedy}")


def _step(plan: CuttingPlan, code: str) -> int:
    kind = _COMES_TO_LIGHT.get(code, "rough")
    steps = [operation.step for operation in plan.operations if operation.kind == kind]
    return steps[0] if steps else plan.operations[-1].step
