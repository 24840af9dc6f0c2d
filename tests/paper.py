"""Small PDFs written by hand, and what an independent renderer (pdfium) makes of any PDF."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pypdfium2
from PIL import Image
from scipy import ndimage

from corpora.compare import FACE_MM, LONG_SIDE_PX, LUMA, dark, drawn
from stampwright.artwork import faults, read_artwork
from stampwright.base import StampwrightError
from stampwright.job import ArtworkChoice

IGNORED = ("text-not-outlined", "raster-image", "soft-mask", "pattern-fill")
PAGE = "/MediaBox[0 0 170 113]"  # units of 1/72 in: some 60 x 40 mm


def pdf(content, *, resources="", page=PAGE, more=(), catalog="", pages="", contents="4 0 R"):  # noqa: PLR0913  parts of a file
    """A file of one page. `more` are further objects, from number 5 on: text, or (dictionary, bytes) for a stream."""
    body = content if isinstance(content, bytes) else content.encode("latin-1")
    objects = [
        f"<</Type/Catalog/Pages 2 0 R{catalog}>>",
        f"<</Type/Pages/Kids[3 0 R]/Count 1{pages}>>",
        f"<</Type/Page/Parent 2 0 R{page}/Contents {contents}/Resources<<{resources}>>>>",
        ("", body),
        *more,
    ]
    out, places = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"), []
    for number, found in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n" % number + _written(found) + b"\nendobj\n"
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    return bytes(out + b"trailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, start))


def _written(found):
    if isinstance(found, str):
        return found.encode("latin-1")
    head, data = found
    return f"<<{head}/Length {len(data)}>>".encode("latin-1") + b"stream\n" + data + b"\nendstream"


class Judged(NamedTuple):
    """What came of one PDF beside the renderer's picture of it."""

    refused: str | None
    notices: tuple[str, ...]
    mismatch_px: int
    ink_px: int
    faults: tuple[str, ...]

    def matches(self, share=0.001):
        """At most 9 px, or a share of the ink."""
        return self.mismatch_px <= max(9, share * self.ink_px)


def pictured(data, size=None):
    """Ink of the first page as pdfium draws it, and its size: long side 512 px, on white, dark below half."""
    document = pypdfium2.PdfDocument(data)
    page = document[0]
    width, height = page.get_size()
    image = page.render(scale=2 * LONG_SIDE_PX / max(width, height), may_draw_forms=False, draw_annots=False).to_pil()
    document.close()
    size = size or tuple(max(1, round(side * LONG_SIDE_PX / max(width, height))) for side in (width, height))
    image = image.convert("RGB").resize(size, Image.Resampling.BOX)
    return np.asarray(image, dtype=float) / 255 @ LUMA < 0.5, size


def read(data, *, ignore=(), ink="dark", chord_mm=0.005):
    """Read a PDF for a face whose larger side is 50 mm."""
    choice = ArtworkChoice(ink=ink, ignore=frozenset(ignore), chord_mm=chord_mm)
    return read_artwork(data, choice, scale_of=lambda box: FACE_MM / max(box[2] - box[0], box[3] - box[1]))


def codes(mark):
    """Codes of all that a reading says, but for specks too small for a picture."""
    return tuple(notice.code for notice in (*mark.repaired, *mark.left_out) if notice.code != "slivers-removed")


def judge(data, *, ignore=()):
    """Read a PDF and hold it against the renderer."""
    wanted, size = pictured(data)
    try:
        mark = read(data, ignore=ignore)
    except StampwrightError as refusal:
        return Judged(refusal.refusals[0].code, (), int(wanted.sum()), int(wanted.sum()), ())
    left = ndimage.binary_opening(wanted ^ dark(drawn(mark, size), size), np.ones((3, 3)))
    return Judged(None, codes(mark), int(left.sum()), int(wanted.sum()), tuple(faults(mark)))


def shown(data, path):
    """Two pictures side by side, the renderer's and the reader's, for the eye."""
    wanted, size = pictured(data)
    got = dark(drawn(read(data), size), size)
    both = np.hstack([wanted, np.ones((size[1], 4), bool), got])
    Image.fromarray(np.where(both, 0, 255).astype("uint8")).save(path)
