"""Reads each PDF that it is given and tells what came of it, how long it took, and its own peak memory.

`paper_mutants.py bombs` reads the bombs, `paper_mutants.py mutants N` N files with seeded faults. A process of its own,
for the peak is that of a process.
"""

from __future__ import annotations

import io
import json
import os
import random
import re
import sys
import time
from pathlib import Path

import reportlab
from fpdf import FPDF
from reportlab.pdfbase import pdfmetrics, ttfonts
from reportlab.pdfgen.canvas import Canvas

from paper import IGNORED, read
from paper_bombs import BOMBS
from pdf_features import FEATURES, TOLD
from stampwright.base import StampwrightError

SEED = 20251125
FONTS = Path(reportlab.__file__).parent / "fonts"


def lettered():
    """Texts in embedded fonts: TrueType and Type 1 by one program, keyed by character by another."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(200, 150), invariant=1, pageCompression=1)
    face = pdfmetrics.EmbeddedType1Face(str(FONTS / "callig15.afm"), str(FONTS / "callig15.pfb"))
    pdfmetrics.registerTypeFace(face)
    pdfmetrics.registerFont(pdfmetrics.Font("Pen", face.name, "WinAnsiEncoding"))
    pdfmetrics.registerFont(ttfonts.TTFont("Vera", str(FONTS / "VeraBd.ttf")))
    for row, (font, words) in enumerate([("Vera", "Größe fi 12"), ("Pen", "Apis mellifera")]):
        canvas.setFont(font, 24)
        canvas.drawString(12, 100 - 40 * row, words)
    canvas.save()
    page = FPDF(unit="pt", format=(200, 150))
    page.add_page()
    page.add_font("Vera", "", FONTS / "Vera.ttf")
    page.set_font("Vera", "", 28)
    page.text(10, 60, "Ω Bees ñ")
    return {"by code": out.getvalue(), "by character": bytes(page.output())}


def mutants(count):
    """Seeded faults: bytes changed, pieces cut out, doubled or moved, numbers made large."""
    chance = random.Random(SEED)  # noqa: S311  a sample, no secret
    whole = [*FEATURES.values(), *(data for data, _ in TOLD.values()), *list(lettered().values()) * 12]
    for number in range(count):
        data = bytearray(chance.choice(whole))
        for _ in range(chance.choice((1, 1, 3, 20))):
            _spoil(data, chance)
        yield f"mutant {number}", bytes(data)


def _spoil(data, chance):
    at = chance.randrange(len(data))
    length = chance.randrange(1, 40)
    kind = chance.randrange(5)
    if kind == 0:
        data[at] = chance.randrange(256)
    elif kind == 1:
        del data[at : at + length]
    elif kind == 2:
        data[at:at] = data[at : at + length] * chance.randrange(1, 50)
    elif kind == 3:
        data[at:at] = chance.choice((b"-1e9", b"999999999999", b"null", b"[]", b"<<>>", b"/", b"(", b"\0", b"0 R"))
    else:
        found = re.search(rb"\d+", data[at:])
        if found:
            data[at + found.start() : at + found.end()] = chance.choice((b"0", b"-1", b"65536", b"9" * 30))


def outcome(data):
    """What came of one file, and the seconds of the processor that it took."""
    start = time.process_time()
    try:
        read(data, ignore=IGNORED)
        told = "read"
    except StampwrightError as refusal:
        told = refusal.refusals[0].code
    return told, time.process_time() - start


def peak_mb():
    """Of this process, since it was last set back."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(re.search(r"VmHWM:\s*(\d+) kB", status)[1]) / 1024


def alone(name, make):
    """One bomb in a child, so that its peak is its own, and that of making it is not counted."""
    data = make()
    read_end, write_end = os.pipe()
    if os.fork() == 0:
        Path("/proc/self/clear_refs").write_text("5", encoding="ascii")  # sets the peak back to what is held now
        before = peak_mb()
        told, spent = outcome(data)
        os.write(write_end, json.dumps([name, told, spent, peak_mb() - before]).encode())
        os._exit(0)
    os.wait()
    os.close(write_end)
    with os.fdopen(read_end, "rb") as told:
        return json.loads(told.read() or json.dumps([name, "crash", 0, 0]))


if __name__ == "__main__":
    import stampwright.artwork.pdf  # noqa: F401  loaded before a child is forked, as a slot does

    if sys.argv[1] == "bombs":
        found = [alone(name, make) for name, make in BOMBS.items()]
    else:
        found = [(name, *outcome(data), 0.0) for name, data in mutants(int(sys.argv[2]))]
    sys.stdout.write(json.dumps({"found": found, "peak_mb": peak_mb()}))
