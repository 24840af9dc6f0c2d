"""Reads a text with each font of a folder and tells what came of it, and how much memory it took: `font_bombs.py DIR`.

A process of its own, for the peak is that of a process.
"""

import json
import re
import sys
from pathlib import Path

from stampwright.artwork import read_artwork
from stampwright.base import StampwrightError
from stampwright.job import ArtworkChoice

TEXT = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 240" font-family="DejaVu Sans">'
    '<text y="90">Apis mellifera Hive 7 AV</text></svg>'
)


def code_of(font):
    try:
        read_artwork(TEXT.encode(), ArtworkChoice(), scale_of=lambda _box: 1.0, fonts=[font])
    except StampwrightError as refusal:
        return refusal.refusals[0].code
    return "read"


if __name__ == "__main__":
    codes = {path.name: code_of(path.read_bytes()) for path in sorted(Path(sys.argv[1]).iterdir())}
    status = Path("/proc/self/status").read_text(encoding="ascii")  # what getrusage tells may be the parent's
    peak_mb = int(re.search(r"VmHWM:\s*(\d+) kB", status)[1]) / 1024
    sys.stdout.write(json.dumps({"codes": codes, "peak_mb": peak_mb}))
