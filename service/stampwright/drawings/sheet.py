"""The shop sheet: what lies on the machine. One or two pages, A4 or Letter, the face on it at true size."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from stampwright import __version__
from stampwright.base import numbered
from stampwright.catalogue import drill_says, metal_named, substrate_named

from . import frame, svg
from .kinds import kinds_of, unlisted
from .lettering import as_seen, legible, short_name, width_mm
from .paper import pdf_of
from .svg import INK, QUIET, View, add, path_of
from .words import LINE, put

if TYPE_CHECKING:
    from collections.abc import Iterator
    from xml.etree import ElementTree as ET

    from stampwright.cutting import Operation
    from stampwright.pipeline import Stamp

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; 8.5 x 11 in
_EDGE_MM, _GUTTER_MM, _FOOT_MM = 13.0, 7.0, 8.0
_TEXT_MM, _HEAD_MM, _ROW_MM, _FOOT_TEXT_MM = 2.35, 2.8, 4.0, 2.0
_HEADING_MM, _BELOW_MM, _TABLE_MM, _GAP_MM = _EDGE_MM + 17.0, 9.0, 5.0, 3.0  # beside the rows of the table
_STUB_MM = 16.0  # columns shorter than that stay empty
_SCALES = (1, 2, 3, 4, 5, 8, 10)
_LAND, _LEFT = "#55504b", "#b9b4ae"  # as two greys of a black and white printer
_SHOWN_MM2 = 0.02  # ground left uncut is named from here on; less is not seen
_COLUMNS = (  # heading, share of the width, how it stands
    ("step", 0.00, "start"),
    ("side", 0.06, "start"),
    ("what", 0.12, "start"),
    ("tool", 0.24, "start"),
    ("rpm", 0.54, "end"),
    ("mm/min", 0.64, "end"),
    ("deep mm", 0.75, "end"),
    ("passes", 0.84, "end"),
    ("leave mm", 0.93, "end"),
    ("min", 1.00, "end"),
)


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of running text; a heading keeps some room above it."""

    words: str
    is_head: bool = False
    indent_mm: float = 0.0

    @property
    def size_mm(self) -> float:
        return _HEAD_MM if self.is_head else _TEXT_MM

    @property
    def height_mm(self) -> float:
        return LINE * (_HEAD_MM + 1.0 if self.is_head else _TEXT_MM)


_Set = tuple[_Line, float]


def sheet_pdf(stamp: Stamp, *, paper: Paper = "a4") -> bytes:
    """Write the shop sheet as PDF with embedded font and selectable text."""
    pages = sheet_pages(stamp, paper=paper)
    says = f"Shop sheet of a branding iron, digest {stamp.digest}"
    return pdf_of(pages, title=f"Shop sheet: {_named(stamp)}", says=says)


def sheet_pages(stamp: Stamp, *, paper: Paper = "a4") -> list[ET.Element]:
    """The pages as drawings; the second only when the text needs it."""
    wide, high = PAPERS[paper]
    lines = list(_told(stamp, (wide - 2 * _EDGE_MM - _GUTTER_MM) / 2))
    over, columns, rest = _laid_out(stamp, lines, size=(wide, high))
    pages = [_page(stamp, wide, high) for _ in range(2 if any(columns[2:]) else 1)]
    y = _heading(pages[0], stamp, wide=wide)
    y = _drawing(pages[0], stamp, wide=wide, y=y, over=over)
    top = _tools(pages[0], stamp, wide=wide, y=y) + _GAP_MM
    for page, pair, begins in zip(pages, (columns[:2], columns[2:]), (top, _EDGE_MM), strict=False):
        _set(page, pair, top=begins, wide=wide)
    if rest:
        words = f"{numbered(rest, 'more line')}: see README.txt of the bundle"
        put(pages[-1], words, at=(_EDGE_MM, _bottom(high) + 3.5), size_mm=_TEXT_MM, font_weight="bold")
    for number, page in enumerate(pages, start=1):
        words = f"{number} of {len(pages)} · {stamp.digest} · stampwright {__version__}"
        if number > 1:  # a loose page still says whose it is
            name = _fitted(_named(stamp), 50.0, size_mm=_FOOT_TEXT_MM)
            right = {"text_anchor": "end", "fill": QUIET}
            put(page, name, at=(wide - _EDGE_MM, high - _EDGE_MM + 3), size_mm=_FOOT_TEXT_MM, **right)
        put(page, words, at=(_EDGE_MM, high - _EDGE_MM + 3), size_mm=_FOOT_TEXT_MM, fill=QUIET)
    return pages


