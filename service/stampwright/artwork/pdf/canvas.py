"""Paths to painted shapes: polarity by the ink rule, clips as stencils, and what is in doubt about the paint."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright.artwork.affine import moved_box, stretch
from stampwright.artwork.boxes import around, common
from stampwright.artwork.display import Pen, Shape, Stencil
from stampwright.artwork.limits import keep_within
from stampwright.artwork.paint import HALF, Colour, adds_ink
from stampwright.base.quantities import MM_PER_CSS_PX

from .state import Clip

if TYPE_CHECKING:
    from stampwright.artwork.affine import Affine
    from stampwright.artwork.notices import Log
    from stampwright.artwork.paint import PaintRule
    from stampwright.artwork.paths import Path
    from stampwright.base import Bounds
    from stampwright.plane import Rule

    from .state import Paint, Spot, State

_CAPS = {0: "butt", 1: "round", 2: "square"}
_JOINS = {0: "miter", 1: "round", 2: "bevel"}
_DARKENING = ("Multiply", "Darken")
_TWICE_HALF = 0.7072  # the root of one half: of two tones that multiply to less, one is darker than this


class Canvas:
    """Takes what is painted, in order."""

    def __init__(self, log: Log, rule: PaintRule) -> None:
        self.log = log
        self.shapes: list[Shape] = []
        self._rule = rule
        self._segments = 0
        self._masks: list[object] = []  # told already; kept, so that identity means something

    def fill(
        self, spot: Spot, path: Path, state: State, *, rule: Rule = "nonzero", to_page: Affine | None = None
    ) -> None:
        """Fill a path, in the space of the state or in one of its own."""
        if state.fill.space.pattern and state.fill.tone.doubt == "pattern-fill":
            self.log.refuse("pattern-fill", spot)
            self.log.shown(spot, [Shape(spot, path, to_page or state.to_page)])
            return
        self._paint(Shape(spot, path, to_page or state.to_page, rule), state.fill, state)

    def stroke(self, spot: Spot, path: Path, state: State) -> None:
        """Stroke a path by the pen of the state, in its space."""
        shape = Shape(spot, path, state.to_page)
        if state.stroke.space.pattern and state.stroke.tone.doubt == "pattern-fill":
            self.log.refuse("pattern-fill", spot)
            self.log.shown(spot, [shape])
            return
        if not state.width > 0:
            self.log.note("hairline", spot)
            self.log.shown(spot, [shape])
            return
        shape.pen = _pen(state)
        self._paint(shape, state.stroke, state)

    def _paint(self, shape: Shape, paint: Paint, state: State) -> None:
        self._measure(shape)
        shape.stencils = (state.clip.stencil,) if state.clip.stencil else ()
        if state.soft_mask is not None and not any(state.soft_mask is told for told in self._masks):
            self._masks.append(state.soft_mask)
            self.log.refuse("soft-mask", shape.element)
            self.log.shown(shape.element, [shape])
        tone = paint.tone
        if tone.luma is None:
            if tone.doubt:
                self.log.note(tone.doubt, shape.element, what=tone.what)
                self.log.shown(shape.element, [shape])
            return
        colour = Colour(tone.luma, paint.alpha * state.group_alpha)
        adds = self._adds(shape, colour, state)
        if tone.doubt:
            self.log.note(tone.doubt, shape.element, what=tone.what, shape=shape if adds is not None else None)
            self.log.shown(shape.element, [shape])
        if 0 < colour.alpha < 1:
            code = "translucent-as-solid" if adds is not None else "translucent-skipped"
            self.log.note(code, shape.element, shape=shape)
        if adds is None:
            return
        if state.overprint and not adds:
            self.log.note("overprint-ignored", shape.element, shape=shape)
        shape.adds = adds
        self.shapes.append(shape)

    def _adds(self, shape: Shape, colour: Colour, state: State) -> bool | None:
        adds = adds_ink(colour, self._rule)
        if state.blend in ("Normal", "Compatible"):
            return adds
        if state.blend in _DARKENING:
            light = colour.luma >= HALF
            if light and state.blend == "Multiply" and colour.luma < _TWICE_HALF:
                self.log.note("blend-ignored", shape.element, what=state.blend, shape=shape)
            return None if light and self._rule != "painted" else adds
        self.log.note("blend-ignored", shape.element, what=state.blend, shape=shape)
        return adds

    def _measure(self, shape: Shape) -> None:
        """Count and measure a shape before anything is made of it."""
        self._segments += shape.path.segments
        keep_within("segments", self._segments)
        keep_within("layers", len(self.shapes))
        reach = shape.path.reach()
        if reach is not None:
            keep_near(shape.element, max(map(abs, moved_box(reach, shape.to_page))))
        if shape.pen:
            keep_near(shape.element, shape.pen.width * stretch(shape.to_page))


def keep_near(spot: Spot, reach_px: float) -> None:
    """Refuse what lies beyond all bounds."""
    keep_within("reach", reach_px * MM_PER_CSS_PX, element=spot.place)


def _pen(state: State) -> Pen:
    return Pen(
        width=state.width,
        cap=_CAPS.get(state.cap, "butt"),
        join=_JOINS.get(state.join, "miter"),
        mitre_limit=max(state.mitre_limit, 1.0),
        dashes=state.dashes,
        dash_offset=state.dash_offset,
        non_scaling=False,
    )


def clipped(spot: Spot, clip: Clip, paths: list[tuple[Path, Affine]], rule: Rule) -> Clip:
    """A clip made narrower by the area of paths together. A rectangle that holds what shows anyway is none."""
    box = around(moved_box(reach, to) for path, to in paths if (reach := path.reach()) is not None)
    for corner in box or ():
        keep_near(spot, abs(corner))
    if box and len(paths) == 1 and _holds(box, clip.box) and _is_upright_box(*paths[0]):
        return clip
    keep_within("clips_of_page", clip.depth + 1, element=spot.place)
    within = (clip.stencil,) if clip.stencil else ()
    shapes = tuple(Shape(spot, path, to, rule, stencils=within) for path, to in paths)
    x, y, _, _ = clip.box
    return Clip(Stencil(shapes), common(clip.box, box) or (x, y, x, y), clip.depth + 1)


def _is_upright_box(path: Path, to_page: Affine) -> bool:
    """Whether a path is one rectangle whose sides are those of the page."""
    upright = (to_page[1] == 0 == to_page[2]) or (to_page[0] == 0 == to_page[3])
    if not upright or path.cubics or len(path.subpaths) != 1 or len(path.nodes) not in (4, 5):
        return False
    if len(path.nodes) == 5 and path.nodes[0] != path.nodes[4]:
        return False
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = path.nodes[:4]
    return (y0, x1, y2, x3) == (y1, x2, y3, x0) or (x0, y1, x2, y3) == (x1, y2, x3, y0)


def _holds(outer: Bounds, inner: Bounds) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and outer[2] >= inner[2] and outer[3] >= inner[3]
