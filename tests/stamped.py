"""The demo's marks run once through the whole pipeline, for every test that wants a real stamp."""

from __future__ import annotations

from functools import cache

from stampwright.demo.marks import DemoMark, demo_marks
from stampwright.job import read_job
from stampwright.pipeline import Stamp, make_stamp

MARKS = demo_marks()
NAMES = list(MARKS)


@cache
def stamp_of(name: str) -> Stamp:
    """The stamp of one demo mark."""
    mark: DemoMark = MARKS[name]
    return make_stamp(mark.svg, read_job(mark.job))
