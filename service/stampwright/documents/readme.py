"""The text that lies on top of the files: what they are, what to read first, what may hurt."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from stampwright.drawings import clean, kinds_of, short_name, unlisted

if TYPE_CHECKING:
    from stampwright.cutting import Operation
    from stampwright.pipeline import Stamp

_WIDTH = 92


def readme_text(stamp: Stamp) -> str:
    """Write the text for one stamp, wrapped for any editor."""
    parts = [_opening(stamp), _FILES, _findings(stamp), _left_out(stamp), _work(stamp), _quote(stamp), _cautions(stamp)]
    return clean("\n\n".join(part for part in parts if part)) + "\n"


_FILES = """FILES
  face.stl    the head with its mark, reversed, hole included; millimetres, top of the lands at z = 0
  face.3mf    the same as 3MF, which says its unit
  face.dxf    outlines of head, lands, counters and hole on layers, millimetres, as cut
  as_cut.stl  the same as the chosen cutters really leave it
  proof.svg   the print as it will read, at true size
  face.svg    the face as it will be cut, with its measures
  cutting.svg which step clears which ground
  proof.png, face.png, cutting.png  the same drawings as pictures
  paths.svg, paths.dxf  the ways of the cutters' centres, a layer an operation
  sheet.pdf   what lies on the machine: tools, blank, thread, heat, cautions
  solid.png   the head as a picture
  stamp.json  every number, for programs"""


def _opening(stamp: Stamp) -> str:
    x0, y0, x1, y1 = stamp.face.ink.bounds
    head, solid = stamp.job.head, stamp.solid
    name = short_name(stamp.job.name)
    return "\n".join(
        [
            f"BRANDING IRON: {stamp.review.verdict.upper()}",
            *([f"  {name}"] if name else []),
            f"  mark {x1 - x0:.2f} x {y1 - y0:.2f} mm, relief {stamp.face.relief_mm:.2f} mm",
            f"  head {head.width_mm:g} x {head.height_mm:g} x {head.thickness_mm:g} mm",
            f"  {stamp.job.metal}, {solid.mass_g:.0f} g; for {stamp.job.substrate}",
            f"  digest {stamp.digest}",
        ]
    )


def _findings(stamp: Stamp) -> str:
    if not stamp.review.findings:
        return "FINDINGS\n  none: the mark can be cut as drawn"
    items = [
        _item(f"{kind.number}. {kind.name}: {' '.join(kind.told)} {kind.findings[0].remedy} {kind.rest}")
        for kind in kinds_of(stamp.review)
    ]
    more = [_item(words)] if (words := unlisted(stamp.review)) else []
    return "\n".join(["FINDINGS, with the numbers of the drawings", *items, *more])


def _left_out(stamp: Stamp) -> str:
    lost = [_item(f"{n.says} {n.remedy}") for n in (*stamp.mark.left_out, *stamp.face.left_out)]
    mended = [_item(f"{n.says} {n.remedy}") for n in (*stamp.mark.repaired, *stamp.face.repaired)]
    asked = [_item(f"{n.says} {n.remedy}") for n in (*stamp.mark.hints, *stamp.face.hints)]
    parts = [("WILL NOT PRINT", lost), ("CHANGED IN THE DRAWING", mended), ("WORTH ASKING", asked)]
    return "\n\n".join("\n".join([head, *items]) for head, items in parts if items)


def _work(stamp: Stamp) -> str:
    plan, use = stamp.plan, stamp.use
    heat = (
        f"  about {use.heat_up_s:.0f} s ({use.heat_up_range_s[0]:.0f} to {use.heat_up_range_s[1]:.0f}) to a face of "
        f"{use.face_target_c[0]:.0f} to {use.face_target_c[1]:.0f} °C; press {use.dwell_s[0]:g} to {use.dwell_s[1]:g} s"
    )
    head = f"CUTTING, {plan.total_min:.0f} min in all"
    return "\n".join([head, *map(_step, plan.operations), "", "HEAT", heat, *map(_item, use.steps)])


def _quote(stamp: Stamp) -> str:
    if (price := stamp.price) is None:
        return ""
    lines = [*((item.says, item.amount) for item in price.items), ("total", price.total)]
    return "\n".join([f"QUOTE, {price.currency}", *(f"  {says:28s} {amount:12.2f}" for says, amount in lines)])


def _step(op: Operation) -> str:
    speed = f"{op.spindle_rpm:6.0f} rpm  {op.feed_mm_per_min:5.0f} mm/min" if op.spindle_rpm else f"{'by hand':>25s}"
    kind = op.kind.replace("_", " ")
    return f"  {op.step:2d}  {op.side:4s}  {kind:11s}  {op.cutter:22s}  {speed}  {op.time_min:6.1f} min"


def _cautions(stamp: Stamp) -> str:
    once = dict.fromkeys(_item(f"{c.says} [{c.source}]") for c in (*stamp.plan.cautions, *stamp.use.cautions))
    return "\n".join(["CAUTIONS", *once])


def _item(words: str) -> str:
    return textwrap.fill(" ".join(words.split()), _WIDTH, initial_indent="  - ", subsequent_indent="    ")
