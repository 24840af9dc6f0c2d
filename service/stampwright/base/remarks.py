"""What is said beside a result: notices about the drawing, findings about the iron, cautions about the work."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["note", "warning", "stop"]
Verdict = Literal["ready", "compromised", "unmakeable"]

SEVERITY_RANK: dict[Severity, int] = {"note": 0, "warning": 1, "stop": 2}
VERDICT_OF: dict[Severity, Verdict] = {"note": "ready", "warning": "compromised", "stop": "unmakeable"}

Point = tuple[float, float]
Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing of the drawing that was changed (`repaired`) or will not print (`left_out`).

    Coordinates are those of the mark as drawn: true size, y down from the page's top left corner.
    """

    code: str
    says: str
    remedy: str
    element: str | None = None  # path in the document: "/svg/g[2]/path[1]", with the id when it has one
    count: int = 1
    bounds_mm: Bounds | None = None
    ink_share: float | None = None  # share of the ink decided by it, 0 to 1, where that has a meaning


@dataclass(frozen=True, slots=True)
class Mend:
    """Changes of the job that mend a finding, each alone; what is None or False would not, or cannot be told."""

    mark_width_mm: float | None = None  # a mark at least so wide
    relief_mm: float | None = None
    thickness_mm: float | None = None  # of the head, at least
    cutter: str | None = None  # of the catalogue, to join the rack
    metal: str | None = None
    thicken: bool = False
    reverse: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """One place where the iron will disappoint, measured. `at_mm` is in face coordinates as cut."""

    code: str  # "thin-land": stable, explained in README.md
    severity: Severity
    says: str  # one sentence with the numbers
    remedy: str  # one sentence with a number where there is one
    at_mm: Point | None = None
    measured_mm: float | None = None
    limit_mm: float | None = None
    length_mm: float | None = None
    area_mm2: float | None = None
    angle_deg: float | None = None  # of a tip or a corner
    would_mend: Mend = Mend()


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger of the work, said in every plan and sheet, with where it is from."""

    code: str
    says: str
    source: str
