"""`python3 tests widths [--set game] [--many 50]`: local widths of open icons against pixels and scipy's transform."""

# ruff: noqa: E402, T201  the other commands are found by their folders first; a report on the command line

import argparse
import random
import sys
from pathlib import Path

import numpy as np

TESTS = Path(__file__).parent.parent
sys.path[:0] = [str(TESTS), str(TESTS / "growth"), str(TESTS / "corpora")]

from fetch import corpora, drawings, fetch
from marks import SEED, ink_at

from raster_widths import PX_PER_MM, misses_px
from stampwright.plane import medial_axis
from stampwright.review.widths import Widths

SIZE_MM = 36.0


def main():
    """Fetch, measure twice, print."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--set", default="game", help="corpus, by its key")
    wanted.add_argument("--many", type=int, default=50, help="drawings of it")
    asked = wanted.parse_args()
    corpus = next(c for c in corpora() if c.key == asked.set)
    fetch(corpus)
    found = random.Random(SEED).sample(drawings(corpus), asked.many)  # noqa: S311  a sample, no secret
    told = {name: missed for name, svg in found if (missed := missed_px(svg)) is not None}
    for name, missed in sorted(told.items(), key=lambda item: -item[1].max())[:5]:
        print(f"{name}: {len(missed)} ribs, furthest {missed.max():.2f} px")
    every = np.concatenate(list(told.values()))
    within = [100 * float(np.mean(every <= limit)) for limit in (1, 2)]
    print(
        f"{len(told)} marks of {SIZE_MM:g} mm, {len(every)} ribs, pixels of {1 / PX_PER_MM:g} mm: within 1 px "
        f"{within[0]:.2f} %, within 2 px {within[1]:.2f} %, median {np.median(every) / PX_PER_MM:.4f} mm"
    )
    sys.exit(within[1] < 99.8)


def missed_px(svg):
    """What the ribs of one drawing miss; None for a drawing that is refused or has no ribs."""
    ink = ink_at(svg, SIZE_MM)
    if ink is None or ink.is_empty:
        return None
    axis = medial_axis(ink)
    missed = misses_px(axis, Widths(axis).is_rib, ink)
    return missed if len(missed) else None


main()
