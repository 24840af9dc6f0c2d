"""`python3 tests ninefold [--set game] [--many 20]`: icons and our marks written as DXF in nine ways, read back."""

# ruff: noqa: E402, T201  the other commands are found by their folders first; a report on the command line

import argparse
import random
import sys
from collections import Counter
from pathlib import Path

import shapely

TESTS = Path(__file__).parent.parent
sys.path[:0] = [str(TESTS), str(TESTS / "growth"), str(TESTS / "corpora")]

from fetch import corpora, drawings, fetch
from marks import SEED, ink_at

from dxf_drawings import MIRRORED, WAYS, codes, read, rings_of, strays_mm
from stamped import MARKS

SIZE_MM = 36.0
MOST_MM = 0.005


def main():
    """Fetch, write, read, print; fails below 99 %: sides shorter than a gap cannot all be told from it."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--set", default="game", help="corpus, by its key")
    wanted.add_argument("--many", type=int, default=20, help="drawings of it")
    asked = wanted.parse_args()
    corpus = next(c for c in corpora() if c.key == asked.set)
    fetch(corpus)
    found = random.Random(SEED).sample(drawings(corpus), asked.many)  # noqa: S311  a sample, no secret
    found += [(name, mark.svg) for name, mark in MARKS.items()]
    inks = [(name, ink) for name, svg in found if (ink := ink_at(svg, SIZE_MM)) is not None and not ink.is_empty]
    failed = sum([in_one_way(way, inks) for way in WAYS])
    sys.exit(failed > 0.01 * len(WAYS) * len(inks))


def in_one_way(way, inks):
    """Print a line for one way of writing; how many marks it did not carry over."""
    told, worst_mm, failed = Counter(), 0.0, 0
    for name, ink in inks:
        want = shapely.transform(ink, lambda xy: xy * [-1, 1]) if way in MIRRORED else ink
        mark = read(WAYS[way](rings_of(ink)))
        told.update(codes(mark))
        off_mm = strays_mm(mark.ink, want)
        worst_mm = max(worst_mm, off_mm)
        if off_mm > MOST_MM or mark.left_out:
            failed += 1
            print(f"{name}: {way}, {off_mm:.4f} mm, {[notice.says for notice in mark.left_out]}")
    print(
        f"{way:32s} {len(inks) - failed} of {len(inks)} within {MOST_MM} mm, furthest {worst_mm:.5f} mm, {dict(told)}"
    )
    return failed


main()
