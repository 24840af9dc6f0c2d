"""Stamps on heads of odd measures: very wide, very tall, tiny, huge, round, without thread, with a pointed cutter."""

from __future__ import annotations

from functools import cache

from stamped import MARKS
from stampwright.job import read_job
from stampwright.pipeline import make_stamp

STRIP = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="160mm" viewBox="0 0 160 12"><path d="M2 2h8l4 8h-8zM20 2h3v8h-3z'
    b'M30 2a4 4 0 0 1 0 8zM40 2h90v1.2h-90zM40 5h100v.8h-100zM140 2l10 4-10 4z"/></svg>'
)
RING = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="5mm" viewBox="0 0 5 5">'
    b'<path d="M.5 .5h4v4h-4zM1.5 1.5v2h2v-2z"/></svg>'
)
TURNED = {"placement": {"turn_deg": 90}}
TINY = {"placement": {"margin": 0.5}, "thread": None}
JOBS = {
    "wide": (STRIP, {"name": "N" * 200, "head": {"width": 160, "height": 18}}),
    "tall": (STRIP, {"name": "דבורה ובניה 12", "head": {"width": 18, "height": 160}} | TURNED),
    "taller": (STRIP, {"head": {"width": 24, "height": 300, "thickness": 25}} | TURNED),
    "tiny": (RING, {"name": "العسل", "head": {"width": 8, "height": 8, "thickness": 12}} | TINY),
    "tiny round": (RING, {"head": {"shape": "round", "diameter": 8, "thickness": 12}} | TINY),
    "huge": (RING, {"name": "</text><b>&amp;", "head": {"width": 200, "height": 150, "thickness": 25}}),
    "pointed": (
        MARKS["initials"].svg,
        {
            "solid": "as_cut",
            "cutters": ["flat-3.175", "flat-1.588", "pointed-30"],
            "head": {"width": 40, "height": 40},
            "relief": {"height": 1.25},
        },
    ),
}
HEADS = list(JOBS)


@cache
def odd_stamp(name):
    """The stamp of one odd head."""
    mark, job = JOBS[name]
    return make_stamp(mark, read_job(job))
