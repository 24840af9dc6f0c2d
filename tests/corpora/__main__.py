"""`python3 tests corpora [keys] [--each 150] [--whole] [--names]`: fetches open drawings, prints a line per corpus.

A fixed sample of each is held against an independent renderer and against a finer reading of its own, and timed; with
`--whole` every drawing there is goes through reading, layout and review.
"""

import argparse
import io
import statistics
import time
from collections import Counter

import numpy as np
import svgelements
from compare import compare, misdrawn, read
from fetch import corpora, drawings, fetch
from fidelity import layers_of, one_by_one, percentiles, strays
from whole import outcome

from stampwright.base import StampwrightError

FINER = 60  # drawings of a sample that are read again much finer
MANY = 200  # layers from which covering one by one is worth a comparison


def main():
    """Fetch, compare, print."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("keys", nargs="*", help="corpora to run; all when none is named")
    wanted.add_argument("--each", type=int, default=150, help="drawings of each to compare, 0 for all")
    wanted.add_argument("--whole", action="store_true", help="review every drawing instead of comparing some")
    wanted.add_argument("--names", action="store_true", help="name every drawing that is silent and does not match")
    asked = wanted.parse_args()
    for corpus in corpora():
        if not asked.keys or corpus.key in asked.keys:
            fetch(corpus)
            found = [drawing for drawing in drawings(corpus) if asked.whole or drawing[0] not in misdrawn()]
            text = all_of(found) if asked.whole else compared(sample(found, asked.each), names=asked.names)
            print(f"{corpus.key:10s} {text}", flush=True)  # noqa: T201  a report on the command line


def sample(found, each):
    """A fixed sample, taken evenly: sets are in the order of names, and what is named alike is drawn alike."""
    return [found[k * len(found) // each] for k in range(each)] if 0 < each < len(found) else found


def compared(found, *, names):
    """One line of figures: how drawings compare with the renderer, and how long they take."""
    done = [(name, compare(data)) for name, data in found]
    silent = [(name, result) for name, result in done if result.silent]
    matching = sum(result.matches for _, result in silent)
    codes = Counter(code for _, result in done for code in dict.fromkeys(result.notices))
    refused = Counter(result.refused for _, result in done if result.refused)
    wrong = [name for name, result in silent if not result.matches]
    broken = sum(bool(result.faults) for _, result in done)
    text = (
        f"{len(done):5d} read, {len(silent)} without notice, of them {matching} match; invalid {broken}; "
        f"{timed(found)}; {fidelity([data for _, data in sample(found, FINER)])}; "
        f"notices {dict(codes)}; refused {dict(refused)}"
    )
    return text + (f"\n           silent and wrong: {wrong}" if names and wrong else "")


def all_of(found):
    """One line of figures: what came of every drawing, and the one that took longest."""
    done = [outcome(name, data) for name, data in found]
    crashed = [(result.name, result.crash) for result in done if result.crash]
    broken = [(result.name, result.faults) for result in done if result.faults]
    refused = Counter(result.refused for result in done if result.refused)
    slowest = max(done, key=lambda result: result.seconds)
    text = (
        f"{len(done):5d} reviewed, {len(crashed)} crashed, {len(broken)} with broken promises, "
        f"{_spread([result.seconds for result in done])} (longest {slowest.name}); refused {dict(refused)}"
    )
    return "\n           ".join([text, *(f"{name}: {what}" for name, what in (crashed + broken)[:20])])


def fidelity(found):
    """How far drawings stray from finer readings, and the painter's tree on the one of most layers."""
    strayed = [away for data in found if (away := strays(data)) is not None]
    anywhere, off_hairs = map(percentiles, zip(*strayed, strict=True)) if strayed else ("-", "-")
    text = f"strays {anywhere}, off hairs {off_hairs} chord errors p50 / p95 / max"
    layers = max(map(layers_of, found), key=len)
    return f"{text}; {len(layers)} layers one by one take {one_by_one(layers)[0]:.0f} x" if len(layers) > MANY else text


def timed(found):
    """Time of reading, and its ratio to svgelements' bare parse of the same drawings in the same run."""
    ours, ratios = [], []
    for _, data in found:
        try:
            read(data)  # once, to be warm
            start = time.process_time()  # of the processor, for others may be at work on this machine
            read(data)
            middle = time.process_time()
            list(svgelements.SVG.parse(io.BytesIO(data)).elements())
        except (StampwrightError, ValueError, KeyError, TypeError, AttributeError, IndexError):
            continue
        ours.append(middle - start)
        ratios.append(ours[-1] / (time.process_time() - middle))
    return f"{_spread(ours)}, {statistics.median(ratios):.1f} x bare parse" if ours else "-"


def _spread(seconds):
    p50, p95, most = np.percentile(seconds, [50, 95, 100]) * 1e3
    return f"{p50:.1f} / {p95:.1f} / {most:.0f} ms p50 / p95 / max"


main()
