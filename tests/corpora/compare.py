"""Holds the reader's polygons against an independent renderer of the same drawing (resvg, in its Python wheel).

Both are drawn by that renderer at 512 px on the long side on white; ink is luma under one half. What is left of the
difference after a 3x3 opening is a mismatch of structure; thinner differences are the edges' anti-aliasing.
"""

import csv
import io
from pathlib import Path
from typing import NamedTuple

import numpy as np
import resvg_py
from PIL import Image
from scipy import ndimage

from stampwright.artwork import faults, read_artwork
from stampwright.base import StampwrightError
from stampwright.job import ArtworkChoice

LONG_SIDE_PX = 512
LUMA = np.array([0.2126, 0.7152, 0.0722])
FACE_MM = 50.0
IGNORED = frozenset({"text-not-outlined", "raster-image", "foreign-object", "pattern-fill"})
QUIET = frozenset({"slivers-removed", "text-not-outlined"})  # too small for the raster; the renderer is given no fonts


def misdrawn():
    """Names of the drawings that the renderer is known to draw wrongly."""
    table = Path(__file__).with_name("renderer.csv").read_text()
    return {row["drawing"] for row in csv.DictReader(line for line in table.splitlines() if line[0] != "#")}


class Comparison(NamedTuple):
    """What came of one drawing."""

    refused: str | None
    notices: tuple[str, ...]
    mismatch_px: int
    ink_px: int
    faults: tuple[str, ...]

    @property
    def silent(self):
        """Whether the reader said nothing against it."""
        return self.refused is None and not self.notices

    @property
    def matches(self):
        """At most 9 px, or 0.1 % of the ink."""
        return self.mismatch_px <= max(9, 0.001 * self.ink_px)


def read(data, chord_mm=0.005):
    """Read a drawing for a face whose larger side is 50 mm; what would refuse by kind is a notice."""
    choice = ArtworkChoice(ignore=IGNORED, chord_mm=chord_mm)
    return read_artwork(data, choice, scale_of=lambda box: FACE_MM / max(box[2] - box[0], box[3] - box[1]))


def compare(data):
    """Read a drawing and hold it against the renderer."""
    size = _size_px(data)
    try:
        mark = read(data)
    except StampwrightError as refusal:
        ink_px = int(dark(data.decode("utf-8", "replace"), size).sum()) if size else 0
        return Comparison(refusal.refusals[0].code, (), ink_px, ink_px, ())
    said = tuple(notice.code for notice in (*mark.repaired, *mark.left_out) if notice.code not in QUIET)
    wanted, got = dark(data.decode("utf-8", "replace"), size), dark(drawn(mark), size)
    left = ndimage.binary_opening(wanted ^ got, np.ones((3, 3)))
    return Comparison(None, said, int(left.sum()), int(wanted.sum()), tuple(faults(mark)))


def drawn(mark, size=None):
    """A mark as one even-odd path on its page; with `size` in whole px, which the renderer does not round."""
    width, height = mark.page_mm
    across, down = size or (f"{width}mm", f"{height}mm")
    rings = [ring for land in mark.ink.geoms for ring in (land.exterior, *land.interiors)]
    data = "".join("M" + "L".join(f"{x:.7g} {y:.7g}" for x, y in ring.coords[:-1]) + "Z" for ring in rings)
    frame = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" preserveAspectRatio="none"'
    return f'{frame} width="{across}" height="{down}"><path fill-rule="evenodd" d="{data}"/></svg>'


def _size_px(data):
    """Size of the raster: the renderer's own page, its long side 512 px."""
    try:
        page = _rendered(data.decode("utf-8", "replace")).size
    except ValueError:
        return None
    return tuple(max(1, round(side * LONG_SIDE_PX / max(page))) for side in page)


def _rendered(svg, size=None):
    width, height = size or (None, None)
    png = resvg_py.svg_to_bytes(
        svg_string=svg, dpi=96, width=width, height=height, background="white", skip_system_fonts=True, languages=["en"]
    )
    return Image.open(io.BytesIO(bytes(png))).convert("RGB")


def dark(svg, size):
    """Where a drawing is dark, as the renderer draws it at a size in px."""
    try:
        image = _rendered(svg, size)
    except ValueError:
        return np.zeros(size[::-1], dtype=bool)
    if image.size != size:
        image = image.resize(size)
    return np.asarray(image, dtype=float) / 255 @ LUMA < 0.5
