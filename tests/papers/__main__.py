"""`python3 tests papers [keys] [--each 12] [--names]`: open drawings printed to PDF by three programs, a line for each.

Each file is held against pdfium: it must match or be noticed. Lands, counters and area are held against those of the
drawing itself, where that reads without a notice.
"""

import argparse
import random
import statistics
import sys
import time
from collections import Counter
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "corpora")]

from compare import compare, misdrawn  # noqa: E402  found by the line above
from compare import read as read_svg  # noqa: E402  likewise
from fetch import corpora, drawings, fetch  # noqa: E402  likewise

from paper import IGNORED, judge, read  # noqa: E402  likewise
from paper_producers import by_chromium, by_fpdf2, by_reportlab  # noqa: E402  likewise
from stampwright.base import StampwrightError  # noqa: E402  likewise

SEED = 20251125
USUAL = ("bootstrap", "game", "flags", "lucide")
AT_ONCE = 100  # drawings that one browser prints


def main():
    """Fetch, print, compare."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("keys", nargs="*", help=f"corpora to run; {', '.join(USUAL)} when none is named")
    wanted.add_argument("--each", type=int, default=12, help="drawings of each to print")
    wanted.add_argument("--names", action="store_true", help="name every file that is silent and does not match")
    asked = wanted.parse_args()
    for corpus in corpora():
        if corpus.key not in (asked.keys or USUAL):
            continue
        fetch(corpus)
        found = [drawing for drawing in drawings(corpus) if drawing[0] not in misdrawn()]
        found = random.Random(SEED).sample(found, min(asked.each, len(found)))  # noqa: S311  a sample, no secret
        found = [(name, data) for name, data in found if compare(data).refused is None]
        for producer, files in printed(found).items():
            say(f"{corpus.key:10s} {producer:10s} {compared(files, dict(found), names=asked.names)}")


def printed(found):
    """Files by producer, each with its name; what a producer cannot print is not among them."""
    data = [drawing for _, drawing in found]
    files = {"reportlab": map(by_reportlab, data), "fpdf2": map(by_fpdf2, data)}
    files["chromium"] = [page for at in range(0, len(data), AT_ONCE) for page in by_chromium(data[at : at + AT_ONCE])]
    names = [name for name, _ in found]
    return {key: [(n, f) for n, f in zip(names, made, strict=True) if f is not None] for key, made in files.items()}


def compared(files, drawn, *, names):
    """One line of figures."""
    done = [(name, judge(data, ignore=IGNORED)) for name, data in files]
    silent = [(name, found) for name, found in done if found.refused is None and not found.notices]
    wrong = [name for name, found in silent if not found.matches()]
    noticed = [found for _, found in done if found.notices]
    codes = Counter(code for found in noticed for code in dict.fromkeys(found.notices))
    refused = Counter(found.refused for _, found in done if found.refused)
    text = (
        f"{len(done):4d} files, {len(silent)} without notice, of them {len(silent) - len(wrong)} match; "
        f"{sum(found.matches() for found in noticed)} of {len(noticed)} noticed match too; "
        f"invalid {sum(bool(found.faults) for _, found in done)}; {alike(files, drawn)}; {timed(files)}; "
        f"notices {dict(codes)}; refused {dict(refused)}"
    )
    return text + (f"\n           silent and wrong: {wrong}" if names and wrong else "")


def alike(files, drawn):
    """Of the files whose drawing reads without a notice: how many have its lands and counters, and the area's error."""
    same, of, off = 0, 0, []
    for name, data in files:
        try:
            svg, pdf = read_svg(drawn[name]), read(data, ignore=IGNORED)
        except StampwrightError:
            continue
        if not (svg.repaired or svg.left_out or pdf.repaired or pdf.left_out):
            of += 1
            same += counted(svg) == counted(pdf)
            off.append(abs(pdf.ink.area / svg.ink.area - 1))
    return f"{same} of {of} with the drawing's lands and counters, area off by {statistics.median(off or [0]):.1e}"


def counted(mark):
    """Lands and counters."""
    return len(mark.ink.geoms), sum(len(land.interiors) for land in mark.ink.geoms)


def timed(files):
    """Times of reading."""
    spent = []
    for _, data in files:
        start = time.process_time()
        try:
            read(data, ignore=IGNORED)
        except StampwrightError:
            continue
        spent.append((time.process_time() - start) * 1e3)
    return f"{statistics.median(spent):.1f} ms, {max(spent):.0f} at most" if spent else "-"


def say(line):
    """A line of the report."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


main()
