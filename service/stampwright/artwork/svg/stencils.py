"""Clip paths and masks (CSS Masking 1): what shows of a shape or a group."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.artwork.affine import Affine, inverse, moved, times
from stampwright.artwork.display import Shape, Stencil
from stampwright.artwork.flatten import flatten
from stampwright.artwork.limits import keep_within

from .document import conditions_hold, local_name, reference_of
from .lengths import Length, length
from .regions import Region
from .shapes import SHAPES, box_path
from .values import Reference, Unread, reference, target
from .viewport import View, into_view, measure, px_of, size_of_view, view_box

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree.ElementTree import Element

    from stampwright.artwork.paint import PaintRule
    from stampwright.artwork.paths import Path
    from stampwright.base import Bounds

    from .cascade import Style
    from .walk import Here, Walk

_UNIT = View(1.0, 1.0)
_WITHOUT_A_BOX = frozenset({"clipPath", "mask", "marker", "symbol", "svg"})


class Outline(NamedTuple):
    """Geometry on the page by which a box is measured, and whether a stroke goes beyond it."""

    path: Path
    to_page: Affine
    stroked: bool


def boxed(element: Element, x: float, y: float, width: float, height: float, to_page: Affine) -> Stencil:  # noqa: PLR0913, PLR0917
    """A rectangle as a stencil."""
    return Stencil((Shape(element, box_path(x, y, width, height), to_page),))


class Stencils:
    """Applies `clip-path`, `mask`, and tells of filters and blends; each clip is made once per place of use."""

    def __init__(self, walk: Walk) -> None:
        self._walk = walk
        self._made: dict[tuple[Element, Affine, Bounds | None], Stencil] = {}
        self._soft: set[int] = set()  # masks that were cut at one half, by identity

    def applied(  # noqa: PLR0913
        self,
        element: Element,
        style: Style,
        at: Here,
        shapes: list[Shape],
        *,
        path: Path | None = None,
        since: int | None = None,
        plain: bool = False,
    ) -> list[Shape]:
        """The shapes of an element inside its clip and mask.

        Its box is that of its `path`, when it is a basic shape, of the outlines that the walk has met `since` it began,
        or else of the shapes. `plain`: it is geometry of a clip path, which knows clips alone (CSS Masking 1, 5.1).
        """
        log = self._walk.log
        effect = "none" if plain else style["filter"].strip()
        if effect.lower() != "none" and (shapes or self._paints_alone(effect)):
            log.note("filter-ignored", element)
        if style["mix-blend-mode"].strip().lower() != "normal" and shapes and not plain:
            log.note("blend-ignored", element)
        for name, kind in (("clip-path", "clipPath"), *(() if plain else (("mask", "mask"),))):
            wanted = style[name]
            if wanted != "none" and shapes:
                outlines = self._walk.outlines[since:] if since is not None else [*map(_outline_of, shapes)]
                if path is not None:
                    stroked = style["stroke"] != "none" or any(shape.pen for shape in shapes)
                    outlines = [Outline(path, at.to_page, stroked)]
                if isinstance(wanted, Region):
                    stencil = self._cut_out(element, wanted, at, outlines)
                else:
                    stencil = self._referred(element, wanted, kind, at, outlines)
                if stencil is not None:
                    shapes = self.inside(shapes, stencil)
                    if id(stencil) in self._soft:
                        log.hang("mask-thresholded", shapes)
        return shapes

    def _paints_alone(self, effect: str) -> bool:
        """Whether a filter may paint where there is nothing: its region does not hang on what it is of."""
        wanted = reference(effect)
        found = self._walk.document.ids.get(wanted.name or "") if isinstance(wanted, Reference) else None
        return found is not None and found.get("filterUnits") == "userSpaceOnUse"

    @staticmethod
    def inside(shapes: Sequence[Shape], stencil: Stencil) -> list[Shape]:
        """The same shapes, cut to a further stencil."""
        return [Shape(s.element, s.path, s.to_page, s.rule, s.pen, s.adds, (*s.stencils, stencil)) for s in shapes]

    def _cut_out(self, element: Element, wanted: Region, at: Here, outlines: Sequence[Outline]) -> Stencil | None:
        """A shape of a style sheet in the reference box of an element."""
        box: Bounds | None = (0.0, 0.0, *at.view)
        if wanted.box != "view-box":
            box = box_of(outlines, at.to_page)
        beyond = wanted.box == "stroke-box" and any(each.stroked for each in outlines)
        has_box = local_name(element) not in _WITHOUT_A_BOX
        if box is None or beyond or not has_box:
            self._walk.log.note("clip-ignored", element)
            return None
        path = wanted.path(box, at.style)
        self._walk.keep(element, path, at)
        return Stencil((Shape(element, path, at.to_page, wanted.rule),) if path.nodes else ())

    def _referred(
        self, element: Element, wanted: object, kind: str, at: Here, outlines: Sequence[Outline]
    ) -> Stencil | None:
        walk = self._walk
        if isinstance(wanted, Unread) or not isinstance(wanted, Reference):
            walk.log.note("clip-ignored", element)
            return None
        found = walk.document.ids.get(wanted.name) if wanted.name else None
        if found is None or local_name(found) != kind:
            walk.log.note("broken-reference" if wanted.name else "external-reference", element, what=kind)
            return None
        if found in at.within:
            walk.log.note("use-cycle", element, what=kind)
            return None
        if walk.cascade.withholds(found):
            walk.log.note("programs-differ", element, what=f"a reference to a {kind} that is not displayed")
        needs_box = kind == "mask" or found.get("clipPathUnits") == "objectBoundingBox"
        box = box_of(outlines, at.to_page) if needs_box else None
        key = (found, at.to_page, box)
        if key not in self._made:
            keep_within("clips", sum(local_name(e) in ("clipPath", "mask") for e in at.within) + 1)
            inner = replace(at, within=(*at.within, found), opacity=1.0)
            make = self._clip if kind == "clipPath" else self._mask
            self._made[key] = make(found, inner, box)
        return self._made[key]

    def _clip(self, element: Element, here: Here, box: Bounds | None) -> Stencil:
        cascade = self._walk.cascade
        style = cascade.style_within(element)
        to_page = times(here.to_page, self._walk.transform(element, style, here))
        at = replace(here, to_page=_in_box(to_page, box), style=style, view=self._view_of(element, here))
        shapes = [s for child in self._walk.document.children(element) for s in self._clip_child(child, at)]
        return Stencil(tuple(self.applied(element, style, replace(here, to_page=to_page), shapes, plain=True)))

    def _view_of(self, element: Element, here: Here) -> View:
        """What percentages within a clip path or mask refer to: the view it stands in, not the one where it is used."""
        view = self._view_around(element, here)
        if view != here.view and any("%" in text for each in element.iter() for text in each.attrib.values()):
            self._walk.log.note("programs-differ", element, what="shares of a view other than the one it is used in")
        return view

    def _view_around(self, element: Element, here: Here) -> View:
        walk = self._walk
        parent = walk.document.parents.get(element, walk.document.root)
        if parent is walk.document.root:
            return walk.view
        box = view_box(parent)
        if local_name(parent) in {"symbol", "marker", "pattern"}:
            return here.view if box is None else View(*box[2:])
        outer = self._view_around(parent, here)
        if local_name(parent) != "svg":
            return outer
        return into_view(parent, *size_of_view(parent, walk.cascade.style_within(parent), outer))[1]

    def _clip_child(self, element: Element, here: Here) -> list[Shape]:
        """The plain geometry of a child of a clip path: neither paint nor stroke count."""
        walk = self._walk
        style = walk.cascade.style(element, here.style)
        name = local_name(element)
        hidden = style["display"] == "none" or (style["visibility"] != "visible" and name != "use")
        if hidden or name not in (*SHAPES, "use", "text") or not conditions_hold(element):
            return []
        at = replace(here, style=style, to_page=times(here.to_page, walk.transform(element, style, here)))
        if name == "use":
            return self._used(element, style, at)
        if name == "text":
            if walk.letterer:
                outline = walk.letterer.outline(element, style, at)
                shapes = [Shape(element, outline, at.to_page)] if outline.nodes else []
                return self.applied(element, style, at, shapes, path=outline, plain=True)
            walk.log.note("text-in-clip", element)
            return []
        path = walk.outline(element, style, at)
        shapes = [] if path is None else [Shape(element, path, at.to_page, style["clip-rule"])]
        return self.applied(element, style, at, shapes, path=path, plain=True)

    def _used(self, element: Element, style: Style, at: Here) -> list[Shape]:
        walk = self._walk
        name = target(reference_of(element))
        found = walk.document.ids.get(name) if name else None
        if found is None or found in at.within or local_name(found) not in (*SHAPES, "text"):
            walk.log.note("broken-reference", element, what="use in a clip path")
            return []
        px = measure(element, style, at.view)
        moved_to = times(at.to_page, (1.0, 0.0, 0.0, 1.0, px("x", "x") or 0.0, px("y", "y") or 0.0))
        inner = replace(at, to_page=moved_to, within=(*at.within, found))
        shapes = self._clip_child(found, inner)
        return self.applied(element, style, replace(at, to_page=moved_to), shapes, plain=True)

    def _mask(self, element: Element, here: Here, box: Bounds | None) -> Stencil:
        walk = self._walk
        style = walk.cascade.style_within(element)
        in_box = element.get("maskContentUnits") == "objectBoundingBox"
        rule: PaintRule = "alpha" if style["mask-type"] == "alpha" else "luminance"
        here = replace(here, view=self._view_of(element, here))
        at = replace(here, style=style, rule=rule, to_page=_in_box(here.to_page, box if in_box else None))
        since = len(walk.outlines)
        told = walk.log.count_of("mask-thresholded")
        shapes = walk.children(element, at)
        del walk.outlines[since:]  # a mask is no part of what it masks
        if {style["clip-path"], style["mask"]} != {"none"}:
            walk.log.note("programs-differ", element, what="a clip or mask on a mask")
        region = self._region(element, style, here, box)
        made = Stencil(tuple(self.applied(element, style, here, self.inside(shapes, region))))
        if walk.log.count_of("mask-thresholded") > told:
            self._soft.add(id(made))
        return made

    @staticmethod
    def _region(element: Element, style: Style, here: Here, box: Bounds | None) -> Stencil:
        of_box = element.get("maskUnits") != "userSpaceOnUse"
        view = _UNIT if of_box else here.view
        sides = []
        for name, axis, usual in (("x", "x", -10), ("y", "y", -10), ("width", "x", 120), ("height", "y", 120)):
            found = length(element.get(name, "")) or Length(usual, "%")
            sides.append(px_of(found, axis, view=view, style=style))
        x, y, width, height = sides
        return boxed(element, x, y, width, height, _in_box(here.to_page, box if of_box else None))


def _outline_of(shape: Shape) -> Outline:
    return Outline(shape.path, shape.to_page, shape.pen is not None)


def _in_box(to_page: Affine, box: Bounds | None) -> Affine:
    """Map of the unit square onto an object's bounding box."""
    if box is None:
        return to_page
    x0, y0, x1, y1 = box
    return times(to_page, (x1 - x0, 0.0, 0.0, y1 - y0, x0, y0))


def box_of(outlines: Sequence[Outline], to_page: Affine) -> Bounds | None:
    """Bounding box of the geometry in the element's own space, strokes not counted (SVG 2, 8.10)."""
    back = inverse(to_page)
    if back is None:
        return None
    points = [
        moved(line, times(back, to))
        for part, to, _ in outlines
        if (reach := part.reach()) is not None
        for line, _ in flatten(part, sagitta=max(reach[2] - reach[0], reach[3] - reach[1], 1e-12) * 1e-5)
    ]
    every = np.concatenate(points)
    (x0, y0), (x1, y1) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
    return x0, y0, x1, y1
