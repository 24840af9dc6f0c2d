"""`python3 tests bench review`: the review over bare openings and over the bare construction of its diagram."""

import argparse
import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent)]

from reviewing import emblem, report, tiled  # noqa: E402  found by the line above

from stamped import MARKS  # noqa: E402  likewise
from stampwright.job import read_job  # noqa: E402  likewise
from stampwright.pipeline import lay  # noqa: E402  likewise


def main():
    """Measure what is asked for."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("what", choices=["review"], help="what is measured")
    wanted.parse_args()
    register = {name: lay(mark.svg, read_job(mark.job)).face.ink for name, mark in MARKS.items()}
    report({"emblem": emblem(), **register, "nine emblems": tiled(3), "36 emblems": tiled(6)})


main()
