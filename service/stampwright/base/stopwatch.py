"""How long each stage takes, for whoever asked to know. No answer depends on it."""

from __future__ import annotations

import time
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

_LAPS: ContextVar[dict[str, float] | None] = ContextVar("laps", default=None)


@contextmanager
def stopwatch(laps: dict[str, float] | None = None) -> Iterator[dict[str, float]]:
    """Measure what is done inside: the dictionary fills with wall time by stage [s], in the order of the stages.

    A dictionary of the caller's own learns of each end of a stage.
    """
    laps = {} if laps is None else laps
    token = _LAPS.set(laps)
    try:
        yield laps
    finally:
        _LAPS.reset(token)


@contextmanager
def stage(name: str) -> Iterator[None]:
    """Count what is done inside to the stage `name`; also a decorator. Without a stopwatch it costs a microsecond."""
    laps, began = _LAPS.get(), time.perf_counter()
    try:
        yield
    finally:
        if laps is not None:
            laps[name] = laps.get(name, 0.0) + time.perf_counter() - began
