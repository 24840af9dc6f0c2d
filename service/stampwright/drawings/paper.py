"""Paints our drawings on the pages of a PDF: the few kinds of elements that `svg.add` makes, at true size."""

from __future__ import annotations

import io
import math
import re
from functools import cache
from typing import TYPE_CHECKING, Any

from reportlab import rl_config
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, FILL_NON_ZERO, Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from .lettering import as_seen, ready_font, width_mm

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from xml.etree import ElementTree as ET

rl_config.useA85 = 0  # streams as bytes: their letters would be a quarter longer, and take as long as all the rest
POINTS_PER_MM = 72 / 25.4
_STRAIGHT = re.compile(r"(?:M[\d. -]+Z?)+")
_TOKEN = re.compile(r"[A-Za-z]|-?[\d.]+")
_MOVE = re.compile(r"(translate|rotate)\(([^)]*)\)")
_QUARTER = 4 / 3 * (math.sqrt(2) - 1)  # of the radius: handles of a cubic that is a quarter of a circle, within 0.03 %
_BOLD_RIM = 0.045  # of the letter's size: the font comes in one weight
_GEOMETRY = {"x", "y", "width", "height", "rx", "cx", "cy", "r"}
Style = dict[str, str]
_FILLED_AND_RIMMED = 2  # ISO 32000-1, table 106
_LASTING = {"transform", "clip-path", "opacity"}  # what the page would keep after an element
_PEN = ("stroke", "stroke-width", "stroke-linejoin", "stroke-linecap", "stroke-dasharray")
_INHERITED = (
    "fill",
    "stroke",
    "stroke-width",
    "fill-rule",
    "stroke-dasharray",
    "stroke-linejoin",
    "stroke-linecap",
    "opacity",
)


