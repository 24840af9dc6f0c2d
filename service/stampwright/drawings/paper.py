"""Paints our drawings on the pages of a PDF: the few kinds of elements that `svg.add` makes, at true size."""

from __future__ import annotations

import io
import math
import re
from typing import TYPE_CHECKING, Any

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, FILL_NON_ZERO, Canvas

from .lettering import as_seen, ready_font, width_mm

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from xml.etree import ElementTree as ET

POINTS_PER_MM = 72 / 25.4
_TOKEN = re.compile(r"[A-Za-z]|-?[\d.]+")
_MOVE = re.compile(r"(translate|rotate)\(([^)]*)\)")
_BOLD_RIM = 0.045  # of the letter's size: the font comes in one weight
_GEOMETRY = {"x", "y", "width", "height", "rx", "cx", "cy", "r", "x1", "y1", "x2", "y2"}
Style = dict[str, str]
_INHERITED = ("fill", "stroke", "stroke-width", "fill-rule", "stroke-dasharray", "stroke-linejoin", "opacity")


def pdf_of(pages: Sequence[ET.Element], *, title: str, says: str) -> bytes:
    """Write drawings as pages of one PDF; no date and no chance in it, so the same bytes again."""
    packed = io.BytesIO()
    canvas = Canvas(packed, invariant=1, pageCompression=1, lang="en")
    canvas.setTitle(as_seen(title))
    canvas.setSubject(says)
    canvas.setCreator("stampwright")
    for page in pages:
        _, _, wide, high = (float(number) for number in page.get("viewBox", "").split())
        canvas.setPageSize((wide * POINTS_PER_MM, high * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, -POINTS_PER_MM)
        canvas.translate(0, -high)
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
        self.named = {element.get("id", ""): element for element in page.iter() if element.get("id")}

    def children(self, parent: ET.Element, style: Style) -> None:
        for element in parent:
            if element.tag in {"title", "desc", "defs"}:
                continue
            self.canvas.saveState()
            own = style | {name: element.get(name, "") for name in _INHERITED if element.get(name)}
            self._moved(element.get("transform", ""))
            self._clipped(element.get("clip-path", ""))
            if element.tag in {"g", "svg"}:
                self.children(element, own)
            elif element.tag == "text":
                self._text(element, own)
            else:
                self._shape(element, own)
            self.canvas.restoreState()

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
        canvas, path, fill = self.canvas, self._path(element), style["fill"]
        rule = FILL_EVEN_ODD if style.get("fill-rule") == "evenodd" else FILL_NON_ZERO
        if "opacity" in style:
            canvas.setFillAlpha(float(style["opacity"]))
            canvas.setStrokeAlpha(float(style["opacity"]))
        if fill.startswith("url("):
            self._hatched(self.named[fill[5:-1]], path, rule=rule)
            fill = "none"
        self._pen(style)
        if fill != "none":
            canvas.setFillColor(HexColor(fill))
        canvas.drawPath(path, stroke=int(style["stroke"] != "none"), fill=int(fill != "none"), fillMode=rule)

    def _pen(self, style: Mapping[str, str]) -> None:
        if style["stroke"] == "none":
            return
        self.canvas.setStrokeColor(HexColor(style["stroke"]))
        self.canvas.setLineWidth(float(style["stroke-width"]))
        self.canvas.setLineJoin(1 if style.get("stroke-linejoin") == "round" else 0)
        dashes = style.get("stroke-dasharray", "none")
        if dashes != "none":
            self.canvas.setDash([float(dash) for dash in dashes.split()])

    def _hatched(self, pattern: ET.Element, path: Any, *, rule: int) -> None:  # noqa: ANN401  the library's path
        """Fill with a tint and strokes across; dots are strokes of round dashes."""
        canvas, parts = self.canvas, list(pattern)
        pitch = float(pattern.get("width", "1"))
        canvas.saveState()
        canvas.clipPath(path, stroke=0, fill=0, fillMode=rule)
        canvas.setFillColor(HexColor(parts[0].get("fill", "#fff")))
        canvas.rect(0, 0, *self.size_mm, stroke=0, fill=1)
        if len(parts) > 1:
            self._moved(pattern.get("patternTransform", ""))
            self._rows(parts[1], pitch=pitch, reach=math.hypot(*self.size_mm))
        canvas.restoreState()

    def _rows(self, mark: ET.Element, *, pitch: float, reach: float) -> None:
        canvas, dots = self.canvas, mark.tag == "circle"
        canvas.setStrokeColor(HexColor(mark.get("fill", "#000")))
        canvas.setLineWidth(2 * float(mark.get("r", "0")) if dots else float(mark.get("height", "0")))
        if dots:
            canvas.setLineCap(1)
            canvas.setDash([0, pitch])
        count = math.ceil(reach / pitch)
        rows = canvas.beginPath()
        for row in range(-count, count + 1):
            y = (row + (0.5 if dots else 0.0)) * pitch
            rows.moveTo(-count * pitch + pitch / 2, y)
            rows.lineTo(count * pitch, y)
        canvas.drawPath(rows, stroke=1, fill=0)

    def _text(self, element: ET.Element, style: Style) -> None:
        canvas, size = self.canvas, float(element.get("font-size", "1"))
        words = as_seen(element.text or "")
        anchor = {"middle": 0.5, "end": 1.0}.get(element.get("text-anchor", ""), 0.0)
        canvas.translate(float(element.get("x", "0")), float(element.get("y", "0")))
        canvas.scale(1, -1)
        canvas.setFillColor(HexColor(style["fill"]))
        bold = element.get("font-weight") == "bold"
        if bold:
            canvas.setStrokeColor(HexColor(style["fill"]))
            canvas.setLineWidth(_BOLD_RIM * size)
        canvas.setFont(ready_font(), size)
        canvas.drawString(-anchor * width_mm(words, size_mm=size), 0, words, mode=2 if bold else 0)

    def _path(self, element: ET.Element) -> Any:  # noqa: ANN401  the library's path
        value = {name: float(text) for name, text in element.items() if name in _GEOMETRY}
        path = self.canvas.beginPath()
        if element.tag == "rect":
            box = (value.get("x", 0.0), value.get("y", 0.0), value["width"], value["height"])
            path.roundRect(*box, value["rx"]) if "rx" in value else path.rect(*box)
        elif element.tag == "circle":
            path.circle(value["cx"], value["cy"], value["r"])
        elif element.tag == "line":
            path.moveTo(value["x1"], value["y1"])
            path.lineTo(value["x2"], value["y2"])
        else:
            _drawn(path, element.get("d", ""))
        return path


def _drawn(path: Any, data: str) -> None:  # noqa: ANN401  the library's path
    """Follow path data of the commands that our drawings use: M L C H V Z, and m l h v relative."""
    tokens = _TOKEN.findall(data)
    at, x, y, command, count = 0, 0.0, 0.0, "M", len(tokens)
    while at < count:
        if tokens[at].isalpha():
            command, at = tokens[at], at + 1
        if command == "Z":
            path.close()
            continue
        need = {"h": 1, "v": 1, "c": 6}.get(command.lower(), 2)
        numbers = [float(token) for token in tokens[at : at + need]]
        at += need
        if command == "C":
            path.curveTo(*numbers)
        base = (0.0, 0.0) if command.isupper() else (x, y)
        x = x if command in "vV" else base[0] + numbers[-2 if need > 1 else 0]
        y = y if command in "hH" else base[1] + numbers[-1]
        if command in "Mm":
            path.moveTo(x, y)
        elif command != "C":
            path.lineTo(x, y)
