"""A bare font: a directory and tables, in the same order and with the same bytes again (ISO 14496-22)."""

from __future__ import annotations

import struct

_DIRECTORY = struct.Struct(">4sHHHH")  # version, number of tables, and three numbers nobody needs
_ENTRY = struct.Struct(">4sIII")  # tag, checksum, place, length


class UnreadableFontError(ValueError):
    """The bytes are no font that is read here."""


def bare(flavour: bytes, tables: dict[bytes, bytes]) -> bytes:
    """A bare font of these tables."""
    at = _DIRECTORY.size + _ENTRY.size * len(tables)
    entries, bodies = [], []
    for tag in sorted(tables):
        body = tables[tag]
        entries.append(_ENTRY.pack(tag, 0, at, len(body)))
        bodies.append(body + bytes(-len(body) % 4))
        at += len(bodies[-1])
    return b"".join([_DIRECTORY.pack(flavour, len(tables), 0, 0, 0), *entries, *bodies])
