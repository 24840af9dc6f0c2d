"""Basic shapes to paths (SVG 2, Basic Shapes): each begins and winds where the standard says, for dashes show it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright.artwork.paths import Path

from .document import local_name
from .grammar import numbers_in, path_of
from .viewport import measure

if TYPE_CHECKING:
    from collections.abc import Callable
    from xml.etree.ElementTree import Element

    from .cascade import Style
    from .viewport import View

    Measure = Callable[[str, str], float | None]  # name of an attribute, axis: its px, None when absent or "auto"

SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})


def shape_of(element: Element, style: Style, view: View) -> Path | None:
    """Path of a basic shape; None when it has no size."""
    name = local_name(element)
    if name == "path":
        return path_of(data_of(element, style))
    if name in ("polyline", "polygon"):
        return _poly(data_of(element, style), closed=name == "polygon")
    px = measure(element, style, view)
    return {"rect": _rect, "circle": _circle, "ellipse": _ellipse, "line": _line}[name](px)


def data_of(element: Element, style: Style) -> str:
    """The data of a path, which a style sheet may give, or the points of a polygon."""
    by_style: str | None = style["d"]
    if by_style is not None and local_name(element) == "path":
        return by_style
    return element.get("d", "") if local_name(element) == "path" else element.get("points", "")


def box_path(x: float, y: float, width: float, height: float) -> Path:
    """A rectangle."""
    path = Path()
    path.nodes = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    path.end(closed=True)
    return path


def _rect(px: Measure) -> Path | None:
    x, y = px("x", "x") or 0.0, px("y", "y") or 0.0
    width, height = px("width", "x") or 0.0, px("height", "y") or 0.0
    if width <= 0 or height <= 0:
        return None
    rx, ry = _radii(px)
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    if rx <= 0 or ry <= 0:
        return box_path(x, y, width, height)
    path = Path()
    path.move(x + rx, y)
    for x0, y0, x1, y1 in (
        (x + width - rx, y, x + width, y + ry),
        (x + width, y + height - ry, x + width - rx, y + height),
        (x + rx, y + height, x, y + height - ry),
        (x, y + ry, x + rx, y),
    ):
        if path.nodes[-1] != (x0, y0):
            path.line(x0, y0)
        path.arc(rx, ry, 0.0, False, True, x1, y1)  # noqa: FBT003  large, sweep
    path.end(closed=True)
    return path


def _radii(px: Measure) -> tuple[float, float]:
    """Radii of an ellipse or a rounded rectangle: one that is left open takes the other's."""
    rx, ry = px("rx", "x"), px("ry", "y")
    rx, ry = (None if r is not None and r < 0 else r for r in (rx, ry))
    either = rx if rx is not None else ry
    if either is None:
        return 0.0, 0.0
    return rx if rx is not None else either, ry if ry is not None else either


def _circle(px: Measure) -> Path | None:
    r = px("r", "other") or 0.0
    return _oval(px, r, r)


def _ellipse(px: Measure) -> Path | None:
    return _oval(px, *_radii(px))


def _oval(px: Measure, rx: float, ry: float) -> Path | None:
    return oval_path(px("cx", "x") or 0.0, px("cy", "y") or 0.0, rx, ry)


def oval_path(cx: float, cy: float, rx: float, ry: float) -> Path | None:
    """An ellipse; None when it has no size."""
    if rx <= 0 or ry <= 0:
        return None
    path = Path()
    path.move(cx + rx, cy)
    for x, y in ((cx, cy + ry), (cx - rx, cy), (cx, cy - ry), (cx + rx, cy)):
        path.arc(rx, ry, 0.0, False, True, x, y)  # noqa: FBT003  large, sweep
    path.end(closed=True)
    return path


def _line(px: Measure) -> Path:
    path = Path()
    path.move(px("x1", "x") or 0.0, px("y1", "y") or 0.0)
    path.line(px("x2", "x") or 0.0, px("y2", "y") or 0.0)
    path.end(closed=False)
    return path


def _poly(text: str, *, closed: bool) -> Path:
    numbers, broken = numbers_in(text)
    path = Path(broken=broken or len(numbers) % 2 == 1)
    path.nodes = list(zip(numbers[::2], numbers[1::2], strict=False))
    path.end(closed=closed)
    return path
