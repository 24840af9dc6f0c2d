"""Real drawings as ink at a size: icons of open sets, line icons restroked so that they are hairlines."""

import random
import re
import sys
from pathlib import Path

from stampwright.artwork import read_artwork
from stampwright.base import StampwrightError
from stampwright.job import ArtworkChoice
from stampwright.plane import on_grid, part_pinches, without_slivers

sys.path.insert(0, str(Path(__file__).parent.parent / "corpora"))

from fetch import STORE, corpora, drawings, fetch

SEED = 20251125
SIZES_MM = (15.0, 25.0, 36.0)
STROKES = (0.4, 0.6, 0.9)  # of 24 units of a line icon
OF_EACH = {"lucide": 110, "phosphor": 70, "game": 60, "bootstrap": 60}


def marks(each=1.0):
    """Name and SVG of a fixed sample, so many of each set times `each`."""
    for key, many in OF_EACH.items():
        corpus = next(c for c in corpora() if c.key == key)
        fetch(corpus)
        found = drawings(corpus)
        if key == "phosphor":  # the weight of this set that is drawn in hairlines
            found = [(p.name, p.read_bytes()) for p in sorted((STORE / key).glob("package/assets/thin/*.svg"))]
        chosen = random.Random(SEED).sample(found, round(many * each))  # noqa: S311  a sample, no secret
        for i, (name, svg) in enumerate(chosen):
            yield f"{key}/{name}", _restroked(svg, STROKES[i % 3]) if key == "lucide" else svg


def _restroked(svg, width):
    return re.sub(rb'stroke-width="[\d.]+"', b'stroke-width="%g"' % width, svg)


def ink_at(svg, size_mm):
    """The ink with its longer side `size_mm`, as layout leaves it; None for a drawing that is refused."""
    import shapely

    try:
        ink = read_artwork(
            svg, ArtworkChoice(), scale_of=lambda box: size_mm / max(box[2] - box[0], box[3] - box[1])
        ).ink
    except StampwrightError:
        return None
    x0, y0, x1, y1 = ink.bounds
    scale = size_mm / max(x1 - x0, y1 - y0)
    return part_pinches(without_slivers(on_grid(shapely.transform(ink, lambda xy: (xy - (x0, y0)) * scale))))
