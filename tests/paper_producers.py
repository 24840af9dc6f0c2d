"""The same marks printed to PDF by programs of three houses: reportlab, fpdf2 and Chromium."""

from __future__ import annotations

import contextlib
import io
import math
import subprocess
import tempfile
from pathlib import Path

import pikepdf
from fpdf import FPDF
from fpdf.svg import SVGObject
from reportlab.lib.colors import Color, black, white
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, FILL_NON_ZERO, Canvas

from browser import FLAGS, found_browser
from stampwright.artwork.notices import Log
from stampwright.artwork.svg import SvgSource

PT_PER_PX = 0.75
_CAPS = {"butt": 0, "round": 1, "square": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}


def by_reportlab(svg):
    """The painted shapes of a drawing as reportlab writes them; None when a mask is more than one path."""
    source = SvgSource(svg)
    shapes, page = source.drawing(Log(frozenset(), source.place_of), "dark")
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(page[0] * PT_PER_PX, page[1] * PT_PER_PX), invariant=1, pageCompression=1)
    canvas.transform(PT_PER_PX, 0, 0, -PT_PER_PX, 0, page[1] * PT_PER_PX)
    for shape in shapes:
        if not all(len(stencil.shapes) == 1 and not stencil.shapes[0].pen for stencil in shape.stencils):
            return None
        canvas.saveState()
        for stencil in shape.stencils:
            (cut,) = stencil.shapes
            canvas.clipPath(_laid(canvas, cut.path.moved(cut.to_page)), stroke=0, fill=0, fillMode=_mode(cut))
        canvas.transform(*shape.to_page)
        _painted(canvas, shape)
        canvas.restoreState()
    canvas.save()
    return out.getvalue()


def _painted(canvas, shape):
    colour = black if shape.adds else white
    canvas.setFillColor(colour)
    canvas.setStrokeColor(Color(colour.red, colour.green, colour.blue))
    if shape.pen:
        canvas.setLineWidth(shape.pen.width)
        canvas.setLineCap(_CAPS[shape.pen.cap])
        canvas.setLineJoin(_JOINS[shape.pen.join])
        canvas.setMiterLimit(shape.pen.mitre_limit)
        canvas.setDash(list(shape.pen.dashes), shape.pen.dash_offset)
    canvas.drawPath(_laid(canvas, shape.path), stroke=bool(shape.pen), fill=not shape.pen, fillMode=_mode(shape))


def _mode(shape):
    return FILL_EVEN_ODD if shape.rule == "evenodd" else FILL_NON_ZERO


def _laid(canvas, path):
    """A path of ours as one of reportlab's; arcs of at most a quarter become cubics, off by 3e-4 of their radius."""
    laid = canvas.beginPath()
    cubics = {int(row[0]): row[3:] for row in path.cubics}
    arcs = {int(row[0]): row[1:] for row in path.arcs}
    for first, stop, closed in path.subpaths:
        laid.moveTo(*path.nodes[first])
        for node in range(first + 1, stop):
            if node in cubics:
                laid.curveTo(*cubics[node])
            elif node in arcs:
                _arc(laid, *arcs[node])
            else:
                laid.lineTo(*path.nodes[node])
        if closed:
            laid.close()
    return laid


def _arc(laid, cx, cy, ux, uy, vx, vy, start, sweep):  # noqa: PLR0913, PLR0917  an arc of an ellipse
    parts = math.ceil(abs(sweep) / (math.pi / 16))
    step = sweep / parts
    reach = 4 / 3 * math.tan(step / 4)

    def at(t, ahead=0.0):
        c, s = math.cos(t) - ahead * math.sin(t), math.sin(t) + ahead * math.cos(t)
        return cx + ux * c + vx * s, cy + uy * c + vy * s

    for i in range(parts):
        t = start + i * step
        laid.curveTo(*at(t, reach), *at(t + step, -reach), *at(t + step))


def by_fpdf2(svg):
    """A drawing as fpdf2 converts it; None when it cannot."""
    try:
        drawing = SVGObject(svg)
        width, height = (side * PT_PER_PX for side in _size_px(svg))
        pdf = FPDF(unit="pt", format=(drawing.width or width, drawing.height or height))  # a px is a point to it
        pdf.set_margin(0)
        pdf.set_auto_page_break(auto=False)
        pdf.add_page()
        with contextlib.redirect_stdout(io.StringIO()):
            drawing.draw_to_page(pdf)
        return bytes(pdf.output())
    except (ValueError, TypeError, NotImplementedError, AttributeError, KeyError, IndexError):
        return None


def _size_px(svg):
    source = SvgSource(svg)
    return source.drawing(Log(frozenset(), source.place_of), "dark").page


def by_chromium(svgs):
    """Drawings as Chromium prints them: all in one go, a page each, taken apart again."""
    sizes = [_size_px(svg) for svg in svgs]
    rules = "".join(f"@page p{i}{{size:{w}px {h}px;margin:0}}#d{i}{{page:p{i}}}" for i, (w, h) in enumerate(sizes))
    shown = "".join(f'<div id="d{i}"><img src="{i}.svg"></div>' for i in range(len(svgs)))
    style = f"<style>{rules}body{{margin:0}}div{{break-after:page}}img{{display:block}}</style>"
    with tempfile.TemporaryDirectory() as folder:
        for i, svg in enumerate(svgs):
            (Path(folder) / f"{i}.svg").write_bytes(svg)
        (Path(folder) / "all.html").write_text(f"<!doctype html><meta charset=utf-8>{style}{shown}", encoding="utf-8")
        printed = _print(Path(folder))
    return [_page(printed, i) for i in range(len(svgs))]


def _print(folder):
    browser, _ = found_browser()
    wanted = folder / "all.pdf"
    flags = [flag for flag in FLAGS if "window" not in flag]
    asked = [browser, *flags, f"--user-data-dir={folder}", "--no-pdf-header-footer", f"--print-to-pdf={wanted}"]
    subprocess.run([*asked, f"file://{folder}/all.html"], check=True, capture_output=True, timeout=300)  # noqa: S603
    return wanted.read_bytes()


def _page(printed, place):
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(printed)) as whole, pikepdf.new() as alone:
        alone.pages.append(whole.pages[place])
        alone.save(out, deterministic_id=True)
    return out.getvalue()
