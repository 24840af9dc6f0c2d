"""Answers as tables for people."""

from __future__ import annotations

import dataclasses
from collections import Counter
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from stampwright_sdk.answers import ReviewedMark, Stamp
    from stampwright_sdk.parts import Notice, Review
    from stampwright_sdk.work import Plan, Range, Use

MOST_ALIKE = 3  # findings of one kind that are printed, as in the drawings
PLAIN_WIDTH = 120  # where there is no terminal to ask
STYLE = {
    "ready": "green",
    "compromised": "yellow",
    "unmakeable": "red",
    "note": "dim",
    "warning": "yellow",
    "stop": "red",
}
COLUMNS = {
    "cutters": ("key", "shape", "diameter_mm", "flutes", "length_of_cut_mm", "tip_mm", "half_angle_deg"),
    "metals": ("key", "name", "density_kg_m3", "conductivity_w_mk", "specific_heat_j_kgk", "not_above_c"),
    "substrates": ("key", "name", "kind", "face_low_c", "face_high_c", "dwell_low_s", "dwell_high_s", "relief_low_mm"),
    "threads": ("size", "standard", "major_mm", "pitch_mm", "drill_mm", "drill_name", "percent_of_thread"),
}


def console() -> Console:
    """A console that prints words as they are: square brackets and colons in them mean nothing."""
    plain = Console(markup=False, highlight=False, emoji=False)
    return plain if plain.is_terminal else Console(markup=False, highlight=False, emoji=False, width=PLAIN_WIDTH)


def show_review(name: str, answer: ReviewedMark | Stamp) -> None:
    """Print verdict, measures, what was repaired or left out, and the findings."""
    out = console()
    face = answer.face
    out.print(Text.assemble(f"{name}: ", (answer.verdict, STYLE[answer.verdict])))
    out.print(
        f"{face.width_mm:.2f} × {face.height_mm:.2f} mm of ink, {face.coverage:.0%} of the head, "
        f"relief {face.relief_mm:g} mm; least land {_mm(face.land_min_mm)}, least gap {_mm(face.gap_min_mm)}"
    )
    if answer.review.least_faithful_width_mm is not None:
        out.print(f"Ready with these cutters from a mark width of {answer.review.least_faithful_width_mm:.1f} mm.")
    if answer.growth is not None:
        out.print(answer.growth.says)
    for title, notices in (
        ("Will not print", answer.mark.left_out),
        ("Repaired", answer.mark.repaired),
        ("Worth asking", answer.mark.hints),
    ):
        if notices:
            out.print(_notices(title, notices))
    if answer.review.findings:
        out.print(_findings(answer.review))


def show_work(stamp: Stamp) -> None:
    """Print the cutting plan, the heat and the cautions."""
    out = console()
    out.print(_operations(stamp.plan))
    out.print(f"{stamp.plan.total_min:.0f} min in all; {stamp.plan.left_uncut_mm2:.2f} mm² of floor stays uncut.")
    out.print(_use(stamp.use))
    if stamp.price is not None:
        out.print(f"Price {stamp.price.total:.2f} {stamp.price.currency}")
    for says in dict.fromkeys(caution.says for caution in (*stamp.plan.cautions, *stamp.use.cautions)):
        out.print(f"! {says}")


def show_saved(paths: Iterable[Path]) -> None:
    """Print where files were left."""
    for path in paths:
        console().print(f"saved {path}", soft_wrap=True)


def show_catalogue(name: str, rows: Sequence[Any]) -> None:
    """Print the columns of a catalogue that one chooses by; `--json` has them all."""
    table = _table(name.capitalize(), *COLUMNS[name])
    for row in rows:
        values = dataclasses.asdict(row)
        table.add_row(*(_cell(values[column]) for column in COLUMNS[name]))
    console().print(table)


def _findings(review: Review) -> Table:
    """The worst findings of each kind; the others are counted, as `--json` has them all."""
    table = _table("Findings", "", "code", "at mm", "what", "what mends it")
    alike: Counter[tuple[str, str]] = Counter()
    for finding in review.findings:
        alike[finding.severity, finding.code] += 1
        if alike[finding.severity, finding.code] <= MOST_ALIKE:
            at = f"{finding.at_mm[0]:.1f}, {finding.at_mm[1]:.1f}" if finding.at_mm else ""
            severity = Text(finding.severity, STYLE[finding.severity])
            table.add_row(severity, finding.code, at, finding.says, finding.remedy)
    for (severity_name, code), count in alike.items():
        if count > MOST_ALIKE:
            severity = Text(severity_name, STYLE[severity_name])
            table.add_row(severity, code, "", f"{count - MOST_ALIKE} more like these; --json tells each.", "")
    for code, count in review.findings_left_out.items():
        table.add_row("", code, "", f"{count} more, which are counted only.", "")
    return table


def _notices(title: str, notices: Sequence[Notice]) -> Table:
    table = _table(title, "code", "element", "what", "what mends it")
    for notice in notices:
        table.add_row(notice.code, notice.element or "", notice.says, notice.remedy)
    return table


def _operations(plan: Plan) -> Table:
    table = _table("Cutting", "", "side", "what", "tool", "rpm", "mm/min", "deep mm", "passes", "min")
    for step in plan.operations:
        speeds = (_number(step.spindle_rpm), _number(step.feed_mm_per_min), _number(step.axial_depth_mm, places=2))
        what = step.kind.replace("_", " ")
        table.add_row(str(step.step), step.side, what, step.cutter, *speeds, str(step.passes), f"{step.time_min:.1f}")
    return table


def _use(use: Use) -> str:
    face = f"until the face has {_range(use.face_target_c)} °C"
    heat = f"Heat {use.heat_up_s:.0f} s ({_range(use.heat_up_range_s)} s), {face}."
    press = f"Press {_range(use.dwell_s, places=1)} s with {_range(use.press_force_n)} N."
    return f"{heat} {press} Prints per heat: {use.prints_per_heat}."


def _range(ends: Range, *, places: int = 0) -> str:
    return f"{ends[0]:.{places}f} to {ends[1]:.{places}f}"


def _table(title: str, *columns: str) -> Table:
    table = Table(title=title, title_justify="left", box=None, padding=(0, 2, 0, 0), header_style="bold")
    for column in columns:
        table.add_column(column.replace("_", " "), overflow="fold")
    return table


def _cell(value: object) -> str:
    if value is None:
        return ""
    return f"{value:.5g}" if isinstance(value, float) else str(value)


def _number(value: float | None, *, places: int = 0) -> str:
    return f"{value:.{places}f}" if value else ""  # 0 turns a minute: by hand


def _mm(value: float | None) -> str:
    return "none" if value is None else f"{value:.2f} mm"
