"""Pictures as ratios in one run: each over the review of the same mark, medians, every demo mark."""

import statistics
import time

from stamped import MARKS
from stampwright.documents import bundle_bytes
from stampwright.drawings import (
    VIEWS,
    Tile,
    contact_pdf,
    contact_svg,
    draw_plain,
    picture_png,
    png_of,
    sheet_pdf,
    svg,
    svg_of,
)
from stampwright.job import read_job
from stampwright.pipeline import make_stamp, review_mark

ROUNDS = 9
BAR = 1.0
"""A picture costs at most the review, from bytes to findings."""


def medians_ms(works):
    """Processor time of each work, in rounds over all of them: a machine that slows down slows all alike."""
    for work in works.values():
        work()
    taken = [[_seconds(work) for work in works.values()] for _ in range(ROUNDS)]
    return {name: 1000 * statistics.median(of) for name, of in zip(works, zip(*taken, strict=True), strict=True)}


def _seconds(work):
    begun = time.process_time()
    work()
    return time.process_time() - begun


def work_on(mark):
    """What is timed for a mark, by name: the review first, the bundle last."""
    job = read_job(mark.job)
    stamp, reviewed = make_stamp(mark.svg, job), review_mark(mark.svg, job)
    sharp = {f"{view}.svg": lambda draw=draw: svg_of(draw(stamp)) for view, draw in VIEWS.items()}
    pixels = {f"{view}.png": lambda draw=draw: png_of(draw(stamp)) for view, draw in VIEWS.items()}
    empty = svg.page(130, 170, title="", says="")
    return {
        "review": lambda: review_mark(mark.svg, job),
        **sharp,
        "plain.svg": lambda: svg_of(draw_plain(reviewed, job)),
        **pixels,
        "plain.png": lambda: png_of(draw_plain(reviewed, job)),
        "sheet.pdf": lambda: sheet_pdf(stamp),
        "solid.png": lambda: picture_png(stamp.solid, digest=stamp.digest),
        "empty.png": lambda: png_of(empty),  # what a page of that size costs before anything is drawn
        "bundle": lambda: bundle_bytes(stamp),
    }


def report(_areas):
    """Print milliseconds of the reviews, ratios of the pictures, and which miss the bar; return all figures."""
    figures = {name: _measured(name, mark) for name, mark in MARKS.items()}
    missed = [
        f"{name} {what} {ms:.0f} ms"
        for name, taken in figures.items()
        for what, ms in taken.items()
        if what != "bundle" and ms > BAR * taken["review"]
    ]
    _say(f"over {BAR:g} of the review: {', '.join(missed) or 'none'}")
    return figures | {"contact": _contact()}


def _measured(name, mark):
    taken = medians_ms(work_on(mark))
    ratios = (f"{what} {ms / taken['review']:.2f}" for what, ms in taken.items() if what != "review")
    _say(f"{name}: review {taken['review']:.0f} ms; {', '.join(ratios)}")
    return taken


def _contact():
    jobs = {name: read_job(mark.job) for name, mark in MARKS.items()}
    tiles = [Tile(name, jobs[name], review_mark(mark.svg, jobs[name])) for name, mark in MARKS.items()]
    taken = medians_ms({"svg": lambda: contact_svg(tiles), "pdf": lambda: contact_pdf(tiles)})
    _say(f"contact sheet of {len(tiles)}: {taken['svg']:.0f} ms as SVG, {taken['pdf']:.0f} as PDF")
    return taken


def _say(text):
    print(text, flush=True)  # noqa: T201  a report
