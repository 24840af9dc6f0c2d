"""The tasks of the service, and some that no mark should be able to become: for slots started by tests."""

from __future__ import annotations

import ctypes
import gc
import os
import sys
import time
from pathlib import Path

import numpy as np
import shapely

from stampwright.slots.tasks import TASKS as GOOD
from stampwright.solid.mesh import check, walls, welded
from stampwright.solid.regions import directed_edges


def warm_up():
    """Nothing: these slots need not be quick at their first job."""


def rehearse():
    """Nothing, for the same reason."""


def _loop(_mark, _job, **_fonts):
    while True:
        pass


def _stuck_in_c(_mark, _job, **_fonts):
    # a ring that crosses itself at random: the library's own repair of it takes far longer than any deadline here
    ring = np.random.default_rng(1).random((600, 2))
    return shapely.to_wkb(shapely.make_valid(shapely.polygons(ring)))  # noqa: TID251  its slowness is the point


def _hog(_mark, _job, **_fonts):
    held = []
    while True:
        held.append(np.zeros(8 << 20))  # asked for and not touched: quick even on a busy machine


def _segfault(_mark, _job, **_fonts):
    ctypes.string_at(0)


def _defect(mark, _job, **_fonts):
    raise KeyError(mark)


def _chatter(mark, _job, **_fonts):
    sys.stdout.write("x" * 100_000)
    os.write(1, b"y" * 100_000)
    return mark


def _torn(_mark, _job, **_fonts):
    """A block of which nothing but its sides is there, before the check that every solid passes."""
    check(welded([walls(directed_edges(shapely.box(0, 0, 9, 9)), 0.0, -1.0)]), expected_mm3=81.0)


def _nap(mark, _job, **_fonts):
    Path("/proc/self/comm").write_text("napping", encoding="ascii")  # so that a test finds it
    time.sleep(float(mark))
    return mark


def _held(mark, _job, **_fonts):
    """Sleeps until there is a file of the name that the mark is: so a test lets it go, on a machine of any speed."""
    Path("/proc/self/comm").write_text("napping", encoding="ascii")
    while not Path(mark.decode()).exists():
        time.sleep(0.01)
    return mark


def _cyclic(_mark, _job, **_fonts):
    """How often cycles were looked for while so many objects were made as a small job makes."""
    before = sum(each["collections"] for each in gc.get_stats())
    held = [[i] for i in range(50_000)]
    after = sum(each["collections"] for each in gc.get_stats())
    del held
    return str(after - before).encode()


def _clock(_mark, _job, **_fonts):
    """When it began, by the clock that all processes share [ns]."""
    return str(time.monotonic_ns()).encode()


def _solid(mark, job, **fonts):
    """What the mark says, if it names one of these tasks; else the solid."""
    name, _, rest = mark.partition(b" ")
    misdeed = MISDEEDS.get(name.decode("ascii", "replace"))
    return misdeed(rest, job) if misdeed else GOOD["solid"](mark, job, **fonts)


MISDEEDS = {
    "loop": _loop,
    "stuck": _stuck_in_c,
    "hog": _hog,
    "segfault": _segfault,
    "defect": _defect,
    "torn": _torn,
    "chatter": _chatter,
    "large": lambda _mark, _job, **_fonts: bytes(3_000_000),
    "nap": _nap,
    "held": _held,
    "clock": _clock,
    "cyclic": _cyclic,
    "parts": lambda mark, _job, *, fonts: b"|".join([mark, *fonts]),
    "pid": lambda _mark, _job, **_fonts: str(os.getpid()).encode(),
}
TASKS = {**GOOD, **MISDEEDS, "solid": _solid}
