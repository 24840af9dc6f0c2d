"""Recognises what was sent by its content; neither its name nor its declared type is believed."""

from __future__ import annotations

import re
import zlib
from typing import TYPE_CHECKING, NamedTuple

from stampwright.base import ArtworkError, UnreadFormat

from .limits import LIMITS, keep_within

if TYPE_CHECKING:
    from .source import SourceKind

_LOOKED_AT = 65_536  # bytes; a prologue of comments and DOCTYPE longer than this was not seen in 20,000 files
_GZIP = b"\x1f\x8b"


class _Kind(NamedTuple):
    starts: bytes
    name: str
    advice: str


_TRACE = "Trace it to outlines in a drawing program and send the outlines as SVG."
_EXPORT = "Open it in a drawing program and save it as SVG, PDF or DXF."
_KINDS = (
    _Kind(b"\x89PNG\r\n\x1a\n", "a PNG picture", _TRACE),
    _Kind(b"\xff\xd8\xff", "a JPEG photo", _TRACE),
    _Kind(b"GIF8", "a GIF picture", _TRACE),
    _Kind(b"BM", "a BMP picture", _TRACE),
    _Kind(b"II*\0", "a TIFF picture", _TRACE),
    _Kind(b"MM\0*", "a TIFF picture", _TRACE),
    _Kind(b"8BPS", "a layered raster picture", _TRACE),
    _Kind(b"%!PS", "PostScript", _EXPORT),
    _Kind(b"\xc5\xd0\xd3\xc6", "PostScript with a preview", _EXPORT),
    _Kind(b"PK\x03\x04", "a ZIP archive", "Unpack it and send the drawing inside."),
    _Kind(b"AC10", "a DWG drawing", "Save it as DXF, ASCII."),
)
BINARY_DXF = b"AutoCAD Binary DXF"  # the sentinel that the format prescribes
_DXF = re.compile(rb"\A\s*(?:999\r?\n[^\n]*\n\s*)*0\r?\n\s*SECTION\b")
_PROLOGUE = re.compile(rb"\s+|<\?.*?\?>|<!--.*?-->|<!DOCTYPE[^\[>]*(?:\[.*?\]\s*)?>", re.DOTALL)
_ROOT = re.compile(rb"<(?:[\w.-]+:)?([\w.-]+)")
_MARKS_OF_ORDER = {b"\xef\xbb\xbf": "utf-8", b"\xff\xfe": "utf-16-le", b"\xfe\xff": "utf-16-be"}


class Sent(NamedTuple):
    """What was sent: its kind by its content, and its bytes, unpacked when they came as gzip."""

    kind: SourceKind
    data: bytes


def recognised(data: bytes) -> Sent:
    """Recognise a drawing.

    Raises `UnreadFormat` that says what it is instead, `ArtworkError` (`empty-file`, `broken-gzip`), `TooComplex` when
    it is too large.
    """
    if data.startswith(_GZIP):
        data = _unpacked(data)
    keep_within("bytes", len(data))
    if not data.strip(b"\0 \t\r\n"):
        raise ArtworkError.at("empty-file", "The file is empty. Send the mark as a drawing: SVG, PDF or DXF.")
    other = _no_drawing(data)
    if other:
        raise UnreadFormat.at("unread-format", other)
    head = _as_ascii(data[:_LOOKED_AT])
    at = head.find(b"%PDF-", 0, 1024)
    if at >= 0 and b"<" not in head[:at]:
        return Sent("pdf", data)
    if data.startswith(BINARY_DXF) or _DXF.match(head):
        return Sent("dxf", data)
    other = _other_root(head)
    if other:
        raise UnreadFormat.at("unread-format", other)
    return Sent("svg", data)


def _unpacked(data: bytes) -> bytes:
    inflater = zlib.decompressobj(wbits=31)
    try:
        plain = inflater.decompress(data, int(LIMITS["bytes"].most) + 1)
    except zlib.error:
        says = "The file looks like gzip and cannot be unpacked. Send it again."
        raise ArtworkError.at("broken-gzip", says) from None
    if plain.startswith(_GZIP):
        raise UnreadFormat.at("unread-format", "The file is packed twice. Unpack it and send the drawing.")
    return plain


def _no_drawing(data: bytes) -> str | None:
    """Say what the bytes are when they are a picture or a closed format, with what to do."""
    for kind in _KINDS:
        if data.startswith(kind.starts):
            return f"This is {kind.name}, no drawing that is read here. {kind.advice}"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return f"This is a WebP picture, no drawing that is read here. {_TRACE}"
    if data[4:8] == b"ftyp":  # ISO 14496-12: what telephones save, HEIC, AVIF and films
        return f"This is a photo or film of a telephone or camera, no drawing that is read here. {_TRACE}"
    return None


def _other_root(head: bytes) -> str | None:
    at = 0
    while skipped := _PROLOGUE.match(head, at):
        at = skipped.end()
    root = _ROOT.match(head, at)
    if root and root[1] == b"svg":
        return None
    if root:
        name = root[1].decode("ascii", "replace")
        return f"The document's first element is <{name}>, not <svg>. Export the drawing as SVG."
    if head[at : at + 2] in (b"<!", b"<?"):  # a prologue longer than the look: the parser will judge
        return None
    return "This is no drawing of a kind known here. Export the mark as SVG, PDF or DXF."


def _as_ascii(head: bytes) -> bytes:
    """Strip the byte order mark, and take UTF-16 to bytes of ASCII where it can be."""
    for mark, coding in _MARKS_OF_ORDER.items():
        if head.startswith(mark):
            text = head[len(mark) :]
            return text if coding == "utf-8" else text.decode(coding, "replace").encode("ascii", "replace")
    return head.replace(b"\0", b"") if b"\0" in head[:4] else head
