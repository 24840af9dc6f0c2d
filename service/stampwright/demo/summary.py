"""A stamp in a dozen lines for a person at a terminal."""

from __future__ import annotations

import textwrap
from collections import Counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from stampwright_sdk import Stamp
    from stampwright_sdk.parts import Finding

    from .marks import DemoMark

_WIDTH = 96


def lines_on(mark: DemoMark, stamp: Stamp, *, took_s: float, saved: Sequence[Path]) -> Iterator[str]:
    """Tell what came of one mark and where its files are."""
    face, solid, review = stamp.face, stamp.solid, stamp.review
    yield ""
    yield from _wrapped(f"{mark.name}, for {mark.member}: {mark.wants}.")
    yield f"  verdict    {stamp.verdict} ({_counted(review.findings)}), answered in {took_s:.1f} s"
    yield f"  face       {face.width_mm:.1f} x {face.height_mm:.1f} mm, relief {face.relief_mm:.1f} mm{_least(stamp)}"
    yield f"  solid      {solid.triangles} triangles, {solid.volume_mm3 / 1000:.2f} cm3, {solid.mass_g:.0f} g"
    yield from _work(stamp)
    for finding, count in _kinds(review.findings):
        more = f" ({count - 1} more like it)" if count > 1 else ""
        yield from _wrapped(f"{finding.severity}: {finding.says} {finding.remedy}{more}", first="  - ", rest="    ")
    for notice in (*stamp.mark.left_out, *stamp.mark.repaired, *stamp.mark.hints):
        yield from _wrapped(f"drawing: {notice.says} {notice.remedy}", first="  - ", rest="    ")
    yield f"  files in {saved[0].parent}/: {', '.join(path.name for path in saved)}"


def _work(stamp: Stamp) -> Iterator[str]:
    use = stamp.use
    tools = ", ".join(f"{tool} {minutes:.1f} min" for tool, minutes in _minutes(stamp).items())
    yield from _wrapped(f"tools      {tools}", first="  ", rest=" " * 13)
    yield f"  cutting    {stamp.plan.total_min:.0f} min with changes of tool; {_left(stamp)}"
    low, high = use.face_target_c
    dwell = f"press {use.dwell_s[0]:g} to {use.dwell_s[1]:g} s"
    yield f"  heat       about {use.heat_up_s:.0f} s in the flame to a face of {low:.0f} to {high:.0f} °C; {dwell}"


def _minutes(stamp: Stamp) -> dict[str, float]:
    minutes: dict[str, float] = {}
    for operation in stamp.plan.operations:
        minutes[operation.cutter] = minutes.get(operation.cutter, 0.0) + operation.time_min
    return minutes


def _left(stamp: Stamp) -> str:
    left = stamp.plan.left_uncut_mm2
    return f"{left:.2f} mm2 of ground stays, for no cutter reaches it" if left >= 0.005 else "all ground is reached"


def _least(stamp: Stamp) -> str:
    land, gap = stamp.face.land_min_mm, stamp.face.gap_min_mm
    widths = [f"{name} {width:.2f} mm" for name, width in (("land", land), ("gap", gap)) if width is not None]
    return f"; least {', '.join(widths)}" if widths else ""


def _kinds(findings: Sequence[Finding]) -> Iterator[tuple[Finding, int]]:
    """The worst finding of each kind, and how many there are of it."""
    kinds: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        kinds.setdefault((finding.code, finding.severity), []).append(finding)
    return ((found[0], len(found)) for found in kinds.values())


def _counted(findings: Sequence[Finding]) -> str:
    counts = Counter(finding.code for finding in findings)
    return ", ".join(f"{count} {code}" for code, count in counts.items()) or "no findings"


def _wrapped(words: str, *, first: str = "", rest: str = "  ") -> list[str]:
    return textwrap.wrap(words, _WIDTH, initial_indent=first, subsequent_indent=rest)
