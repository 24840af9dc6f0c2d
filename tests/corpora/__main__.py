"""`python3 tests corpora [keys] [--each 150] [--names]`: fetches open drawings and prints a line per corpus."""

import argparse
import io
import random
import statistics
import time
from collections import Counter

import svgelements
from compare import compare, read
from fetch import corpora, drawings, fetch

from stampwright.base import StampwrightError

SEED = 20251125


def main():
    """Fetch, compare, print."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("keys", nargs="*", help="corpora to run; all when none is named")
    wanted.add_argument("--each", type=int, default=150, help="drawings of each, 0 for all")
    wanted.add_argument("--names", action="store_true", help="name every drawing that is silent and does not match")
    asked = wanted.parse_args()
    for corpus in corpora():
        if not asked.keys or corpus.key in asked.keys:
            fetch(corpus)
            text = line(corpus, sample(drawings(corpus), asked.each), names=asked.names)
            print(text, flush=True)  # noqa: T201  a report on the command line


def sample(found, each):
    """A fixed sample."""
    return random.Random(SEED).sample(found, each) if 0 < each < len(found) else found  # noqa: S311  a sample, no secret


def line(corpus, found, *, names):
    """One line of figures for one corpus."""
    done = [(name, compare(data)) for name, data in found]
    silent = [(name, result) for name, result in done if result.silent]
    matching = sum(result.matches for _, result in silent)
    codes = Counter(code for _, result in done for code in dict.fromkeys(result.notices))
    refused = Counter(result.refused for _, result in done if result.refused)
    wrong = [name for name, result in silent if not result.matches]
    broken = sum(bool(result.faults) for _, result in done)
    text = (
        f"{corpus.key:10s} {len(done):5d} read, {len(silent)} without notice, of them {matching} match; "
        f"invalid {broken}; time {timed(found)}; notices {dict(codes)}; refused {dict(refused)}"
    )
    return text + (f"\n           silent and wrong: {wrong}" if names and wrong else "")


def timed(found):
    """Median time of reading [ms], and its ratio to svgelements' bare parse of the same drawings in the same run."""
    ours, theirs = [], []
    for _, data in found[:60]:
        try:
            read(data)  # once, to be warm
            start = time.perf_counter()
            read(data)
            middle = time.perf_counter()
            list(svgelements.SVG.parse(io.BytesIO(data)).elements())
        except (StampwrightError, ValueError, KeyError, TypeError, AttributeError, IndexError):
            continue
        ours.append(middle - start)
        theirs.append(time.perf_counter() - middle)
    if not ours:
        return "-"
    ratio = statistics.median(a / b for a, b in zip(ours, theirs, strict=True))
    return f"{statistics.median(ours) * 1e3:.1f} ms p50, {max(ours) * 1e3:.0f} max, {ratio:.1f} x bare parse"


main()
