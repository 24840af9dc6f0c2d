"""The cutting drawing: which step clears which ground. Hatching tells the steps apart, so that no colour is needed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from . import frame
from .hatch import Hatch, draw_hatch
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
_SEEN_MM2 = 0.005
_THIN_MM = 0.5  # thinner lands are lost at true size between the lines of what is cleared beside them
_SCALES = (5, 2)  # of enlargement (ISO 5455)
_LARGEST_MM = 120.0  # side of an enlarged head: two thirds of the usual paper
LAND, LEFT, LINE = "#6b6259", "#1d1814", "#5b5046"


# Lightness falls by seven steps of L* or more and the texture changes from step to step, down to the lands: each pair
# differs in grey and to every eye; the tests reckon it.
HATCHES = (
    Hatch("#f9f0df"),
    Hatch("#efe0c8", 45.0, 1.3),
    Hatch("#e0d1b3", -45.0, 0.7),
    Hatch("#bbb79c", 0.0, 0.8, is_dotted=True),
    Hatch("#a6ab99", 0.0, 0.55),
    Hatch("#8c9890", 90.0, 0.45),
)


def draw_cutting(stamp: Stamp) -> ET.Element:
    """Draw what each operation on the face clears to full depth, with a key; at true size, a fine mark larger [mm]."""
    scale = _scale(stamp)
    half_x, half_y = (scale * float(half) for half in stamp.face.head.bounds[2:])
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
        scale=scale,
    )
    view = View(sheet.x + width_mm / 2, sheet.y + half_y + _AROUND_MM, scale=scale)
    root = sheet.root
    head = {"stroke": INK, "stroke_width": "0.3"}
    add(root, "path", d=path_of(view.area(stamp.face.head)), fill=PAPER, **head)
    for place, (_, ground) in enumerate(steps):
        _fill(root, view.area(ground), place=place)
    for area, fill in ((stamp.face.ink, LAND), (stamp.plan.left_uncut, LEFT)):
        add(root, "path", d=path_of(view.area(area)), fill=fill, fill_rule="evenodd")
    add(root, "path", id="head", d=path_of(view.area(stamp.face.head)), fill="none", **head)
    _key(root, steps, stamp.plan, x=sheet.x, y=sheet.y + 2 * (half_y + _AROUND_MM))
    return sheet.close()


def _scale(stamp: Stamp) -> int:
    """How many times larger than it is the head of a mark with thin lands is drawn."""
    thin_mm = stamp.review.land_min_mm
    if thin_mm is None or thin_mm >= _THIN_MM:
        return 1
    largest_mm = 2 * max(stamp.face.head.bounds)
    return next((scale for scale in _SCALES if scale * largest_mm <= _LARGEST_MM), 1)


def _steps(plan: CuttingPlan) -> list[tuple[Operation, shapely.MultiPolygon]]:
    on_face = [operation for operation in plan.operations if operation.side == "face"]
    return [(step, ground) for step, ground in zip(on_face, plan.cleared, strict=True) if not ground.is_empty]


def _fill(root: ET.Element, ground: shapely.Geometry, *, place: int) -> None:
    hatch = HATCHES[place % len(HATCHES)]
    add(root, "path", d=path_of(ground), fill=hatch.tint, fill_rule="evenodd")  # lines would hide what walls take
    draw_hatch(root, ground, hatch, line=LINE)


def _key(
    root: ET.Element, steps: list[tuple[Operation, shapely.MultiPolygon]], plan: CuttingPlan, *, x: float, y: float
) -> None:
    rows = [_row(step, ground) for step, ground in steps]
    stays = [f"stays: {plan.left_uncut_mm2:.2f} mm²"] if plan.left_uncut_mm2 >= _SEEN_MM2 else []
    for place, words in enumerate([*rows, "lands, never touched", *stays]):
        top = y + place * _ROW_MM
        box = shapely.box(x, top, x + 6.5, top + 3.1)
        if place < len(rows):
            _fill(root, box, place=place)
        else:
            add(root, "path", d=path_of(box), fill=(LAND, LEFT)[place - len(rows)])
        add(root, "path", d=path_of(box), fill="none", stroke=INK, stroke_width=0.12)
        line = lines_of(words, room_mm=_KEY_MM - 9, size_mm=_TEXT_MM)[0]
        put(root, line, at=(x + 8.6, top + 2.3), size_mm=_TEXT_MM)


def _row(step: Operation, ground: shapely.MultiPolygon) -> str:
    kind = step.kind.replace("_", " ")
    return f"step {step.step}: {step.cutter}, {kind}, {ground.area:.2f} mm², {step.time_min:.1f} min"


def _facts(plan: CuttingPlan) -> list[str]:
    total = f"All work with changes of tool: {plan.total_min:.0f} min. Cutters in order: {', '.join(plan.cutters)}."
    return [total, *(f"Not used: {cutter}: {why.removesuffix('.')}." for cutter, why in plan.passed_over.items())]
