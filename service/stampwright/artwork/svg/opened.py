"""An SVG drawing as a source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .document import parse_document
from .embedded import embedded_fonts
from .walk import Walk

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree.ElementTree import Element

    from stampwright.artwork.display import Drawing
    from stampwright.artwork.lettering import Fonts
    from stampwright.artwork.notices import Log
    from stampwright.artwork.paint import PaintRule
    from stampwright.artwork.source import SourceKind


class SvgSource:
    """A parsed SVG; each drawing is a walk of its own. Raises what `parse_document` raises."""

    kind: SourceKind = "svg"

    def __init__(self, data: bytes, fonts: Sequence[bytes] = ()) -> None:
        self._document = parse_document(data)
        embedded, self._unread = embedded_fonts(self._document)
        self._fonts: Fonts | None = None
        if fonts or embedded:
            from stampwright.artwork.lettering import Fonts  # noqa: PLC0415  loads heavy libraries

            self._fonts = Fonts(fonts, embedded)

    def drawing(self, log: Log, rule: PaintRule) -> Drawing:
        """Walk the document."""
        for what in self._unread:
            log.note("css-ignored", what=what)
        return Walk(self._document, log, rule, self._fonts).drawing()

    def place_of(self, piece: Element) -> str:
        """Path of an element, such as `/svg/g[2]/path[1]`."""
        return self._document.place_of(piece)
