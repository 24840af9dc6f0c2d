"""The walk through the document in the order of painting: groups, views, uses, choices; shapes come out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from stampwright.artwork.affine import IDENTITY, Affine, about, inverse, moved_box, shift, stretch, times
from stampwright.artwork.display import Drawing, Shape, move
from stampwright.artwork.limits import LIMITS, keep_within
from stampwright.artwork.paint import Backdrop
from stampwright.base.quantities import MM_PER_CSS_PX

from .cascade import UNSTYLED, Cascade, Style
from .document import SVG, conditions_hold, local_name, reference_of, text_of
from .doubts import tell_of_lengths, tell_of_points, tell_of_stencils, tell_of_use, tell_of_view
from .lengths import Length
from .markers import context_of, marked
from .painting import painted
from .shapes import SHAPES, box_path, data_of, shape_of
from .stencils import Outline, Stencils, box_of, boxed
from .tone import Paints
from .transforms import SINGLE, Sized, matrix_of
from .values import Unread, target
from .viewport import View, into_view, measure, page_of, px_of, size_of_view, view_box

if TYPE_CHECKING:
    from collections.abc import Callable
    from xml.etree.ElementTree import Element

    from stampwright.artwork.lettering import Fonts
    from stampwright.artwork.notices import Log
    from stampwright.artwork.paint import PaintRule
    from stampwright.artwork.paths import Path
    from stampwright.base import Bounds

    from .document import Document

_NEVER_PAINTED = frozenset(
    {"defs", "symbol", "clipPath", "mask", "marker", "pattern", "linearGradient", "radialGradient", "filter", "style"}
    | {"title", "desc", "metadata", "view", "cursor", "color-profile", "font", "font-face", "meshgradient", "hatch"}
    | {"solidcolor", "solidColor", "discard", "stop", "tspan", "textPath", "tref", "hkern", "vkern", "glyph"}
)
_ANIMATIONS = frozenset({"animate", "animateTransform", "animateMotion", "animateColor", "set"})
_REFUSED = {
    **dict.fromkeys(("text", "flowRoot"), "text-not-outlined"),
    **dict.fromkeys(("image", "video", "canvas", "iframe"), "raster-image"),
    "foreignObject": "foreign-object",
}
_GROUPS = frozenset({"g", "a", "switch"})  # of a use programs differ on whether its box is moved by x and y
_OF_THE_FILL = frozenset({"fill-box", "content-box"})


@dataclass(frozen=True, slots=True)
class Here:
    """Where the walk stands: what the parent hands down."""

    to_page: Affine
    style: Style
    view: View
    rule: PaintRule
    opacity: float = 1.0
    within: tuple[Element, ...] = ()  # what is being used, clipped with or masked with just now
    depth: int = 0
    size: tuple[float | None, float | None] = (None, None)  # width and height that a `use` asks for
    context: tuple[object, object] | None = None  # fill and stroke of the shape or `use` whose marker or copy this is


class Walk:
    """One walk through one document. Counts what it meets; refuses and notes through the log."""

    def __init__(self, document: Document, log: Log, rule: PaintRule, fonts: Fonts | None = None) -> None:
        self.document = document
        self.log = log
        self.cascade = Cascade(document, log)
        self.paints = Paints(document, self.cascade)
        self.backdrop = Backdrop()
        self.stencils = Stencils(self)
        self.letterer = fonts.letterer(self) if fonts else None
        self._rule = rule
        self.outlines: list[Outline] = []  # of all that was met, painted or not: a group's box holds them
        self.view = View(0.0, 0.0)  # of the page's content
        self._elements = 0
        self._segments = 0

    def drawing(self) -> Drawing:
        """Walk the whole document."""
        root = self.document.root
        style = self.cascade.style(root, UNSTYLED)
        page = page_of(root, style)
        paper = View(*(page or (300.0, 150.0)))  # CSS: the size of a replaced element without one
        to_page, view = into_view(root, *page) if page else (IDENTITY, paper)
        self.view = view
        if style["display"] == "none":
            return Drawing([], page)
        self._tell_of_what_moves(root)
        turned = self._transform_of_page(root, style, Here(IDENTITY, UNSTYLED, paper, self._rule))
        at = self._below(Here(to_page, UNSTYLED, view, self._rule), style, times(turned, to_page))
        tell_of_lengths(self.log, root)
        tell_of_view(self.log, root)
        if to_page != IDENTITY:
            tell_of_stencils(self.log, root, style, "the whole drawing")
        shapes = self.stencils.applied(root, style, at, self.children(root, at), since=0)
        self.log.shown(root, shapes)
        return Drawing(shapes, page)

    def _transform_of_page(self, root: Element, style: Style, here: Here) -> Affine:
        """The transform of the outermost svg: about the middle of the page unless it says otherwise (CSS Transforms 1).

        SVG 1.1 has none, and programs differ.
        """
        if matrix_of(style) == IDENTITY:
            return IDENTITY
        self.log.note("programs-differ", root, what="a transform of the whole drawing")
        middle = {"transform-origin": (Length(50.0, "%"), Length(50.0, "%"))}
        return self.transform(root, Style(style.inherited, middle | style.own), here)

    def _tell_of_what_moves(self, root: Element) -> None:
        """Tell of animations, which stand within what they change, and of a script that runs at the start."""
        for name in sorted(_ANIMATIONS):
            for element in root.iter(SVG + name):
                self.log.note("animation-ignored", self.document.parents[element], what=name)
        if root.get("onload"):
            self.log.note("script-ignored", root, what="onload")

    def children(self, element: Element, here: Here) -> list[Shape]:
        """Walk the children of an element in order."""
        return [shape for child in self.document.children(element) for shape in self.walk(child, here)]

    def walk(self, element: Element, here: Here) -> list[Shape]:
        """Shapes of one element, in the order of painting."""
        self.count(element, depth=here.depth)
        name = local_name(element)
        if name in _NEVER_PAINTED or name in _ANIMATIONS or not conditions_hold(element):
            return []
        if name == "script":
            self.log.note("script-ignored", element)
            return []
        style = _in_context(self.cascade.style(element, here.style), here.context)
        if style["display"] == "none":
            return []
        if style["display"] == "contents":
            self.log.note("programs-differ", element, what="display: contents")
        shapes = self._visible(element, name, style, here)
        self.log.shown(element, shapes)
        return shapes

    def count(self, element: Element, *, depth: int) -> None:
        """Count an element, and refuse one that is too many or too deep."""
        self._elements += 1
        keep_within("elements", self._elements)
        keep_within("depth", depth, element=self.document.place_of(element) if depth > 64 else None)

    def _turned_in_its_box(self, element: Element, name: str, style: Style, here: Here) -> list[Shape]:
        """A group with a transform about a point of its own box, which is known when all that is in it has been met."""
        since = len(self.outlines)
        still = style.own | {"transform": IDENTITY} | dict.fromkeys(SINGLE, IDENTITY)
        shapes = self._visible(element, name, Style(style.inherited, still), here)
        met, back = self.outlines[since:], inverse(here.to_page)
        box = box_of(met, here.to_page) if met else None
        if box is None or back is None:
            return shapes
        turn = times(times(here.to_page, self.transform(element, style, here, box)), back)
        self.outlines[since:] = [each._replace(to_page=times(turn, each.to_page)) for each in met]
        move(shapes, turn)
        return shapes

    def _visible(self, element: Element, name: str, style: Style, here: Here) -> list[Shape]:
        if style["transform-box"] in _OF_THE_FILL and name in _GROUPS and matrix_of(style) != IDENTITY:
            return self._turned_in_its_box(element, name, style, here)
        at = self._at(element, style, here)
        if name in SHAPES:
            return self._basic(element, style, at)
        if name == "text" and self.letterer:
            return self.letterer.drawn(element, style, at) if at.opacity > 0 else []
        if name in _REFUSED:
            if style["visibility"] == "visible" and at.opacity > 0 and self._shows(element, name, style, at):
                code = "text-style" if name == "flowRoot" and self.letterer else _REFUSED[name]
                self.log.refuse(code, element, what=text_of(element)[:40])
                self.log.shown(element, [self.frame(element, style, at)])
            return []
        handlers: dict[str, Callable[[Element, Style, Here], list[Shape]]] = {
            "g": lambda e, _s, a: self.children(e, a),
            "a": lambda e, _s, a: self.children(e, a),
            "svg": self._inner_svg,
            "use": self._use,
            "switch": self._switch,
        }
        if name not in handlers:
            self.log.note("unknown-element", element, what=name[:40])
            return []
        tell_of_lengths(self.log, element)
        if name == "use":
            tell_of_use(self.log, element, style)
            at = self._moved(element, style, at)
        since = len(self.outlines)
        shapes = handlers[name](element, style, at)
        return shapes if name == "svg" else self.stencils.applied(element, style, at, shapes, since=since)

    def _at(self, element: Element, style: Style, here: Here) -> Here:
        """The place inside an element: its own transform, opacity and style added."""
        return self._below(here, style, times(here.to_page, self.transform(element, style, here)))

    @staticmethod
    def _below(here: Here, style: Style, to_page: Affine) -> Here:
        opacity = here.opacity * float(style["opacity"])
        return replace(here, to_page=to_page, style=style, opacity=opacity, depth=here.depth + 1)

    def transform(self, element: Element, style: Style, here: Here, box: Bounds | None = None) -> Affine:
        """The transform of an element about its origin (CSS Transforms 1, section 8), in its `box` if it is known."""
        matrix = matrix_of(style)
        if matrix == IDENTITY:
            return IDENTITY
        if isinstance(matrix, Unread):
            self.log.note("transform-ignored", element, what=matrix.text.strip()[:40])
            return IDENTITY
        tell_of_points(self.log, element, element.get("transform", ""))
        x0, y0, view = 0.0, 0.0, here.view
        if style["transform-box"] != "view-box":
            box = box or (self._own_box(element, style, here) if style["transform-box"] in _OF_THE_FILL else None)
            if box is None:
                self.log.note("transform-ignored", element, what=f"transform-box: {style['transform-box']}")
                return IDENTITY if isinstance(matrix, Sized) else matrix
            x0, y0, view = box[0], box[1], View(box[2] - box[0], box[3] - box[1])
        px = partial(px_of, view=view, style=style)
        x, y = style["transform-origin"]
        return about(matrix.within(px) if isinstance(matrix, Sized) else matrix, x0 + px(x, "x"), y0 + px(y, "y"))

    @staticmethod
    def _own_box(element: Element, style: Style, here: Here) -> Bounds | None:
        """The box of a basic shape in its own space; None for what is no such shape."""
        if local_name(element) not in SHAPES:
            return None
        path = shape_of(element, style, here.view)
        return (
            box_of([Outline(path, IDENTITY, stroked=False)], IDENTITY) if path and path.nodes else (0.0, 0.0, 0.0, 0.0)
        )

    def _basic(self, element: Element, style: Style, at: Here) -> list[Shape]:
        path = self.outline(element, style, at)
        if path is None:
            return []
        self.outlines.append(Outline(path, at.to_page, style["stroke"] != "none"))
        shapes = painted(self, element, path, style, at)
        for shape in shapes:
            if shape.pen:
                self._keep_near(element, shape.pen.width * (1 if shape.pen.non_scaling else stretch(at.to_page)))
        return self.stencils.applied(element, style, at, shapes, path=path)

    def outline(self, element: Element, style: Style, at: Here) -> Path | None:
        """The path of a basic shape, with a word on what is wrong with it; None when there is nothing to draw."""
        tell_of_lengths(self.log, element)
        path = shape_of(element, style, at.view)
        if path is not None and path.broken:
            self.log.note("path-syntax", element)
        if path is None or not path.nodes:
            return None
        if not path.broken:
            tell_of_points(self.log, element, data_of(element, style))
        self.keep(element, path, at)
        return path

    def keep(self, element: Element, path: Path, at: Here) -> None:
        """Count the segments of a path and refuse one that is too many, or too far away."""
        self._segments += path.segments
        keep_within("segments", self._segments)
        reach = path.reach()
        if reach is not None:
            self._keep_near(element, max(abs(corner) for corner in moved_box(reach, at.to_page)))

    def _keep_near(self, element: Element, reach_px: float) -> None:
        reach_mm = reach_px * MM_PER_CSS_PX
        if not reach_mm <= LIMITS["reach"].most:  # the place is looked for only then: it counts all siblings
            keep_within("reach", reach_mm, element=self.document.place_of(element))

    def _inner_svg(self, element: Element, style: Style, at: Here) -> list[Shape]:
        px = measure(element, style, at.view)
        if local_name(element) == "svg" and not style.own.keys().isdisjoint(("x", "y", "width", "height")):
            self.log.note("programs-differ", element, what="an inner svg whose place or size its style gives")
        size = size_of_view(element, style, at.view, asked=at.size)
        return self._in_view(element, style, at, (px("x", "x") or 0.0, px("y", "y") or 0.0, *size))

    def _in_view(self, element: Element, style: Style, at: Here, box: tuple[float, float, float, float]) -> list[Shape]:
        """Content of an element that establishes a viewport, clipped to it unless it overflows.

        A clip or mask on it lies in the space of its content, as renderers have it where there is a viewBox.
        """
        x, y, width, height = box
        found = view_box(element)
        tell_of_view(self.log, element)
        if width <= 0 or height <= 0 or (found is not None and (found[2] <= 0 or found[3] <= 0)):
            return []
        corner = times(at.to_page, shift(x, y))
        fit, view = into_view(element, width, height)
        inner = replace(at, to_page=times(corner, fit), view=view, size=(None, None))
        if inner.to_page != at.to_page and local_name(element) == "svg":
            tell_of_stencils(self.log, element, style, "an inner svg")
        since = len(self.outlines)
        shapes = self.stencils.applied(element, style, inner, self.children(element, inner), since=since)
        if style["overflow"] in ("visible", "auto"):
            return shapes
        return self.stencils.inside(shapes, boxed(element, 0.0, 0.0, width, height, corner))

    @staticmethod
    def _moved(element: Element, style: Style, at: Here) -> Here:
        """The space of a `use`: its x and y are a last part of its transform, for its clip too (SVG 2, 5.6)."""
        px = measure(element, style, at.view)
        return replace(at, to_page=times(at.to_page, shift(px("x", "x") or 0.0, px("y", "y") or 0.0)))

    def _use(self, element: Element, style: Style, at: Here) -> list[Shape]:
        href = reference_of(element)
        name = target(href)
        found = self.document.ids.get(name) if name else None
        if found is None:
            self.log.note("broken-reference" if name else "external-reference", element, what=href[:40])
            return []
        if found in at.within or self._holds(found, element):
            self.log.note("use-cycle", element)
            return []
        px = measure(element, style, at.view)
        if self.cascade.parts_in_copies(found):
            self.log.note("programs-differ", element, what="a copy whose style hangs on where the original stands")
        size = (px("width", "x"), px("height", "y"))
        inner = replace(at, within=(*at.within, found), size=size, context=context_of(style))
        if local_name(found) != "symbol":
            return self.walk(found, inner if local_name(found) == "svg" else replace(inner, size=(None, None)))
        return self._symbol(found, inner)

    def _symbol(self, element: Element, here: Here) -> list[Shape]:
        """A symbol in use is a view; that it may have a place and size of its own is new in SVG 2."""
        style = self.cascade.style(element, here.style)
        at = self._at(element, style, here)
        if style["display"] == "none":
            self.log.note("programs-differ", element, what="a symbol that is not displayed")
        sized = any(element.get(name) or name in style.own for name in ("x", "y", "width", "height"))
        if sized or at.to_page != here.to_page:
            self.log.note("symbol-size", element)
        return self._inner_svg(element, style, at)

    def markers(self, element: Element, path: Path, style: Style, at: Here) -> list[Shape]:
        """Shapes of the markers of a path."""
        return marked(self, element, path, style, at)

    def _holds(self, outer: Element, element: Element) -> bool:
        at: Element | None = element
        while at is not None:
            if at is outer:
                return True
            at = self.document.parents.get(at)
        return False

    def _switch(self, element: Element, _style: Style, at: Here) -> list[Shape]:
        children = list(self.document.children(element))
        if any(child.get("systemLanguage") for child in children):
            self.log.note("language-choice", element)
        held = [child for child in children if conditions_hold(child)]
        for child in held:
            if local_name(child) not in _NEVER_PAINTED:
                if child is not held[0]:
                    says = "a switch that begins with what is never painted"
                    self.log.note("programs-differ", element, what=says)
                return self.walk(child, at)
        return []

    def frame(self, element: Element, style: Style, at: Here) -> Shape:
        """Where a raster or foreign content lies; of text, whose width no font tells, its first letter's height."""
        px = measure(element, style, at.view)
        x, y = px("x", "x") or 0.0, px("y", "y") or 0.0
        if local_name(element) in ("text", "flowRoot"):
            return Shape(element, box_path(x, y - style.font_px, 0.0, style.font_px), at.to_page)
        return Shape(element, box_path(x, y, px("width", "x") or 0.0, px("height", "y") or 0.0), at.to_page)

    def _shows(self, element: Element, name: str, style: Style, at: Here) -> bool:
        """Whether text, a raster or foreign content would be seen at all."""
        if name in ("text", "flowRoot"):
            unpainted = style.font_px <= 0 or (style["fill"] == "none" and style["stroke"] == "none")
            styled_inside = any(e.tag.startswith(SVG) for e in element)
            return bool(text_of(element)) and (styled_inside or not unpainted)
        if name == "image" and not reference_of(element):
            return False
        px = measure(element, style, at.view)
        return px("width", "x") != 0 and px("height", "y") != 0


def _in_context(style: Style, context: tuple[object, object] | None) -> Style:
    """Put in place of `context-fill` and `context-stroke` what they mean here; without a context they paint nothing."""
    if context is None:
        return style
    meant = {
        name: context[style[name] == "context-stroke"]
        for name in ("fill", "stroke")
        if style[name] in {"context-fill", "context-stroke"}
    }
    return Style(style.inherited | meant, style.own) if meant else style
