"""`python3 tests leftovers [--many 100]`: open icons as drawn and as cut, and what the review tells where they differ.

Each with two racks, of flat cutters and with a pointed one at the end; fails where a difference is told by nothing.
"""

# ruff: noqa: T201  a report on the command line

import argparse
import sys
from collections import Counter
from pathlib import Path

TESTS = Path(__file__).parent.parent
sys.path[:0] = [str(TESTS), str(TESTS / "growth")]

from marks import OF_EACH, marks  # noqa: E402  found by the line above

from cut_differences import differences, reach_of, too_shallow, untold, with_finer_arcs  # noqa: E402  likewise
from stampwright.base import StampwrightError  # noqa: E402  likewise
from stampwright.catalogue import CUTTERS  # noqa: E402  likewise
from stampwright.job import read_job  # noqa: E402  likewise
from stampwright.pipeline import make_stamp, solid_as_cut  # noqa: E402  likewise

RACKS = (
    (("flat-3.175", "flat-1.588"), ("flat-3.175", "flat-1.588", "pointed-20")),
    (("flat-3.175", "flat-0.794"), ("flat-1.588", "pointed-60")),
    (("flat-3.175",), ("flat-0.794", "pointed-60")),
    (("flat-1.588", "flat-0.4"), ("flat-3.175", "flat-0.794", "pointed-30")),
)


def main():
    """Make, compare, print."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--many", type=int, default=100, help="icons of the fixed sample")
    asked = wanted.parse_args()
    done = Counter()
    for i, (name, svg) in enumerate(marks(asked.many / sum(OF_EACH.values()))):
        for rack in RACKS[i % len(RACKS)]:
            compare(done, name, svg, rack)
    print(", ".join(f"{count} {what}" for what, count in sorted(done.items())))
    sys.exit(done["wrong"] > 0)


def compare(done, name, svg, rack):
    """One mark with one rack; what is wrong is told by its place."""
    try:
        stamp = make_stamp(svg, read_job({"cutters": list(rack)}))
    except StampwrightError as refusal:
        done[f"refused ({refusal.refusals[0].code})"] += 1
        return
    face, plan, review, cut = stamp.face, stamp.plan, stamp.review, solid_as_cut(stamp)
    last = reach_of(review, plan.cutters[-1])
    is_pointed = CUTTERS[last.cutter].shape == "pointed"
    strays = untold(face, plan, review, drawn=stamp.solid, cut=cut)
    if not is_pointed:
        strays = with_finer_arcs(strays, face, CUTTERS[last.cutter].diameter_mm / 2)
    shallow = sum(too_shallow(last, cut)) if is_pointed else 0
    done["ended by a pointed cutter" if is_pointed else "ended by a flat one"] += 1
    done["differences"] += len(differences(stamp.solid, cut))
    done["wrong"] += bool(len(strays) or shallow)
    for stray in strays:
        print(f"{name} {rack}: {stray.area:.5f} mm² at {stray.representative_point().wkt} told by nothing", flush=True)
    if shallow:
        print(f"{name} {rack}: {shallow} gaps are less deep than told", flush=True)


main()