def pdf_of(pages: Sequence[ET.Element], *, title: str, says: str, is_packed: bool = True) -> bytes:
    """Write drawings as pages of one PDF; no date and no chance in it, so the same bytes again."""
    packed = io.BytesIO()
    style = {"lang": "en", "initialFontName": ready_font(), "bottomup": 0}
    canvas = Canvas(packed, invariant=1, pageCompression=int(is_packed), **style)
    canvas.setTitle(as_seen(title))
    canvas.setSubject(says)
    canvas.setCreator("stampwright")
    for page in pages:
        _, _, wide, high = (float(number) for number in page.get("viewBox", "").split())
        canvas.setPageSize((wide * POINTS_PER_MM, high * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        _Painter(canvas, page, size_mm=(wide, high)).children(
            page, {"fill": "#000", "stroke": "none", "stroke-width": "1"}
        )
        canvas.showPage()
    canvas.save()
    return packed.getvalue()


class _Painter:
    """Paints one page, whose user unit is a millimetre, y down."""

    def __init__(self, canvas: Canvas, page: ET.Element, *, size_mm: tuple[float, float]) -> None:
        self.canvas, self.size_mm = canvas, size_mm
        self._forget()
        self.named = {element.get("id", ""): element for element in page.iter() if element.get("id")}

    def children(self, parent: ET.Element, style: Style) -> None:
        for element in parent:
            if element.tag in {"title", "desc", "defs"}:
                continue
            own = style | {name: element.get(name, "") for name in _INHERITED if element.get(name)}
            if _LASTING.isdisjoint(element.keys()):  # else nothing of it outlives the element
                self._element(element, own)
                continue
            self.canvas.saveState()
            self._moved(element.get("transform", ""))
            self._clipped(element.get("clip-path", ""))
            self._forget()
            self._element(element, own)
            self.canvas.restoreState()
            self._forget()

    def _forget(self) -> None:
        """What was set last is not known any more: a state was kept or taken back."""
        self.pen: tuple[str | None, ...] = ()
        self.ink = ""

    def _filled_with(self, colour: str) -> None:
        if colour != self.ink:
            self.ink = colour
            self.canvas.addLiteral(f"{_rgb(colour)} rg")

    def _element(self, element: ET.Element, style: Style) -> None:
        if element.tag in {"g", "svg"}:
            self.children(element, style)
        elif element.tag == "text":
            self._text(element, style)
        else:
            self._shape(element, style)

    def _moved(self, transform: str) -> None:
        for kind, numbers in _MOVE.findall(transform):
            values = [float(number) for number in numbers.replace(",", " ").split()]
            if kind == "rotate":
                self.canvas.rotate(values[0])
            else:
                self.canvas.translate(*values)

    def _clipped(self, reference: str) -> None:
        if reference:
            for shape in self.named[reference[5:-1]]:
                self.canvas.clipPath(self._path(shape), stroke=0, fill=0)

    def _shape(self, element: ET.Element, style: Style) -> None:
        canvas, fill = self.canvas, style["fill"]
        rule = FILL_EVEN_ODD if style.get("fill-rule") == "evenodd" else FILL_NON_ZERO
        self._pen(style)
        if fill != "none":
            self._filled_with(fill)
        if "opacity" in style:
            canvas.setFillAlpha(float(style["opacity"]))
            canvas.setStrokeAlpha(float(style["opacity"]))
        path = self._path(element)
        canvas.drawPath(path, stroke=int(style["stroke"] != "none"), fill=int(fill != "none"), fillMode=rule)

    def _pen(self, style: Mapping[str, str]) -> None:
        pen = tuple(map(style.get, _PEN))
        if style["stroke"] == "none" or pen == self.pen:
            return
        self.pen = pen
        join, cap = (int(style.get(f"stroke-line{what}") == "round") for what in ("join", "cap"))
        dashes = style.get("stroke-dasharray", "none").replace("none", "")
        # one piece of PDF (ISO 32000-1, 8.4.4): the library would set each alone, and write every number anew
        self.canvas.addLiteral(f"{_rgb(style['stroke'])} RG {style['stroke-width']} w {join} j {cap} J [{dashes}] 0 d")

    def _text(self, element: ET.Element, style: Style) -> None:
        canvas, size = self.canvas, float(element.get("font-size", "1"))
        words = as_seen(element.text or "")
        back = {"middle": 0.5, "end": 1.0}.get(element.get("text-anchor", ""), 0.0)
        x = float(element.get("x", "0")) - back * width_mm(words, size_mm=size)
        rim, width = style["stroke"], style["stroke-width"]
        if element.get("font-weight") == "bold":
            rim, width = style["fill"], f"{_BOLD_RIM * size:.4f}"
        self._filled_with(style["fill"])
        if rim != "none":
            canvas.saveState()  # the way of drawing letters would last
            self._pen(style | {"stroke": rim, "stroke-width": width, "stroke-linejoin": "round"})
        line = canvas.beginText()
        line.setTextOrigin(x, float(element.get("y", "0")))
        line.setFont(ready_font(), size)
        line.setTextRenderMode(0 if rim == "none" else _FILLED_AND_RIMMED)
        line.textLine(words)  # the other way to say it measures the words first
        canvas.drawText(line)
        if rim != "none":
            canvas.restoreState()
            self._forget()

    def _path(self, element: ET.Element) -> Any:  # noqa: ANN401  the library's path
        data = element.get("d", "")
        if element.tag == "line":
            data = f"M{' '.join(element.get(name, '0') for name in ('x1', 'y1', 'x2', 'y2'))}"
        if _STRAIGHT.fullmatch(data):
            return PDFPathObject(code=_operators(data))
        value = {name: float(text) for name, text in element.items() if name in _GEOMETRY}
        path = self.canvas.beginPath()
        if element.tag == "rect":
            box = (value.get("x", 0.0), value.get("y", 0.0), value["width"], value["height"])
            path.roundRect(*box, value["rx"]) if "rx" in value else path.rect(*box)
        elif element.tag == "circle":
            return PDFPathObject(code=[_disc(value["cx"], value["cy"], value["r"])])
        else:
            _drawn(path, data)
        return path


@cache
def _rgb(hex_code: str) -> str:
    return " ".join(f"{part:.4f}" for part in HexColor(hex_code).rgb())


def _disc(x: float, y: float, r: float) -> str:
    """A circle of four cubics."""
    k = _QUARTER * r
    rights = (
        (r, 0.0),
        (r, k, k, r, 0.0, r),
        (-k, r, -r, k, -r, 0.0),
        (-r, -k, -k, -r, 0.0, -r),
        (k, -r, r, -k, r, 0.0),
    )
    steps = ((x + u, y + v) for way in rights for u, v in zip(way[::2], way[1::2], strict=True))
    words = " ".join(f"{u:.4f} {v:.4f}" for u, v in steps).split(" ")
    return " ".join([*words[:2], "m", *words[2:8], "c", *words[8:14], "c", *words[14:20], "c", *words[20:], "c", "h"])


def _operators(data: str) -> list[str]:
    """What PDF calls the same lines; their numbers are written the same way."""
    found = []
    for line in data.split("M")[1:]:
        numbers = line.rstrip("Z").split()
        steps = [*numbers, *numbers[::2]]  # as long as need be, and every word of it replaced
        steps[::3], steps[1::3], steps[2::3] = numbers[::2], numbers[1::2], ["l"] * (len(numbers) // 2)
        steps[2] = "m"
        found.append(" ".join(steps))
        if line.endswith("Z"):
            found.append("h")
    return found


def _drawn(path: Any, data: str) -> None:  # noqa: ANN401  the library's path
    """Follow path data of the commands that our drawings use: M L H V Z, and m l h v relative."""
    tokens = _TOKEN.findall(data)
    at, x, y, command, count = 0, 0.0, 0.0, "M", len(tokens)
    while at < count:
        if tokens[at].isalpha():
            command, at = tokens[at], at + 1
        if command == "Z":
            path.close()
            continue
        need = 1 if command in "HVhv" else 2
        numbers = [float(token) for token in tokens[at : at + need]]
        at += need
        base = (0.0, 0.0) if command.isupper() else (x, y)
        x = x if command in "vV" else base[0] + numbers[-2 if need > 1 else 0]
        y = y if command in "hH" else base[1] + numbers[-1]
        if command in "Mm":
            path.moveTo(x, y)
        else:
            path.lineTo(x, y)
