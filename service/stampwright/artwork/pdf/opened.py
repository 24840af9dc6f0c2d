"""A PDF as a source: opened, its first page framed, its content run."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING, NamedTuple

import pikepdf

from stampwright.artwork.display import Drawing
from stampwright.artwork.limits import LIMITS
from stampwright.base import ArtworkError, StampwrightError, TooComplex
from stampwright.base.quantities import MM_PER_CSS_PX, MM_PER_INCH

from .interpreter import Interpreter
from .layers import Layers
from .objects import UNREADABLE, entry, guard, items, name, number, numbers, readable, whole
from .state import Spot

if TYPE_CHECKING:
    from stampwright.artwork.affine import Affine
    from stampwright.artwork.notices import Log
    from stampwright.artwork.paint import PaintRule
    from stampwright.artwork.source import SourceKind
    from stampwright.base import Bounds

_PX_PER_UNIT = MM_PER_INCH / 72 / MM_PER_CSS_PX  # ISO 32000-1, 8.3.2.3: a unit is 1/72 in
_MOST_UNITS = 14_400  # ISO 32000-1, annex C: the largest page that viewers must bear
_PLACE = "/page[1]"
_UNPAINTED_ANNOTATIONS = ("Link", "Popup")
_HIDDEN, _NO_VIEW = 2, 32  # flags of an annotation, table 165


class Frame(NamedTuple):
    """A page on the screen: its size in px, and the map from its own units, y up, to px, y down."""

    width_px: float
    height_px: float
    to_page: Affine


class PdfSource:
    """An opened PDF; each drawing runs the content of its first page again.

    Raises `ArtworkError` (`broken-pdf`, `encrypted`, `no-page`, `page-size`) or `TooComplex`.
    """

    kind: SourceKind = "pdf"

    def __init__(self, data: bytes) -> None:
        guard()
        self._pdf = _opened(data)
        self._page, self._more = _first_page(self._pdf)
        self._frame = framed(self._page)

    def drawing(self, log: Log, rule: PaintRule) -> Drawing:
        """Run the page."""
        if self._more:
            log.note("more-pages", count=self._more)
        frame = self._frame
        page_px = (frame.width_px, frame.height_px)
        run = Interpreter(log, rule, Layers(self._pdf.Root), to_page=frame.to_page, page_px=page_px)
        run.run(_content(self._page, log), entry(self._page, "/Resources"), path=_PLACE)
        _tell_of_annotations(self._page, log)
        return Drawing(run.canvas.shapes, page_px)

    @staticmethod
    def place_of(piece: Spot) -> str:
        """Where an operation stands, such as `/page[1]/logo/f[3]`: the third `f` in the form called logo."""
        return piece.place


def _opened(data: bytes) -> pikepdf.Pdf:
    try:
        return pikepdf.open(io.BytesIO(data))
    except pikepdf.PasswordError:
        detail = "The PDF is locked by a password. Save it without one, or as SVG, and send it again."
        raise ArtworkError.at("encrypted", detail) from None
    except UNREADABLE as error:
        raise _broken(error) from None


def _broken(error: BaseException) -> StampwrightError:
    if "limit exceeded" in str(error):
        limit = LIMITS["unpacked"]
        detail = f"The file unpacks to more than {limit.most:,.8g} {limit.what}. Simplify the drawing."
        return TooComplex.at(limit.code, detail)
    return ArtworkError.at("broken-pdf", "The PDF is broken and cannot be read. Export it again.")


def _first_page(pdf: pikepdf.Pdf) -> tuple[pikepdf.Dictionary, int]:
    """The first page, and how many come after it."""
    try:
        count = len(pdf.pages)
        page = pdf.pages[0].obj if count else None
    except UNREADABLE as error:
        raise _broken(error) from None
    if not isinstance(page, pikepdf.Dictionary):
        raise ArtworkError.at("no-page", "The PDF has no page. Export it again.")
    return page, count - 1


def framed(page: object) -> Frame:
    """The frame of a page: CropBox within MediaBox, turned by Rotate, one unit as large as UserUnit says."""
    box = _box(page)
    scale = number(entry(page, "/UserUnit"), 1.0)
    scale = (scale if scale > 0 and math.isfinite(scale) else 1.0) * _PX_PER_UNIT
    x0, y0, x1, y1 = box
    width, height = (x1 - x0) * scale, (y1 - y0) * scale
    quarter = round(number(entry(page, "/Rotate")) / 90) % 4 if abs(number(entry(page, "/Rotate"))) < 1e6 else 0
    if quarter == 0:
        return Frame(width, height, (scale, 0.0, 0.0, -scale, -x0 * scale, y1 * scale))
    if quarter == 1:
        return Frame(height, width, (0.0, scale, scale, 0.0, -y0 * scale, -x0 * scale))
    if quarter == 2:
        return Frame(width, height, (-scale, 0.0, 0.0, scale, x1 * scale, -y0 * scale))
    return Frame(height, width, (0.0, -scale, -scale, 0.0, y1 * scale, x1 * scale))


def _box(page: object) -> Bounds:
    media = _upright(numbers(entry(page, "/MediaBox")))
    if media is None:
        raise ArtworkError.at("page-size", "The page has no size. Export it again.", element=_PLACE)
    crop = _upright(numbers(entry(page, "/CropBox")))
    if crop is not None:
        (x0, y0, x1, y1), (u0, v0, u1, v1) = media, crop
        common = (max(x0, u0), max(y0, v0), min(x1, u1), min(y1, v1))
        media = common if common[0] < common[2] and common[1] < common[3] else media
    width, height = media[2] - media[0], media[3] - media[1]
    if not (0 < width <= _MOST_UNITS and 0 < height <= _MOST_UNITS):
        detail = f"The page is {width:g} x {height:g} units; it must have a size, and {_MOST_UNITS:,} is the most."
        raise ArtworkError.at("page-size", detail, element=_PLACE)
    return media


def _upright(corners: list[float]) -> Bounds | None:
    """A rectangle given by any two corners (7.9.5)."""
    if len(corners) != 4 or not all(map(math.isfinite, corners)):
        return None
    x0, y0, x1, y1 = corners
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _content(page: object, log: Log) -> bytes:
    """The content of a page; its parts belong together, and tokens end where a part does (7.8.2)."""
    found = entry(page, "/Contents")
    parts = items(found) if isinstance(found, pikepdf.Array) else [found]
    data, most = [], LIMITS["content"].most
    for place, part in enumerate(parts):
        if not isinstance(part, pikepdf.Stream):
            continue
        read = readable(part)
        if read is None:
            log.note("stream-unread", Spot(_PLACE, "content", place + 1))
        data.append(read or b"")
        most -= len(data[-1])
        if most < 0:
            break  # the interpreter counts the same and refuses
    return b"\n".join(data)


def _tell_of_annotations(page: object, log: Log) -> None:
    """Annotations and the fields of forms lie over the page and are no part of the drawing."""
    for place, found in enumerate(items(entry(page, "/Annots"))):
        kind = name(entry(found, "/Subtype"))
        if kind in _UNPAINTED_ANNOTATIONS or whole(entry(found, "/F")) & (_HIDDEN | _NO_VIEW):
            continue
        if entry(entry(found, "/AP"), "/N") is not None:
            log.note("annotation-ignored", Spot(_PLACE, "annotation", place + 1), what=kind[:40])
