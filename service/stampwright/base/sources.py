"""The bibliography by key, and the keys a text names. A text of the project names a work as `[wood-handbook-2010]`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, cast

from .problems import InternalFault
from .tables import rows

Read = Literal["page", "secondary", "none"]


@dataclass(frozen=True, slots=True)
class Source:
    """A work: full reference, public address where there is one, and how it was read."""

    key: str
    reference: str
    where: str
    read: Read


SOURCES = MappingProxyType(
    {
        row["key"]: Source(row["key"], row["source"], row["where"], cast("Read", row["read"]))
        for row in rows("stampwright.base", "sources")
    }
)


def cited(text: str) -> tuple[Source, ...]:
    """The works that `text` names in square brackets, each once, in order of naming.

    Raises `InternalFault` when a key is not in the bibliography, or none is named at all.

    >>> [source.key for source in cited("density [solids-288k]; emissivity [common-practice]")]
    ['solids-288k', 'common-practice']
    """
    keys = dict.fromkeys(re.findall(r"\[([a-z0-9-]+)\]", text))
    if not keys or keys.keys() - SOURCES.keys():
        raise InternalFault.at("unknown-source", f"{text!r} must name works of base/data/sources.csv in brackets")
    return tuple(SOURCES[key] for key in keys)


def references(text: str) -> str:
    """Write out the works that `text` names, for a reader who has not got the bibliography at hand.

    >>> references("[rfc-9457]")
    'RFC 9457, Problem Details for HTTP APIs, July 2023'
    """
    return "; ".join(source.reference for source in cited(text))
