"""The demo's marks run once through the whole pipeline, for every test that wants a real stamp."""

from __future__ import annotations

from functools import cache

import numpy as np

from stampwright.base.tolerances import CHORD_MM
from stampwright.demo.marks import DemoMark, demo_marks
from stampwright.job import ArtworkChoice, Job, read_job
from stampwright.pipeline import Stamp, make_stamp, review_mark

MARKS = demo_marks()
NAMES = list(MARKS)
FINE = Job(artwork=ArtworkChoice(chord_mm=CHORD_MM / 20))
SHOWN_MM = 0.005 + CHORD_MM  # two decimals of a reading


@cache
def stamp_of(name: str) -> Stamp:
    """The stamp of one demo mark."""
    mark: DemoMark = MARKS[name]
    return make_stamp(mark.svg, read_job(mark.job))


@cache
def width_mm(name: str) -> float:
    """How wide a demo mark is on the head asked for by nothing, by a reading twenty times finer."""
    return float(np.ptp(review_mark(MARKS[name].svg, FINE).face.ink.bounds[::2]))
