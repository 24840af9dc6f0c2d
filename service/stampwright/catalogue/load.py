"""The catalogue's tables as records in file order. Names are matched exactly, a miss lists what exists."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any, TypeVar

from stampwright.base import JobError
from stampwright.base.tables import number, rows

from .records import Cutter, Metal, Substrate, Tap, Thread
from .substrates import substrates

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

Record = TypeVar("Record", Cutter, Metal, Substrate, Tap, Thread)

_PACKAGE = "stampwright.catalogue"
_TEXT = {"key", "name", "shape", "kind", "size", "standard", "drill_name", "source"}


def _cells(row: Mapping[str, str]) -> dict[str, Any]:
    return {name: text if name in _TEXT else number(text) for name, text in row.items()}


def _keyed(records: Iterable[Record], *, by: str = "key") -> Mapping[str, Record]:
    return MappingProxyType({getattr(record, by): record for record in records})


def _cutter(row: Mapping[str, str]) -> Cutter:
    return Cutter(**_cells(row) | {"flutes": int(row["flutes"])})


METALS = _keyed([Metal(**_cells(row)) for row in rows(_PACKAGE, "metals")])
SUBSTRATES = _keyed(substrates())
THREADS = _keyed([Thread(**_cells(row)) for row in rows(_PACKAGE, "threads")], by="size")
TAPS = _keyed([Tap(**_cells(row)) for row in rows(_PACKAGE, "taps")])
CUTTERS = _keyed([_cutter(row) for row in rows(_PACKAGE, "cutters")])

DEFAULT_RACK = (CUTTERS["flat-3.175"], CUTTERS["flat-1.588"], CUTTERS["flat-0.794"])


def _named(name: str, *, of: Mapping[str, Record], what: str, pointer: str) -> Record:
    if name not in of:
        detail = f"{name!r} is not a {what} of the catalogue; it has {', '.join(of)}"
        raise JobError.at(f"unknown-{what}", detail, pointer=pointer)
    return of[name]


def metal_named(key: str) -> Metal:
    """The metal of that key; raises `JobError` (unknown-metal) that lists what exists."""
    return _named(key, of=METALS, what="metal", pointer="/job/metal")


def substrate_named(key: str) -> Substrate:
    """The substrate of that key; raises `JobError` (unknown-substrate) that lists what exists."""
    return _named(key, of=SUBSTRATES, what="substrate", pointer="/job/substrate")


def cutter_named(key: str) -> Cutter:
    """The cutter of that key; raises `JobError` (unknown-cutter) that lists what exists."""
    return _named(key, of=CUTTERS, what="cutter", pointer="/job/cutters")


def thread_named(size: str) -> Thread:
    """The thread of that size, such as `1/4-20 UNC`; raises `JobError` (unknown-thread) that lists what exists."""
    return _named(size, of=THREADS, what="thread", pointer="/job/thread/size")


def tap_named(key: str) -> Tap:
    """The tap of that key; raises `JobError` (unknown-tap) that lists what exists."""
    return _named(key, of=TAPS, what="tap", pointer="/job/thread/tap")
