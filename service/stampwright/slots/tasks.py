"""What can be asked for: a mark, a job and fonts go in, the bytes of an answer come out."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from stampwright.base import stage
from stampwright.documents import bundle_bytes, outlines_dxf, review_json, stamp_json, tiles_of
from stampwright.drawings import (
    VIEWS,
    contact_pdf,
    contact_svg,
    draw_plain,
    font_file,
    picture_png,
    png_of,
    sheet_pdf,
    svg_of,
)
from stampwright.job import read_job
from stampwright.pipeline import digest_of, lay, make_solid, make_stamp, review_mark
from stampwright.solid import stl_bytes, threemf_bytes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from stampwright.drawings import Tile
    from stampwright.job import Job
    from stampwright.pipeline import Reviewed, Stamp
    from stampwright.solid import Solid

    from .compute import Task

    Fonts = Sequence[bytes]


def _of_stamp(write: Callable[[Stamp], bytes], at: str) -> Callable[..., bytes]:
    """The whole job, and what is written of it at a later stage."""

    def done(mark: bytes, job: Job, *, fonts: Fonts = ()) -> bytes:
        stamp = make_stamp(mark, job, fonts=fonts)
        with stage(at):
            return write(stamp)

    return done


def _of_solid(write: Callable[[Solid, str], bytes], at: str) -> Callable[..., bytes]:
    """The solid alone; `write` is given the digest too."""

    def done(mark: bytes, job: Job, *, fonts: Fonts = ()) -> bytes:
        solid = make_solid(mark, job, fonts=fonts)
        with stage(at):
            return write(solid, digest_of(mark, job, fonts=fonts))

    return done


def _of_tiles(write: Callable[[Sequence[Tile]], bytes]) -> Callable[..., bytes]:
    """Many marks, packed as one, each reviewed."""

    def done(marks: bytes, _job: Job, *, fonts: Fonts = ()) -> bytes:
        tiles = tiles_of(marks, fonts=fonts)
        with stage("drawings"):
            return write(tiles)

    return done


def _review(mark: bytes, job: Job, *, fonts: Fonts = (), drawn: bool = False) -> bytes:
    reviewed = review_mark(mark, job, fonts=fonts)
    picture = _plain_svg(reviewed, job) if drawn else None
    with stage("documents"):
        return review_json(reviewed, print_svg=picture)


def _plain(mark: bytes, job: Job, *, fonts: Fonts = ()) -> bytes:
    return _plain_svg(review_mark(mark, job, fonts=fonts), job).encode()


def _plain_png(mark: bytes, job: Job, *, fonts: Fonts = ()) -> bytes:
    reviewed = review_mark(mark, job, fonts=fonts)
    with stage("drawings"):
        return png_of(draw_plain(reviewed, job))


@stage("drawings")
def _plain_svg(reviewed: Reviewed, job: Job) -> str:
    return svg_of(draw_plain(reviewed, job))


def _svg_of(view: str) -> Callable[..., bytes]:
    return _of_stamp(lambda stamp: svg_of(VIEWS[view](stamp)).encode(), "drawings")


def _png_of(view: str) -> Callable[..., bytes]:
    return _of_stamp(lambda stamp: png_of(VIEWS[view](stamp)), "drawings")


TASKS: Mapping[Task, Callable[..., bytes]] = {
    "stamp": _of_stamp(stamp_json, "documents"),
    "bundle": _of_stamp(bundle_bytes, "documents"),
    "outlines": _of_stamp(outlines_dxf, "documents"),
    "solid": _of_solid(lambda solid, _: stl_bytes(solid), "documents"),
    "solid_3mf": _of_solid(lambda solid, digest: threemf_bytes(solid, digest=digest), "documents"),
    "solid_png": _of_solid(lambda solid, digest: picture_png(solid, digest=digest), "drawings"),
    "review": _review,
    "review_drawn": partial(_review, drawn=True),
    "plain_svg": _plain,
    "plain_png": _plain_png,
    "print_svg": _svg_of("print"),
    "print_png": _png_of("print"),
    "face_svg": _svg_of("face"),
    "face_png": _png_of("face"),
    "cutting_svg": _svg_of("cutting"),
    "cutting_png": _png_of("cutting"),
    "a4_pdf": _of_stamp(partial(sheet_pdf, paper="a4"), "drawings"),
    "letter_pdf": _of_stamp(partial(sheet_pdf, paper="letter"), "drawings"),
    "contact_a4_pdf": _of_tiles(partial(contact_pdf, paper="a4")),
    "contact_letter_pdf": _of_tiles(partial(contact_pdf, paper="letter")),
    "contact_a4_svg": _of_tiles(lambda tiles: contact_svg(tiles, paper="a4").encode()),
    "contact_letter_svg": _of_tiles(lambda tiles: contact_svg(tiles, paper="letter").encode()),
}
"""Each task with the function that does it. The same mark, job and fonts give the same bytes."""

_COARSE_DPI = 10.0

_SMALL = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 12">\
<path d="M2 2h16v8h-16z M6 4h8v4h-8z" fill-rule="evenodd"/></svg>"""


_LETTERED = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 12" font-family="DejaVu Sans">\
<text x="2" y="9" font-size="8">Hi</text></svg>"""

_PAPER = b"""%PDF-1.4
1 0 obj
<</Type/Catalog/Pages 2 0 R>>
endobj
2 0 obj
<</Type/Pages/Kids[3 0 R]/Count 1>>
endobj
3 0 obj
<</Type/Page/Parent 2 0 R/MediaBox[0 0 20 12]/Contents 4 0 R>>
endobj
4 0 obj
<</Length 13>>
stream
2 2 16 8 re f
endstream
endobj
trailer
<</Size 5/Root 1 0 R>>
startxref
0
%%EOF
"""
_DISC = b"""0
SECTION
2
ENTITIES
0
CIRCLE
10
0
20
0
40
9
0
ENDSEC
0
EOF
"""


def rehearse() -> Stamp:
    """Do a small job for nothing: what a forked process writes to is its own afterwards, and costs no copy again."""
    stamp = make_stamp(_SMALL, read_job({}))
    stamp_json(stamp)
    return stamp


def warm_up() -> None:
    """Use every library once: they load parts of themselves at their first use. Small, for each slot begins with it."""
    stamp = rehearse()
    stl_bytes(stamp.solid)
    threemf_bytes(stamp.solid, digest=stamp.digest)
    outlines_dxf(stamp)
    sheet_pdf(stamp)
    png_of(VIEWS["face"](stamp), dpi=_COARSE_DPI)
    lay(_LETTERED, read_job({}), fonts=[Path(font_file()).read_bytes()])
    lay(_PAPER, read_job({}))
    lay(_DISC, read_job({}))