def _bottom(high: float) -> float:
    return high - _EDGE_MM - _FOOT_MM


def _laid_out(stamp: Stamp, lines: list[_Line], *, size: tuple[float, float]) -> tuple[int, list[list[_Set]], int]:
    """How small the face is drawn, four columns on two pages, and how many lines find no room on them.

    At true size wherever the paper holds it with all that is to be said; else as large as that allows.
    """
    (wide, high), (_, _, half_x, half_y) = size, stamp.face.head.bounds
    second = _bottom(high) - _EDGE_MM
    table = _TABLE_MM + _ROW_MM * len(stamp.plan.operations)
    found: list[tuple[int, list[list[_Set]], int]] = []
    for over in _SCALES:
        first = _bottom(high) - _HEADING_MM - 2 * half_y / over - _BELOW_MM - table - _GAP_MM
        if 2 * half_x / over > wide - 2 * _EDGE_MM - 4 or first < 0:
            continue
        rooms = [first if first > _STUB_MM else 0.0] * 2 + [second] * 2
        columns, rest = _poured(lines, rooms=rooms)
        if not rest:
            return over, _balanced(lines, columns, rooms=rooms), 0
        found.append((over, columns, rest))
    return min(found, key=lambda layout: layout[2])


def _balanced(lines: list[_Line], columns: list[list[_Set]], *, rooms: list[float]) -> list[list[_Set]]:
    """The same lines, those of the last page in columns as equal as can be: the shorter ones that hold them all."""
    last = 2 if any(columns[2:]) else 0
    shorter = np.arange(sum(line.height_mm for column in columns[last:] for line, _ in column) / 2, rooms[last])
    for room in shorter:
        tried, rest = _poured(lines, rooms=[*rooms[:last], room, room, *rooms[last + 2 :]])
        if not rest and not any(tried[last + 2 :]):
            return tried
    return columns


def _page(stamp: Stamp, wide: float, high: float) -> ET.Element:
    page = svg.page(wide, high, title=f"Shop sheet: {_named(stamp)}", says="What lies on the machine.")
    page[-1].set("fill", "#ffffff")  # white paper, whatever colour the screen's is
    return page


def _named(stamp: Stamp) -> str:
    return short_name(stamp.job.name) or f"branding iron {stamp.digest[:8]}"


def _heading(page: ET.Element, stamp: Stamp, *, wide: float) -> float:
    head, job = stamp.job.head, stamp.job
    verdict = stamp.review.verdict.upper()
    name = _fitted(_named(stamp), wide - 2 * _EDGE_MM - width_mm(verdict, size_mm=3.6) - 8, size_mm=5.0)
    put(page, name, at=(_EDGE_MM, _EDGE_MM + 4), size_mm=5.0, font_weight="bold")
    right = {"text_anchor": "end", "font_weight": "bold"}
    put(page, verdict, at=(wide - _EDGE_MM, _EDGE_MM + 4), size_mm=3.6, **right)
    across = f"Ø {head.width_mm:g}" if head.shape == "round" else f"{head.width_mm:g} × {head.height_mm:g}"
    size = f"{across} × {head.thickness_mm:g} mm"
    facts = (
        f"Head {size}, {metal_named(job.metal).name}, {stamp.solid.mass_g:.0f} g; relief {stamp.face.relief_mm:.2f} mm"
    )
    put(page, _fitted(facts, wide - 2 * _EDGE_MM), at=(_EDGE_MM, _EDGE_MM + 9), size_mm=_TEXT_MM)
    x0, y0, x1, y1 = stamp.face.ink.bounds
    mark = f"Mark {x1 - x0:.2f} × {y1 - y0:.2f} mm for {substrate_named(job.substrate).name}"
    seen = "the face is reversed" if stamp.face.reversed else "the face is NOT reversed: the print reads backwards"
    words = f"{mark}; {seen}. All cutting {stamp.plan.total_min:.0f} min."
    put(page, _fitted(words, wide - 2 * _EDGE_MM), at=(_EDGE_MM, _EDGE_MM + 12.6), size_mm=_TEXT_MM)
    add(
        page,
        "line",
        x1=_EDGE_MM,
        y1=_EDGE_MM + 14.8,
        x2=wide - _EDGE_MM,
        y2=_EDGE_MM + 14.8,
        stroke=INK,
        stroke_width=0.25,
    )
    return _HEADING_MM


