"""Bytes to a Mark: recognise, parse, walk, paint, cut to the page, drop slivers, tell what was done."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely
from manifold3d import CrossSection, FillRule, OpType

from stampwright.base import ArtworkError
from stampwright.base.quantities import MM_PER_CSS_PX
from stampwright.base.tolerances import DUST_MM2, SLIVER_MM2
from stampwright.plane import area_of, slivers_of, without_slivers

from .fine import painted, thinned
from .hints import dark_plate, open_outlines, stray_specks
from .ink import Painter
from .limits import keep_fonts_within, keep_within
from .mark import Mark
from .notices import Log
from .reach import around_px, reach_px
from .sniff import recognised
from .svg import SvgSource

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from stampwright.base import Bounds, Notice
    from stampwright.job import ArtworkChoice, InkRule

    from .display import Drawing
    from .source import Source, SourceKind

_COARSE = 1e-3  # of the drawing's size: enough to know whether another rule would give ink
_MARGIN = 1.02  # finer than the scale asks, so that a box which moves by a chord does not ask for painting once more
_BLEED = 0.01  # of the ink: paint that runs over the page's edge by less is how drawings are made, no loss
_HOLE_MM2 = 0.1  # on the face: no cutter of 0.3 mm enters a smaller one
_RULES: tuple[InkRule, ...] = ("dark", "painted", "light")


class _Page(NamedTuple):
    width_px: float
    height_px: float

    def cut(self, ink: CrossSection) -> CrossSection:
        """What of the ink lies on the page."""
        x0, y0, x1, y1 = ink.bounds()
        if x0 >= 0 and y0 >= 0 and x1 <= self.width_px and y1 <= self.height_px:
            return ink
        ring = np.array([[0.0, 0.0], [self.width_px, 0.0], [self.width_px, self.height_px], [0.0, self.height_px]])
        return ink ^ CrossSection([ring], FillRule.NonZero)


def read_artwork(
    data: bytes, choice: ArtworkChoice, *, scale_of: Callable[[Bounds], float], fonts: Sequence[bytes] = ()
) -> Mark:
    """Read a drawing. `scale_of` gives, for the ink's box in mm, the millimetres on the face per millimetre drawn.

    The scale is guessed from the drawing's control points. Should the ink come out smaller, so that it is enlarged
    more, it is painted again, with the chord error that the job allows on the finished face. Raises `ArtworkError` or
    `TooComplex`, each with the element it concerns.
    """
    with np.errstate(all="ignore"):  # numbers beyond all bounds become inf or NaN, which the range check refuses
        return _read(_opened(data, fonts, choice, scale_of), choice, scale_of)


def _read(source: Source, choice: ArtworkChoice, scale_of: Callable[[Bounds], float]) -> Mark:
    log = Log(choice.ignore, source.place_of)
    _tell_of_the_order(source.kind, choice, log)
    drawing = source.drawing(log, choice.ink)
    log.refuse_if_any()
    _keep_page(drawing)
    guess = reach_px(drawing.shapes, page=drawing.page)
    if guess is None:
        raise _no_ink(source, choice)
    scale = scale_of(_mm(guess)) * _MARGIN
    while True:  # a finer chord moves the box by less than a coarser one did, and the margin covers that
        painter, ink, slack_px = painted(drawing.shapes, sagitta_px=choice.chord_mm / scale / MM_PER_CSS_PX)
        page = _page(drawing, ink)
        inside = page.cut(ink)
        if inside.is_empty():
            raise _no_ink(source, choice)
        true_scale = scale_of(_mm(inside.bounds()))
        if true_scale <= scale:
            break
        scale = true_scale * _MARGIN
    for shape, hole_px2 in painter.filled if source.kind == "svg" else ():
        if hole_px2 * (MM_PER_CSS_PX * true_scale) ** 2 > _HOLE_MM2:
            says = "a pen so wide that it fills the curve it follows"
            log.note("programs-differ", shape.element, what=says, shape=shape)
    _tell_of_the_cut(ink, inside, log, sliver_px2=SLIVER_MM2 / (true_scale * MM_PER_CSS_PX) ** 2)
    mark = _mark(inside, page, painter, log, kind=source.kind, true_scale=true_scale, slack_px=slack_px)
    return replace(mark, hints=tuple(_hints(mark, drawing, source, choice)))


def _opened(data: bytes, fonts: Sequence[bytes], choice: ArtworkChoice, scale_of: Callable[[Bounds], float]) -> Source:
    """The drawing, opened by what its content shows it to be."""
    keep_fonts_within(fonts)
    sent = recognised(data)
    if sent.kind == "svg":
        return SvgSource(sent.data, fonts)
    if sent.kind == "dxf":
        from .dxf import DxfSource  # noqa: PLC0415  its library takes a quarter of a second to load

        return DxfSource(sent.data, unit=choice.unit, scale_of=scale_of)
    from .pdf import PdfSource  # noqa: PLC0415  likewise for its libraries, 60 ms

    return PdfSource(sent.data)


def _tell_of_the_order(kind: SourceKind, choice: ArtworkChoice, log: Log) -> None:
    """Tell what the job says of a drawing of another kind."""
    if choice.declared not in (None, kind):
        said = "no drawing read here" if choice.declared == "other" else choice.declared.upper()
        log.note("declared-otherwise", what=f"said: {said}, read: {kind.upper()}")
    if choice.unit is not None and kind != "dxf":
        log.note("unit-unused", what=kind.upper())


def _mm(box_px: tuple[float, ...]) -> Bounds:
    x0, y0, x1, y1 = (float(side) * MM_PER_CSS_PX for side in box_px)
    return x0, y0, x1, y1


def _size_px(drawing: Drawing) -> float:
    if drawing.page and min(drawing.page) > 0:
        return max(drawing.page)
    reaches = [reach for shape in drawing.shapes if (reach := shape.path.reach()) is not None]
    return max((max(reach[2] - reach[0], reach[3] - reach[1]) for reach in reaches), default=1.0) or 1.0


def _keep_page(drawing: Drawing) -> None:
    """Refuse a page without a size, or beyond all bounds; a drawing need not give one."""
    if drawing.page is not None:
        if not min(drawing.page) > 0:
            detail = "The page has no size: width, height and viewBox must be larger than zero."
            raise ArtworkError.at("page-size", detail, element="/svg")
        keep_within("reach", max(drawing.page) * MM_PER_CSS_PX, element="/svg")


def _page(drawing: Drawing, ink: CrossSection) -> _Page:
    """The page; a drawing that gives no size has the page that its ink reaches to."""
    if drawing.page is not None:
        return _Page(*drawing.page)
    x1, y1 = (0.0, 0.0) if ink.is_empty() else ink.bounds()[2:]
    return _Page(max(float(x1), 1.0), max(float(y1), 1.0))


def _tell_of_the_cut(ink: CrossSection, inside: CrossSection, log: Log, *, sliver_px2: float) -> None:
    if inside is not ink and ink.area() - inside.area() > max(sliver_px2, _BLEED * ink.area()):
        log.note("outside-page", box_mm=_mm((ink - inside).bounds()))


def _mark(  # noqa: PLR0913  each is one part of the reading
    ink_px: CrossSection,
    page: _Page,
    painter: Painter,
    log: Log,
    *,
    kind: SourceKind,
    true_scale: float,
    slack_px: float,
) -> Mark:
    sliver_mm2 = SLIVER_MM2 / true_scale**2
    bounds, shares = _doubts(ink_px, painter, log)
    whole = area_of(ink_px.scale((MM_PER_CSS_PX, MM_PER_CSS_PX)))
    slivers = slivers_of(whole, below_mm2=sliver_mm2)
    ink = without_slivers(whole, below_mm2=sliver_mm2) if len(slivers) else whole
    slivers = slivers[shapely.area(slivers) >= DUST_MM2 / true_scale**2]
    if len(slivers):
        x0, y0, x1, y1 = shapely.total_bounds(slivers).tolist()
        log.note("slivers-removed", count=len(slivers), box_mm=(x0, y0, x1, y1))
    if ink.is_empty:
        detail = "All ink is in specks smaller than 0.001 mm² on the face. Choose a larger head or draw it larger."
        raise ArtworkError.at("no-ink", detail)
    return Mark(
        source=kind,
        page_mm=(page.width_px * MM_PER_CSS_PX, page.height_px * MM_PER_CSS_PX),
        ink=shapely.normalize(thinned(ink, within_mm=slack_px * MM_PER_CSS_PX, sliver_mm2=sliver_mm2)),
        repaired=log.notices(lost=False, bounds=bounds, shares=shares),
        left_out=log.notices(lost=True, bounds=bounds, shares=shares),
    )


def _hints(mark: Mark, drawing: Drawing, source: Source, choice: ArtworkChoice) -> list[Notice]:
    """Hints of every kind; that of a dark plate only where dark is the ink and something light lies on it."""

    def light_px() -> CrossSection:
        flipped = [replace(shape, adds=not shape.adds) for shape in drawing.shapes]
        return Painter(sagitta_px=_size_px(drawing) * _COARSE).ink(flipped)

    covers = any(not shape.adds for shape in drawing.shapes)
    told = dark_plate(mark.ink, light_px) if choice.ink == "dark" and covers else []
    told += stray_specks(mark.ink)
    return told + open_outlines(drawing.shapes, source.place_of)


def _doubts(ink: CrossSection, painter: Painter, log: Log) -> tuple[dict[str, Bounds | None], dict[str, float | None]]:
    """Where the doubtful shapes of each code lie [mm], and the share of the ink that hangs on them."""
    bounds: dict[str, Bounds | None] = {}
    shares: dict[str, float | None] = {}
    for code, shapes in log.places().items():
        around = around_px(shapes)
        # what is not drawn may lie beyond all numbers: nothing else asks where it is
        bounds[code] = _mm(around) if around is not None and all(map(math.isfinite, around)) else None
    for code, shapes in log.doubtful().items():
        area = CrossSection.batch_boolean([painter.area(shape) for shape in shapes], OpType.Add)
        if not area.is_empty():
            bounds[code] = _mm(area.bounds())
        shares[code] = float((area ^ ink).area() / ink.area()) if ink.area() > 0 else None
    return bounds, shares


def _no_ink(source: Source, choice: ArtworkChoice) -> ArtworkError:
    """Refuse a drawing without ink under the rule asked for, and name the rules that would give some."""
    others = []
    for rule in _RULES:
        if rule != choice.ink:
            drawing = source.drawing(Log(choice.ignore, source.place_of), rule)
            painter = Painter(sagitta_px=_size_px(drawing) * _COARSE)
            if not painter.ink(drawing.shapes).is_empty():
                others.append(f'"{rule}"')
    would = f"With artwork.ink {' or '.join(others)} there would be some." if others else "No other ink rule finds any."
    refusal = ArtworkError.at("no-ink", f'The drawing has no ink under the rule "{choice.ink}". {would}')
    return ArtworkError(refusal.refusals)
