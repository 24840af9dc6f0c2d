"""Stage 1, the catalogue: metals, substrates, cutters, threads, taps; every value with its source."""

from .load import (
    CUTTERS,
    DEFAULT_RACK,
    METALS,
    SUBSTRATES,
    TAPS,
    THREADS,
    cutter_named,
    metal_named,
    substrate_named,
    tap_named,
    thread_named,
)
from .records import Cutter, Kind, Metal, Shape, Substrate, Tap, Thread, drill_says

__all__ = [
    "CUTTERS",
    "DEFAULT_RACK",
    "METALS",
    "SUBSTRATES",
    "TAPS",
    "THREADS",
    "Cutter",
    "Kind",
    "Metal",
    "Shape",
    "Substrate",
    "Tap",
    "Thread",
    "cutter_named",
    "drill_says",
    "metal_named",
    "substrate_named",
    "tap_named",
    "thread_named",
]