def _drawing(page: ET.Element, stamp: Stamp, *, wide: float, y: float, over: int) -> float:
    """The face at 1:`over`; returns where it ends."""
    face, (_, _, _, half_y) = stamp.face, stamp.face.head.bounds
    view = View(0.0, 0.0)
    middle = (wide / 2, y + half_y / over + 1)
    group = add(page, "g", transform=f"translate({svg.num(middle[0])} {svg.num(middle[1])})")
    for area, fill, rim, name in (
        (face.head, "#ffffff", "0.25", "head"),
        (stamp.plan.left_uncut, _LEFT, "0.08", "left"),
        (face.ink, _LAND, "0", "lands"),
    ):
        shown = view.area(area) if over == 1 else frame.scaled(view.area(area), over)
        line = {"stroke": INK, "stroke_width": rim} if rim != "0" else {}
        add(group, "path", id=name, d=path_of(shown), fill=fill, fill_rule="evenodd", **line)
    for colour, width in (("#ffffff", 0.5), (INK, 0.14)):  # a white rim keeps it visible on dark lands
        add(group, "path", d=svg.cross((0.0, 0.0), arm_mm=2.0), fill="none", stroke=colour, stroke_width=width)
    below: float = y + 2 * half_y / over + 4.0
    frame.scale_bar(page, x=_EDGE_MM, y=below, over=over)
    left = "; light grey: no cutter reaches it" if stamp.plan.left_uncut_mm2 >= _SHOWN_MM2 else ""
    words = f"face as cut, from the front, {'' if over == 1 else 'drawn '}1:{over}; cross: zero{left}"
    put(page, words, at=(_EDGE_MM + 24, below + 1.35), size_mm=2.0, fill=QUIET)
    return below - 4.0 + _BELOW_MM


def _tools(page: ET.Element, stamp: Stamp, *, wide: float, y: float) -> float:
    room = wide - 2 * _EDGE_MM
    for words, share, anchor in _COLUMNS:
        at = (_EDGE_MM + share * room, y + 3)
        put(page, words, at=at, size_mm=2.0, text_anchor=anchor, fill=QUIET)
    for row, step in enumerate(stamp.plan.operations, start=1):
        base = y + 3 + row * _ROW_MM
        add(page, "line", x1=_EDGE_MM, y1=base - 2.9, x2=wide - _EDGE_MM, y2=base - 2.9, stroke=INK, stroke_width=0.08)
        for words, (_, share, anchor) in zip(_cells(step), _COLUMNS, strict=True):
            at = (_EDGE_MM + share * room, base)
            put(page, _fitted(words, 0.26 * room), at=at, size_mm=_TEXT_MM, text_anchor=anchor)
    return y + _TABLE_MM + len(stamp.plan.operations) * _ROW_MM


def _cells(step: Operation) -> tuple[str, ...]:
    by_hand = not step.spindle_rpm
    return (
        str(step.step),
        step.side,
        step.kind.replace("_", " "),
        step.cutter,
        "by hand" if by_hand else f"{step.spindle_rpm:.0f}",
        "" if by_hand else f"{step.feed_mm_per_min:.0f}",
        "" if step.axial_depth_mm is None else f"{step.axial_depth_mm:.2f}",
        str(step.passes),
        f"{step.stock_to_leave_mm:.2f}" if step.stock_to_leave_mm else "",
        f"{step.time_min:.1f}",
    )


def _told(stamp: Stamp, column: float) -> Iterator[_Line]:
    """All running text, headings and lines, broken for a column."""
    for heading, items in _sections(stamp):
        yield _Line(heading, is_head=True)
        for item in items:
            for place, words in enumerate(_broken(item[:1].upper() + item[1:], column - 3.0)):
                yield _Line(words, indent_mm=3.0 if place else 0.0)


