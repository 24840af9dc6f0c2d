"""Starts the service, the slots before the web: both take most of a second to load, and do so side by side."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

from stampwright.slots import Limits, Slots

if TYPE_CHECKING:
    from .settings import Settings


def start(settings: Settings) -> None:
    """Serve in slots until told to stop. Raises OSError or ValueError as `server.serve` does."""
    slots = slots_of(settings) if settings.slots else None
    try:
        importlib.import_module("stampwright.web.server").serve(settings, compute=slots)
    finally:
        if slots:
            slots.stop()


def slots_of(settings: Settings) -> Slots:
    """The slots that `settings` ask for; they begin to load at once."""
    limits = Limits(
        deadline_s=settings.job_deadline_s, memory_mb=settings.job_memory_mb, answer_bytes=settings.max_answer_bytes
    )
    return Slots(settings.slots, queue=settings.queue, limits=limits)
