"""What every drawing shares: heading, remarks and footer around one picture at true size."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from stampwright import __version__

from . import svg
from .kinds import kinds_of
from .lettering import short_name
from .remarks import Remarks
from .svg import INK, QUIET
from .words import LINE, fitted, lines_of, put, put_lines

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from stampwright.pipeline import Stamp

EDGE_MM = 9.0
_NARROW_MM, _WIDE_MM = 112.0, 186.0  # one column of findings, or two; either fits the usual paper
_MOST_IN_ONE = 3  # kinds of findings
_BOLD = 1.25  # width of bold letters over plain ones, at most: the i of DejaVu Sans and of Verdana
_TITLE_MM, _TEXT_MM, _FOOT_MM = 4.2, 2.2, 2.0
_VERDICT_SAYS = {
    "ready": "ready to cut",
    "compromised": "can be cut, with the losses listed below",
    "unmakeable": "cannot be cut like this: see the solid numbers below",
}


@dataclass(frozen=True, slots=True)
class Frame:
    """A page begun: draw the picture with its upper left corner at (`x`, `y`), then `close` it."""

    root: ET.Element
    x: float
    y: float
    width_mm: float
    height_mm: float
    below: list[str]
    remarks: Remarks | None
    foot: str

    def close(self) -> ET.Element:
        """Add what stands below the picture; returns the page."""
        line = put_lines(self.root, self.below, at=(EDGE_MM, self.y + self.height_mm + 6.5), size_mm=_TEXT_MM)
        if self.remarks:
            self.remarks.draw(self.root, x=EDGE_MM, y=line + 0.5)
        height = float(self.root.get("viewBox", "").split()[3])
        put(self.root, self.foot, at=(EDGE_MM, height - EDGE_MM / 2), size_mm=_FOOT_MM, fill=QUIET)
        return self.root


def room_mm(stamp: Stamp, *, findings: bool = True) -> float:
    """Width between the edges of a page whose picture is no wider."""
    many = findings and len(kinds_of(stamp.review)) > _MOST_IN_ONE
    return (_WIDE_MM if many else _NARROW_MM) - 2 * EDGE_MM


def opened(  # noqa: PLR0913  one page has that many parts
    stamp: Stamp,
    *,
    title: str,
    says: str,
    width_mm: float,
    height_mm: float,
    facts: list[str],
    stretch: bool = False,
    findings: bool = True,
    scale: int = 1,
) -> Frame:
    """Begin a page around a picture of `width_mm` by `height_mm`, which `stretch` lets grow to the page's width.

    `says` describes the picture to those who cannot see it; `facts` stand below the picture, and then the findings.
    The foot says at which scale the picture is drawn.
    """
    inner_mm = max(room_mm(stamp, findings=findings), width_mm)
    page_mm = inner_mm + 2 * EDGE_MM
    verdict = f" Verdict: {_VERDICT_SAYS[stamp.review.verdict]}." if findings else ""
    intro = lines_of(says + verdict, room_mm=inner_mm, size_mm=_TEXT_MM)
    below = [line for fact in facts for line in lines_of(fact, room_mm=inner_mm, size_mm=_TEXT_MM)]
    remarks = Remarks(stamp.review, width_mm=inner_mm) if findings else None
    top = EDGE_MM + _TITLE_MM + LINE * _TEXT_MM * len(intro) + 3.0
    page_height = top + height_mm + 8.0 + LINE * _TEXT_MM * len(below) + EDGE_MM
    page_height += remarks.height_mm if remarks else 0.0
    name = short_name(stamp.job.name)
    title = fitted(f"{title}: {name}" if name else title, room_mm=inner_mm / _BOLD, size_mm=_TITLE_MM)
    root = svg.page(page_mm, page_height, title=title, says=says)
    put(root, title, at=(EDGE_MM, EDGE_MM + 0.75 * _TITLE_MM), size_mm=_TITLE_MM, font_weight="bold")
    put_lines(root, intro, at=(EDGE_MM, EDGE_MM + _TITLE_MM + 1.2 * _TEXT_MM), size_mm=_TEXT_MM, fill=QUIET)
    x = EDGE_MM if stretch else (page_mm - width_mm) / 2
    size = "at true size" if scale == 1 else f"{scale}:1"
    foot = f"{stamp.digest[:16]} · stampwright {__version__} · lengths in mm, drawn {size}"
    return Frame(root, x, top, inner_mm if stretch else width_mm, height_mm, below, remarks, foot)


def scaled(area: shapely.Geometry, over: int) -> shapely.Geometry:
    """An area drawn at 1:`over` about the origin."""
    return shapely.transform(area, lambda xy: xy / over)


def scale_bar(parent: ET.Element, *, x: float, y: float, over: int = 1) -> None:
    """Draw a bar that stands for 10 mm, or tens of them at 1:`over`: a copy that was scaled gives itself away."""
    for left, width, fill in ((0.0, 10.0, svg.PAPER), (0.0, 5.0, INK)):
        svg.add(parent, "rect", x=x + left, y=y, width=width, height=0.9, fill=fill, stroke=INK, stroke_width=0.15)
    put(parent, f"{10 * over} mm", at=(x + 11.2, y + 1.35), size_mm=_FOOT_MM)
