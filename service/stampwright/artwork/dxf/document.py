"""Bytes to a document of ezdxf, counted while they are read; and the unit that the document says it is drawn in."""

from __future__ import annotations

import io
import logging
import re
import struct
from collections import deque
from typing import TYPE_CHECKING

from ezdxf import DXFError, recover
from ezdxf.document import Drawing
from ezdxf.lldxf.tagger import ascii_tags_loader, binary_tags_loader
from ezdxf.units import InsertUnits, conversion_factor

from stampwright.artwork.limits import keep_within
from stampwright.artwork.sniff import BINARY_DXF
from stampwright.base import ArtworkError, Refusal, StampwrightError
from stampwright.base.quantities import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from typing import Literal

    from ezdxf.lldxf.types import DXFTag

# What the library raises on damaged drawings, seen over some thousand mutated ones
FAULTS = (DXFError, ValueError, LookupError, TypeError, AttributeError, AssertionError, ArithmeticError, RuntimeError)
_UTF8_SINCE = "AC1021"
_VERSION = re.compile(rb"\$ACADVER\s+1\s+(AC\d{4})")
MM_PER = {"mm": 1.0, "in": MM_PER_INCH}

logging.getLogger("ezdxf").setLevel(logging.CRITICAL)  # what matters of it becomes a notice or a refusal


def opened(data: bytes) -> Drawing:
    """Parse a DXF, text or binary. Raises `ArtworkError` (`dxf-broken`) or `TooComplex`."""
    try:
        return Drawing.load(_counted(_tags(data)))
    except StampwrightError:
        raise
    except (*FAULTS, struct.error):
        return _recovered(data)


def _recovered(data: bytes) -> Drawing:
    """Parse with the slower loader that mends what it can; it has none for the binary form."""
    try:
        if not data.startswith(BINARY_DXF):
            deque(_counted(recover.bytes_loader(io.BytesIO(data))), maxlen=0)
            return recover.read(io.BytesIO(data))[0]
    except StampwrightError:
        raise
    except FAULTS:
        pass
    raise broken()


def broken() -> ArtworkError:
    """The refusal of what the library cannot make sense of."""
    says = "The DXF is damaged and cannot be read. Open it in the drawing program, save it again as DXF and send that."
    return ArtworkError([Refusal("dxf-broken", says)])


def _tags(data: bytes) -> Iterator[DXFTag]:
    if data.startswith(BINARY_DXF):
        return binary_tags_loader(data)
    version = _VERSION.search(data[:65_536])
    coding = "utf-8" if version and version[1].decode() >= _UTF8_SINCE else "cp1252"
    return ascii_tags_loader(io.StringIO(data.decode(coding, "surrogateescape"), newline=None))


def _counted(tags: Iterable[DXFTag]) -> Iterator[DXFTag]:
    """The same tags, counted: an entity costs a tenth of a millisecond to load, a point ten microseconds."""
    entities = points = 0
    for tag in tags:
        if tag.code == 0:
            entities += 1
            if not entities % 1000:
                keep_within("entities of a file", entities)
        elif tag.code == 10:
            points += 1
            if not points % 1000:
                keep_within("vertices", points)
        yield tag


def mm_per_unit(document: Drawing, unit: Literal["mm", "in"] | None) -> tuple[float, bool]:
    """Millimetres per unit of the drawing, by the job's word or the drawing's own; and whether either says so."""
    if unit is not None:
        return MM_PER[unit], True
    try:
        code = int(document.header.get("$INSUNITS", 0))
        factor = float(conversion_factor(InsertUnits(code), InsertUnits.Millimeters)) if code else 0.0
    except FAULTS:
        factor = 0.0
    return (factor, True) if factor > 0 else (1.0, False)
