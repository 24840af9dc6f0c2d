"""Objects of a file as plain values: what has the wrong type is absent, never an exception (ISO 32000-1, 7.3)."""

from __future__ import annotations

import math
from typing import Any

import pikepdf
from pikepdf.settings import set_qpdf_limits

from stampwright.artwork.affine import IDENTITY, Affine
from stampwright.artwork.limits import LIMITS
from stampwright.base import TooComplex

UNREADABLE = (pikepdf.PdfError, pikepdf.DataDecodingError, TypeError, ValueError, IndexError, OverflowError, KeyError)
"""What qpdf and its wrapper raise for an object that is broken."""

_MOST_FILTERS = 3  # ASCII over Flate is what programs write; qpdf's own limit of 25 lets bombs within bombs through
_MOST_NESTING = 100


def guard() -> None:
    """Bound what qpdf unpacks, wherever it does: in object streams, cross references, content, fonts.

    The bounds hold for the whole process; setting them again is free.
    """
    most = int(LIMITS["unpacked"].most)
    set_qpdf_limits(
        flate_max_memory=most,
        png_max_memory=most,
        run_length_max_memory=most,
        tiff_max_memory=most,
        dct_max_memory=most,
        max_stream_filters=_MOST_FILTERS,
        parser_max_nesting=_MOST_NESTING,
    )


def entry(holder: object, key: str) -> Any:  # noqa: ANN401  any object may stand there
    """Entry of a dictionary or of a stream's dictionary; None when there is none, or no dictionary."""
    if isinstance(holder, dict):
        return holder.get(key)
    if not isinstance(holder, (pikepdf.Dictionary, pikepdf.Stream)):
        return None
    try:
        return holder.get(key)
    except UNREADABLE:
        return None


def number(value: object, usual: float = 0.0) -> float:
    """A number; `usual` when it is none. One too large for all numbers is infinite."""
    if isinstance(value, bool):
        return usual
    try:
        return float(value)  # type: ignore[arg-type]  # what is no number says so
    except (TypeError, ValueError):
        return usual
    except OverflowError:
        return math.inf


def whole(value: object) -> int:
    """A whole number, 0 when it is none."""
    found = number(value)
    return int(found) if abs(found) < 1 << 31 else 0


def items(value: object) -> list[Any]:
    """Items of an array; none when it is no array."""
    if isinstance(value, list):
        return value
    if not isinstance(value, pikepdf.Array):
        return []
    try:
        return list(value)
    except UNREADABLE:
        return []


def numbers(value: object) -> list[float]:
    """Numbers of an array."""
    return [number(item) for item in items(value)]


def name(value: object) -> str:
    """A name without its slash, or nothing."""
    return str(value)[1:] if isinstance(value, pikepdf.Name) else str(value) if isinstance(value, Named) else ""


class Named(str):
    """A name of a content stream, without its slash; what is no `Named` is a string of the file."""

    __slots__ = ()


def names(holder: object) -> list[str]:
    """Keys of a dictionary, without their slashes, in order."""
    if not isinstance(holder, pikepdf.Dictionary):
        return []
    return sorted(str(key)[1:] for key in holder.keys())  # noqa: SIM118  the wrapper iterates over keys only so


def identity(value: object) -> object:
    """What tells one indirect object from another; a direct one is like no other."""
    found = getattr(value, "objgen", (0, 0))
    return found if found != (0, 0) else object()


def affine(value: object) -> Affine:
    """A matrix; the identity when it is none."""
    found = numbers(value)
    if len(found) != 6:
        return IDENTITY
    a, b, c, d, e, f = found
    return (a, b, c, d, e, f)


def unpacked(stream: object) -> bytes:
    """Bytes of a stream with all filters undone; nothing when it cannot be read. `TooComplex` beyond the bound."""
    return (readable(stream) if isinstance(stream, pikepdf.Stream) else None) or b""


def readable(stream: pikepdf.Stream) -> bytes | None:
    """Bytes of a stream with all filters undone; None when that cannot be done. `TooComplex` beyond the bound."""
    try:
        return stream.read_bytes()
    except UNREADABLE as error:
        if "limit exceeded" in str(error):
            limit = LIMITS["unpacked"]
            detail = f"A stream unpacks to more than {limit.most:,.8g} {limit.what}. Simplify the drawing."
            raise TooComplex.at(limit.code, detail) from None
        return None
