"""The print proof and the face drawing: true size, for people who judge a stamp by looking."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright.catalogue import drill_says, substrate_named

from . import badges, board, frame, svg
from .dimensions import across, figure_of, upright
from .kinds import kinds_of
from .section import HEIGHT_MM as SECTION_HIGH_MM
from .section import WIDTH_MM as SECTION_WIDE_MM
from .section import draw_section, draw_trace, letters_of, section_of
from .svg import INK, View, path_of

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from stampwright.base import Point, Severity
    from stampwright.pipeline import Stamp

_AROUND_MM = 9.0  # board shown around the head; room for badges
_DIMENSION_MM = 15.0  # room for a row of dimensions on each side of the face
_BESIDE_MM = 5.0  # of it badges may use, before the figures begin
_BADGES_OF_A_KIND = 3  # the worst places; the others of the kind get a dot on the face, and leave the print alone
_SPREAD_MM = 0.005  # char that spreads less is not told
_SHOWN_MM2 = 0.02  # print that was not drawn is named from here on; less is not seen
BRASS, LAND, GROWN, LEFT = "#ece0c4", "#4a4440", "#776a60", "#bb8c55"


def draw_print(stamp: Stamp) -> ET.Element:
    """Draw the print on its substrate, read the right way round, at true size [mm]."""
    goods = substrate_named(stamp.job.substrate)
    face, (_, _, half_x, half_y) = stamp.face, stamp.face.head.bounds
    sheet = frame.opened(
        stamp,
        title="Print proof",
        says=f"The mark as it will read on {goods.name}, {_size(stamp)}.",
        width_mm=2 * (half_x + _AROUND_MM),
        height_mm=2 * (half_y + _AROUND_MM),
        facts=_print_facts(stamp),
        stretch=True,
    )
    # The print is the face seen from behind.
    view = View(sheet.x + sheet.width_mm / 2, sheet.y + sheet.height_mm / 2, sense=-1.0)
    box = (sheet.x, sheet.y, sheet.x + sheet.width_mm, sheet.y + sheet.height_mm)
    board.draw_board(sheet.root, goods.kind, box=box)
    svg.add(
        sheet.root,
        "path",
        id="head",
        d=path_of(view.area(face.head)),
        fill="none",
        stroke=INK,
        stroke_width=0.12,
        stroke_dasharray="0.9 0.9",
        opacity=0.45,
    )
    board.draw_print(
        sheet.root,
        path_of(view.area(face.ink)),
        path_of(view.area(stamp.plan.left_uncut)),
        scorch_mm=stamp.use.char_spread_mm[0],
        thin=_thin(stamp, view),
    )
    numbered, _ = _places(stamp, view)
    badges.draw(sheet.root, badges.placed(numbered, ink=view.area(face.ink), within=box))
    frame.scale_bar(sheet.root, x=box[2] - 23, y=box[3] - 3.4)
    return sheet.close()


def draw_face(stamp: Stamp) -> ET.Element:
    """Draw the face as the cutter meets it, dimensioned, at true size [mm]."""
    face, (_, _, half_x, half_y) = stamp.face, stamp.face.head.bounds
    section = section_of(stamp)
    face_mm = 2 * (half_x + _DIMENSION_MM), 2 * (half_y + _DIMENSION_MM)
    is_beside = section is not None and face_mm[0] + SECTION_WIDE_MM <= frame.room_mm(stamp)
    below_mm = SECTION_HIGH_MM if section and not is_beside else 0.0
    sheet = frame.opened(
        stamp,
        title="Face",
        says=f"The head as cut, seen from the front{': the mark is reversed' if face.reversed else ''}.",
        width_mm=face_mm[0] + (SECTION_WIDE_MM if is_beside else 0.0),
        height_mm=max(face_mm[1] + below_mm, SECTION_HIGH_MM),
        facts=_face_facts(stamp),
    )
    view = View(sheet.x + face_mm[0] / 2, sheet.y + face_mm[1] / 2)
    root, head = sheet.root, path_of(view.area(face.head))
    svg.add(root, "path", id="head", d=head, fill=BRASS, stroke=INK, stroke_width=0.3)
    if not stamp.plan.left_uncut.is_empty:
        svg.add(root, "path", d=path_of(view.area(stamp.plan.left_uncut)), fill=LEFT, fill_rule="evenodd")
    thin = _thin(stamp, view)
    fill = LAND if thin is None else GROWN
    svg.add(root, "path", id="lands", d=path_of(view.area(face.ink)), fill=fill, fill_rule="evenodd")
    if thin is not None:
        svg.add(root, "path", id="drawn", d=thin, fill=LAND, fill_rule="evenodd")
    _hole(root, stamp, at=(view.x, view.y))
    _dimensions(root, stamp, view=view)
    if section:
        draw_trace(root, section, view=view)
        beside = (sheet.x + face_mm[0] + SECTION_WIDE_MM / 2, view.y - SECTION_HIGH_MM / 2)
        x, y = beside if is_beside else (view.x, sheet.y + face_mm[1])
        draw_section(root, section, stamp, x=x, y=y)
    reach_x, reach_y = half_x + _BESIDE_MM, half_y + _BESIDE_MM
    within = (view.x - reach_x, view.y - reach_y, view.x + reach_x, view.y + reach_y)
    letters = letters_of(section, view=view) if section else []
    numbered, lesser = _places(stamp, view)
    badges.draw_lesser(root, lesser)
    badges.draw(root, badges.placed(numbered, ink=view.area(face.ink), within=within, letters=letters))
    return sheet.close()


def _thin(stamp: Stamp, view: View) -> str | None:
    """Path of the ink before its thin lands were grown; None where none were."""
    if stamp.growth is None or stamp.growth.outcome != "grown":
        return None
    return path_of(view.area(stamp.growth.drawn))


def _grown_fact(stamp: Stamp, shade: str) -> list[str]:
    if stamp.growth is None:
        return []
    shown = f"{shade}: what was added. " if stamp.growth.outcome == "grown" else ""
    return [shown + stamp.growth.says]


def _places(stamp: Stamp, view: View) -> tuple[list[tuple[int, Severity, Point]], list[Point]]:
    """Where numbers are to stand on the page, the worst places of each kind, and the places that get none."""
    placed = [
        (kind, [view.point(found.at_mm) for found in kind.findings if found.at_mm]) for kind in kinds_of(stamp.review)
    ]
    numbered = [(kind.number, kind.severity, at) for kind, places in placed for at in places[:_BADGES_OF_A_KIND]]
    return numbered, [at for _, places in placed for at in places[_BADGES_OF_A_KIND:]]


def _hole(root: ET.Element, stamp: Stamp, *, at: Point) -> None:
    if (hole := stamp.solid.hole) is None:
        return
    x, y = at
    for colour, width in ((BRASS, 0.5), (INK, 0.22)):  # a pale rim keeps it visible across dark lands
        style: dict[str, str | float] = {"stroke": colour, "stroke_width": width, "stroke_dasharray": "1.1 0.7"}
        svg.add(root, "circle", cx=x, cy=y, r=hole.drill_mm / 2, fill="none", **style)
        style["stroke_dasharray"] = "none"
        svg.add(root, "path", d=svg.cross((x, y), arm_mm=1.0), fill="none", **style)


def _dimensions(root: ET.Element, stamp: Stamp, *, view: View) -> None:
    (hx0, hy0, hx1, hy1), (ix0, iy0, ix1, iy1) = stamp.face.head.bounds, stamp.face.ink.bounds
    left, top = view.point((hx0, hy1))
    right, bottom = view.point((hx1, hy0))
    ink_left, ink_top = view.point((ix0, iy1))
    ink_right, ink_bottom = view.point((ix1, iy0))
    is_round = stamp.job.head.shape == "round"
    across(root, left, right, y=bottom + 9, from_y=bottom, figure=f"Ø {figure_of(right - left)}" if is_round else "")
    across(root, ink_left, ink_right, y=top - 8, from_y=ink_top)
    if not is_round:
        upright(root, top, bottom, x=right + 9, from_x=right)
    upright(root, ink_top, ink_bottom, x=left - 8, from_x=ink_left)


def _size(stamp: Stamp) -> str:
    x0, y0, x1, y1 = stamp.face.ink.bounds
    return f"{x1 - x0:.1f} × {y1 - y0:.1f} mm"


def _print_facts(stamp: Stamp) -> list[str]:
    facts = ["Broken line: the edge of the head, which does not print."]
    facts += [f"Will not print: {notice.says}" for notice in stamp.mark.left_out]  # what the head cut off is a finding
    if stamp.plan.left_uncut_mm2 >= _SHOWN_MM2:
        facts.append(
            f"Paler brown: {stamp.plan.left_uncut_mm2:.2f} mm² of ground that no chosen cutter reaches "
            "and that prints although it was not drawn."
        )
    facts += _grown_fact(stamp, "Lighter char")
    low, high = stamp.use.char_spread_mm
    if high >= _SPREAD_MM:
        facts.append(f"Soft rim: char spreads about {low:.2f} to {high:.2f} mm beyond each edge; {low:.2f} is drawn.")
    if _places(stamp, View(0.0, 0.0))[1]:
        facts.append(f"Numbers stand at the {_BADGES_OF_A_KIND} worst places of each kind; the face drawing shows all.")
    return facts


def _face_facts(stamp: Stamp) -> list[str]:
    face, job, hole = stamp.face, stamp.job, stamp.solid.hole
    draft = job.relief.draft_deg
    walls = f"walls sloped by {draft:g}°" if draft else "straight walls"
    facts = [
        f"Block {job.metal}, {job.head.thickness_mm:g} thick; lands {face.relief_mm:.2f} above the floor, {walls}.",
        f"Ink {face.ink.area:.1f} mm², {face.ink.area / face.head.area:.0%} of the face."
        + _least("land", stamp.review.land_min_mm)
        + _least("gap", stamp.review.gap_min_mm),
    ]
    facts += _grown_fact(stamp, "Paler land")
    if hole:
        facts.append(
            f"Broken circle: hole in the back for {hole.thread}, drill "
            f"{drill_says(hole.drill_name, hole.drill_mm)} to "
            f"{hole.drilled_mm:.1f}, full thread {hole.full_thread_mm:.1f}, {hole.wall_mm:.1f} of metal to the floor."
        )
    if stamp.plan.left_uncut_mm2 >= _SHOWN_MM2:
        facts.append(f"Brown: {stamp.plan.left_uncut_mm2:.2f} mm² that no chosen cutter reaches.")
    return facts


def _least(what: str, width_mm: float | None) -> str:
    return "" if width_mm is None else f" Narrowest {what} {width_mm:.2f}."
