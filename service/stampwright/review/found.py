"""A finding with how bad it is, so that the worst come first, and the few words all sentences share."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.base import SEVERITY_RANK, VERDICT_OF, Finding, Mend

from .rules import MOST_LISTED

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray

    from stampwright.base import Point, Severity, Verdict

    from .subject import Subject

    Floats = NDArray[np.float64]


class Found(NamedTuple):
    """A finding and its share of what is asked: 0 is the worst, 1 just short of the limit."""

    share: float
    finding: Finding


def too_narrow(  # noqa: PLR0913  a finding has so many parts
    subject: Subject,
    code: str,
    severity: Severity,
    *,
    says: str,
    remedy: str,
    width_mm: float,
    limit_mm: float,
    heals_mm: float | None = None,
    at: Iterable[float] | None = None,
    length_mm: float | None = None,
    area_mm2: float | None = None,
    mend: Callable[[float | None], Mend] = Mend,
) -> Found:
    """A width that falls short of its limit; `remedy` leads on to a mark so large that it comes up to it.

    `heals_mm` is the width at which it is mended, `limit_mm` if not given. `mend` makes the changes of the job that
    mend it, given the width of the mark.
    """
    mark_mm = subject.width_that_heals(width_mm, limit_mm=heals_mm or limit_mm)
    finding = Finding(
        code=code,
        severity=severity,
        says=says,
        remedy=f"{remedy} {larger(mark_mm)}.",
        at_mm=place(at) if at is not None else None,
        measured_mm=width_mm,
        limit_mm=limit_mm,
        length_mm=length_mm,
        area_mm2=area_mm2,
        would_mend=mend(mark_mm),
    )
    return Found(width_mm / limit_mm, finding)


def worst_first(found: Iterable[Found]) -> list[Finding]:
    """Sort by severity, then by how far each misses its limit, then by code and place."""

    def key(item: Found) -> tuple[int, float, str, Point]:
        finding = item.finding
        return -SEVERITY_RANK[finding.severity], round(item.share, 6), finding.code, finding.at_mm or (0.0, 0.0)

    return [item.finding for item in sorted(found, key=key)]


def listed(findings: list[Finding]) -> tuple[tuple[Finding, ...], dict[str, int]]:
    """The worst findings, of each code at least its worst one; the rest counted by code in alphabetical order."""
    first_of_code = {finding.code: i for i, finding in reversed(list(enumerate(findings)))}
    told = set(first_of_code.values())
    told |= set([i for i in range(len(findings)) if i not in told][: MOST_LISTED - len(told)])
    rest = Counter(finding.code for i, finding in enumerate(findings) if i not in told)
    return tuple(findings[i] for i in sorted(told)), dict(sorted(rest.items()))


def verdict_of(findings: Iterable[Finding]) -> Verdict:
    """The worst finding decides."""
    worst: Severity = max((finding.severity for finding in findings), key=SEVERITY_RANK.__getitem__, default="note")
    return VERDICT_OF[worst]


def mm(length_mm: float) -> str:
    """A length for a sentence: hundredths, below a tenth thousandths."""
    return f"{length_mm:.3f} mm" if abs(length_mm) < 0.0995 else f"{length_mm:.2f} mm"


def larger(mark_width_mm: float | None) -> str:
    """How large the mark has to be, for a sentence."""
    if mark_width_mm is None:
        return "redraw it: no size of the mark alone mends it"
    return f"make the mark at least {mark_width_mm:.1f} mm wide"


def place(point: Iterable[float]) -> Point:
    """A point of the face, rounded to the micrometre."""
    x, y = point
    return round(float(x), 3) + 0.0, round(float(y), 3) + 0.0


def places(points: Floats) -> list[Point]:
    """The same of many, (n, 2)."""
    return [(x, y) for x, y in (np.round(points, 3) + 0.0).tolist()]
