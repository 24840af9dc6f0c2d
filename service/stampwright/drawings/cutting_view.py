"""The cutting drawing: which step clears which ground. Hatching tells the steps apart, so that no colour is needed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from . import frame, svg
from .svg import INK, PAPER, View, add, path_of
from .words import lines_of, put

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from stampwright.cutting import CuttingPlan, Operation
    from stampwright.pipeline import Stamp

_AROUND_MM = 6.0
_ROW_MM = 4.4
_TEXT_MM = 2.1
_KEY_MM = 94.0
_SHOWN_MM = 0.005  # edges of cleared ground keep this; they are arcs of many short chords that no eye can tell apart
_LAND, _LEFT, _LINE = "#968c81", "#1d1814", "#5b5046"


@dataclass(frozen=True, slots=True)
class _Hatch:
    """One way to fill ground: a tint, and on it lines at an angle, or dots, at a pitch."""

    tint: str
    angle_deg: float | None = None
    pitch_mm: float = 1.0
    is_dotted: bool = False


# Lightness falls and the texture changes from step to step: each pair differs in grey and to every eye.
_HATCHES = (
    _Hatch("#f3ecdc"),
    _Hatch("#e9ddc2", 45.0, 1.3),
    _Hatch("#d9c79f", -45.0, 0.7),
    _Hatch("#efe4cd", None, 0.8, is_dotted=True),
    _Hatch("#cdb88b", 0.0, 0.55),
    _Hatch("#e2d3b2", 90.0, 0.45),
)


def draw_cutting(stamp: Stamp) -> str:
    """Draw what each operation on the face clears to full depth, with a key, as SVG at true size [mm]."""
    _, _, half_x, half_y = stamp.face.head.bounds
    steps = _steps(stamp.plan)
    width_mm = max(_KEY_MM, 2 * (half_x + _AROUND_MM))
    sheet = frame.opened(
        stamp,
        title="Cutting",
        says=f"What each step on the face clears to full depth, {stamp.face.relief_mm:.2f} mm below the lands.",
        width_mm=width_mm,
        height_mm=2 * (half_y + _AROUND_MM) + _ROW_MM * (len(steps) + 2),
        facts=_facts(stamp.plan),
        findings=False,
    )
    view = View(sheet.x + width_mm / 2, sheet.y + half_y + _AROUND_MM)
    root = sheet.root
    _define(root)
    head = {"stroke": INK, "stroke_width": "0.3"}
    add(root, "path", d=path_of(view.area(stamp.face.head)), fill=PAPER, **head)
    for place, (_, ground) in enumerate(steps):
        _fill(root, path_of(view.area(shapely.simplify(ground, _SHOWN_MM))), place=place)
    for area, fill in ((stamp.face.ink, _LAND), (stamp.plan.left_uncut, _LEFT)):
        add(root, "path", d=path_of(view.area(area)), fill=fill, fill_rule="evenodd")
    add(root, "path", d=path_of(view.area(stamp.face.head)), fill="none", **head)
    _key(root, steps, stamp.plan, x=sheet.x, y=sheet.y + 2 * (half_y + _AROUND_MM))
    return sheet.close()


def _steps(plan: CuttingPlan) -> list[tuple[Operation, shapely.MultiPolygon]]:
    on_face = [operation for operation in plan.operations if operation.side == "face"]
    return [(step, ground) for step, ground in zip(on_face, plan.cleared, strict=True) if not ground.is_empty]


def _define(root: ET.Element) -> None:
    defs = add(root, "defs")
    for place, hatch in enumerate(_HATCHES):
        pitch, turn = hatch.pitch_mm, f"rotate({svg.num(hatch.angle_deg or 0.0)})"
        size: dict[str, str | float] = {"width": pitch, "height": pitch}
        units = {"patternUnits": "userSpaceOnUse", "patternTransform": turn}
        cell = add(defs, "pattern", id=f"hatch{place}", **size, **units)
        # a hair larger than its cell, so that no seam shows between cells
        add(cell, "rect", x=-0.01, y=-0.01, width=pitch + 0.02, height=pitch + 0.02, fill=hatch.tint)
        if hatch.is_dotted:
            add(cell, "circle", cx=pitch / 2, cy=pitch / 2, r=0.14, fill=_LINE)
        elif hatch.angle_deg is not None:
            add(cell, "rect", width=pitch, height=0.12, fill=_LINE)


def _fill(root: ET.Element, path: str, *, place: int) -> None:
    edge = {"stroke": _LINE, "stroke_width": "0.05", "fill_rule": "evenodd"}
    add(root, "path", d=path, fill=f"url(#hatch{place % len(_HATCHES)})", **edge)


def _key(
    root: ET.Element, steps: list[tuple[Operation, shapely.MultiPolygon]], plan: CuttingPlan, *, x: float, y: float
) -> None:
    rows = [_row(step, ground) for step, ground in steps]
    for place, words in enumerate([*rows, "lands, never touched", f"stays: {plan.left_uncut_mm2:.2f} mm²"]):
        top = y + place * _ROW_MM
        box = f"M{svg.num(x)} {svg.num(top)}h6.5v3.1h-6.5Z"
        if place < len(rows):
            _fill(root, box, place=place)
        else:
            add(root, "path", d=box, fill=(_LAND, _LEFT)[place - len(rows)])
        add(root, "path", d=box, fill="none", stroke=INK, stroke_width=0.12)
        line = lines_of(words, width_mm=_KEY_MM - 9, size_mm=_TEXT_MM)[0]
        put(root, line, at=(x + 8.6, top + 2.3), size_mm=_TEXT_MM)


def _row(step: Operation, ground: shapely.MultiPolygon) -> str:
    kind = step.kind.replace("_", " ")
    return f"step {step.step}: {step.cutter}, {kind}, {ground.area:.2f} mm², {step.time_min:.1f} min"


def _facts(plan: CuttingPlan) -> list[str]:
    total = f"All work with changes of tool: {plan.total_min:.0f} min. Cutters in order: {', '.join(plan.cutters)}."
    return [total, *(f"Not used: {cutter}: {why.removesuffix('.')}." for cutter, why in plan.passed_over.items())]
