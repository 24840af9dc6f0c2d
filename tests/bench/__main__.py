"""`python3 tests bench review|solid|pictures|job|serving|form [--json FILE]`: ratios in one run."""

import argparse
import json
import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent)]

import forms  # noqa: E402  found by the line above
import jobs  # noqa: E402  likewise
import pictures  # noqa: E402  likewise
import reviewing  # noqa: E402  likewise
import serving  # noqa: E402  likewise
import solids  # noqa: E402  likewise

from stamped import MARKS  # noqa: E402  likewise
from stampwright.job import read_job  # noqa: E402  likewise
from stampwright.pipeline import lay  # noqa: E402  likewise

BENCHES = {
    "review": reviewing.report,
    "solid": solids.report,
    "pictures": pictures.report,
    "job": jobs.report,
    "serving": serving.report,
    "form": forms.report,
}
"""By stage: each takes areas of ink by name, adds larger ones of its own, prints a table and returns its figures."""


def main():
    """Measure what is asked for."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("what", choices=BENCHES, help="what is measured")
    wanted.add_argument("--json", type=Path, help="a file for the figures")
    asked = wanted.parse_args()
    register = {name: lay(mark.svg, read_job(mark.job)).face.ink for name, mark in MARKS.items()}
    figures = BENCHES[asked.what]({"emblem": reviewing.emblem(), **register})
    if asked.json:
        asked.json.write_text(json.dumps(figures, indent=2) + "\n")


main()