def _sections(stamp: Stamp) -> Iterator[tuple[str, list[str]]]:
    """In the order of the work: what to know before, at the mill, at the flame, each with its dangers."""
    plan, use, blank = stamp.plan, stamp.use, stamp.plan.blank
    yield "Findings", _findings(stamp)
    lost = [f"{notice.says} {notice.remedy}" for notice in (*stamp.mark.left_out, *stamp.face.left_out)]
    if lost:
        yield "Will not print", lost
    is_round = stamp.job.head.shape == "round"
    across = f"Ø {blank.saw_width_mm:.1f}" if is_round else f"{blank.saw_width_mm:.1f} × {blank.saw_height_mm:.1f}"
    saw = f"Saw {across} × {blank.saw_thickness_mm:.1f} mm, {blank.mass_g:.0f} g."
    yield "Blank and set-up", [saw, blank.holding, blank.zero, *(f"☐ {step}" for step in blank.checklist)]
    if thread := plan.thread:
        depth = (
            f"Drill {drill_says(thread.drill_name, thread.drill_mm)} {thread.drilled_mm:.1f} mm deep to the shoulder"
        )
        wall = f"{thread.wall_mm:.1f} mm of metal stay below its point."
        full = (
            f"{thread.full_thread_mm:.1f} mm of full thread, {thread.percent_of_thread:.0f} %, with a {thread.tap} tap"
        )
        yield "Thread", [f"{thread.size}: {full}. {depth}; {wall}"]
    yield "Cautions while cutting", [caution.says for caution in plan.cautions]
    low, high = use.face_target_c
    least, most = use.heat_up_range_s
    warm = f"About {use.heat_up_s:.0f} s ({least:.0f} to {most:.0f}) to {low:.0f} to {high:.0f} °C."
    force = f"{use.press_force_n[0]:.0f} to {use.press_force_n[1]:.0f} N"
    prints = numbered(use.prints_per_heat, "print") if use.prints_per_heat else "no print"
    press = f"Press {use.dwell_s[0]:g} to {use.dwell_s[1]:g} s with {force}; {prints} a heat."
    yield "Heat and use", [warm, press, use.rod.says, *use.steps]
    yield "Cautions while branding", [caution.says for caution in use.cautions]


def _findings(stamp: Stamp) -> list[str]:
    found = [
        f"{kind.number}. {kind.name}: {' '.join(kind.told)} {kind.findings[0].remedy}"
        for kind in kinds_of(stamp.review)
    ]
    return [*(found or ["None: the mark can be cut as drawn."]), *filter(None, [unlisted(stamp.review)])]


def _poured(lines: list[_Line], *, rooms: list[float]) -> tuple[list[list[_Set]], int]:
    """Fill columns of some heights: each line with its base line below the column's top; and how many are left."""
    columns: list[list[_Set]] = []
    left = list(lines)
    for room in rooms:
        column: list[_Set] = []
        y = 0.0
        while left:
            step = left[0].height_mm if column else LINE * left[0].size_mm  # a heading at the top needs none above
            after = LINE * _TEXT_MM if left[0].is_head else 0.0  # nor does it stand alone at the foot
            if y + step + after > room:
                break
            y += step
            column.append((left.pop(0), y))
        columns.append(column)
    return columns, len(left)


def _set(page: ET.Element, columns: list[list[_Set]], *, top: float, wide: float) -> None:
    step = (wide - 2 * _EDGE_MM + _GUTTER_MM) / 2
    for place, column in enumerate(columns):
        for line, y in column:
            bold = {"font_weight": "bold"} if line.is_head else {}
            at = (_EDGE_MM + place * step + line.indent_mm, top + y)
            put(page, line.words, at=at, size_mm=line.size_mm, **bold)


def _broken(words: str, room_mm: float) -> list[str]:
    """Break text by the font's own widths; a word longer than the line is broken."""
    lines, ends = [""], 0.0
    space = width_mm(" ", size_mm=_TEXT_MM)
    for word in svg.clean(words).split():
        rest, wide = word, width_mm(legible(word), size_mm=_TEXT_MM)
        if lines[-1] and ends + space + wide <= room_mm:
            lines[-1], ends = f"{lines[-1]} {rest}", ends + space + wide
            continue
        while wide > room_mm and len(rest) > 1:
            fits = _fitting(rest, room_mm)
            lines.append(rest[:fits])
            rest = rest[fits:]
            wide = width_mm(legible(rest), size_mm=_TEXT_MM)
        lines.append(rest)
        ends = wide
    return [line for line in lines if line]


def _fitting(word: str, room_mm: float) -> int:
    """How many of a word's letters a line takes; one at least."""
    ends = np.cumsum([width_mm(legible(letter), size_mm=_TEXT_MM) for letter in word])
    return max(1, int(np.searchsorted(ends, room_mm, side="right")))


def _fitted(words: str, room_mm: float, *, size_mm: float = _TEXT_MM) -> str:
    text = svg.clean(words)
    while text and width_mm(as_seen(text), size_mm=size_mm) > room_mm:
        text = text[:-2].rstrip() + "…"
    return text
