"""`python3 tests growth [--each 1.0] [--names]`: 300 open icons, three sizes, three least widths, grown and judged.

With `--moved` each mark is grown as it is, turned, scaled and mirrored, and the outlines are compared.
"""

# ruff: noqa: T201  a report on the command line

import argparse
import random
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

import numpy as np
import shapely
from marks import SEED, SIZES_MM, ink_at, marks
from shapely.affinity import rotate, scale

from grown import ink_of
from growth_judge import judged
from stampwright.plane import medial_axis
from stampwright.thickening.grow import grow
from stampwright.thickening.want import wants_of

LANDS_MM = (0.4, 0.6, 0.8)
GAP_MM = 0.5
FEW_WALLS = 100  # of so few an axis takes some milliseconds
MOST_MM = (0.01, 0.01, 0.001)  # turning, scaling, mirroring may change an outline by as much


def main():
    """Grow, judge, print."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--each", type=float, default=1.0, help="share of the sample")
    wanted.add_argument("--sizes", type=int, default=3, help="sizes of each mark: 1 takes them in turn")
    wanted.add_argument("--names", action="store_true", help="name every mark that is at fault or given up")
    wanted.add_argument("--moved", action="store_true", help="turned, scaled and mirrored instead")
    asked = wanted.parse_args()
    if asked.moved:
        moved(asked.each, names=asked.names)
        return
    done, ratios = Counter(), []
    for i, (name, svg) in enumerate(marks(asked.each)):
        for size in SIZES_MM if asked.sizes == 3 else [SIZES_MM[i % 3]]:
            if (ink := ink_at(svg, size)) is not None:
                for land in LANDS_MM:
                    case(done, ratios, ink, land, name=f"{name} {size:g} {land}", names=asked.names)
    report(done, np.array(ratios))


def moved(each, *, names):
    """Grow marks turned, scaled and mirrored, and print how far the outlines then lie from those grown as drawn."""
    drawn, apart = random.Random(SEED), []  # noqa: S311  a sample, no secret
    for name, svg in marks(each):
        size, land, gap = (drawn.choice(of) for of in (SIZES_MM, (0.4, 0.5, 0.6, 0.8), (0.3, 0.5, 0.794)))
        angle, by = drawn.uniform(0, 360), drawn.choice([0.5, 1.5, 2.0])
        if (ink := ink_at(svg, size)) is None:
            continue
        home = ink_of(ink, land_mm=land, gap_mm=gap).boundary
        turned = ink_of(rotate(ink, angle, origin=(0, 0)), land_mm=land, gap_mm=gap)
        scaled = ink_of(scale(ink, by, by, origin=(0, 0)), land_mm=land * by, gap_mm=gap * by)
        mirrored = ink_of(scale(ink, -1, 1, origin=(0, 0)), land_mm=land, gap_mm=gap)
        backs = (
            *(rotate(turned, -angle, origin=(0, 0)), scale(scaled, 1 / by, 1 / by, origin=(0, 0))),
            scale(mirrored, -1, 1, origin=(0, 0)),
        )
        far = [float(shapely.hausdorff_distance(home, back.boundary)) for back in backs]
        apart.append(far)
        if names and (np.array(far) > MOST_MM).any():
            print(
                f"{name} {size:g} mm, {land} and {gap}:", *(f"{mm:.4f}" for mm in far), f"{angle:.2f} deg, {by} times"
            )
    for way, far, most_mm in zip(("turned", "scaled", "mirrored"), np.transpose(apart), MOST_MM, strict=True):
        says = f"{(far > most_mm).sum()} beyond {most_mm} mm; p99 {np.percentile(far, 99):.4f}, most {far.max():.4f}"
        print(f"{len(far)} {way}: {says}")


def case(done, ratios, ink, land, *, name, names):  # noqa: PLR0913  one line of the report each
    """Grow one mark for one least width and count."""
    start = time.process_time()
    before = medial_axis(ink)
    middle = time.process_time()
    grown = grow(ink, before, wants_of(before, land), gap_mm=GAP_MM)
    end = time.process_time()
    done["cases"] += 1
    if grown is None:
        done["given up"] += 1
        if names:
            print("given up", name, flush=True)
        return
    told = judged((ink, before), (grown.ink, grown.axis), land_mm=land, gap_mm=GAP_MM)
    if told.thin_before_mm:
        drawn_s, grow_s, shared_s = middle - start, end - middle, seconds_of_axis(grown.ink)
        ratios.append((grow_s / drawn_s, (drawn_s + grow_s - shared_s) / shared_s, len(before.walls)))
    done["at fault"] += bool(told.faults)
    done["thin"] += told.thin_before_mm > 0
    done["tries"] += grown.tries
    done["vertices before"] += len(before.walls)
    done["vertices after"] += len(grown.axis.walls)
    for key in ("thin_before_mm", "thin_after_mm", "allowed_before_mm", "allowed_after_mm"):
        done[key] += getattr(told, key)
    if names and told.faults:
        print(name, told.faults, flush=True)
    if names and told.allowed_after_mm > 1:
        print(name, f"still thin {told.allowed_after_mm:.2f} of {told.allowed_before_mm:.2f}", flush=True)


def seconds_of_axis(ink):
    """What the axis of a grown face takes, which growing hands on to the review."""
    start = time.process_time()
    medial_axis(ink)
    return time.process_time() - start


def report(done, ratios):
    """Print all figures."""
    print(dict(done))
    share = 1 - done["allowed_after_mm"] / max(done["allowed_before_mm"], 1e-9)
    print(f"thin where gaps allow: down by {share:.1%}")
    drawn, shared, walls = ratios.T
    costs = (
        ("cost in axes of what is drawn, that of what has grown among it", drawn),
        ("cost of all but the axis of what has grown, which the review takes over, in that one", shared),
    )
    for says, some in (("under", walls < FEW_WALLS), ("from", walls >= FEW_WALLS)):
        for what, ratio in costs:
            p50, p90, most = np.percentile(ratio[some], (50, 90, 100)) if some.any() else (np.nan,) * 3
            print(f"{says} {FEW_WALLS} walls, {what}: p50 {p50:.2f}, p90 {p90:.2f}, most {most:.2f}, of {some.sum()}")


main()
