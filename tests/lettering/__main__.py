"""Draws the texts of `lettered` with Chromium: `python tests/lettering [name ...]`.

Each is drawn eight times as large as it is kept, so that glyphs are filled as paths, without hinting and without being
set to whole pixels, and then averaged down. The fonts come as data, so nothing of the machine's is used.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1]))
from lettered import DRAWN, FACES, HEIGHT, IN_WORDS, WIDTH, rule

FACTOR = 8
QUIET = "--headless=new --no-sandbox --disable-gpu --hide-scrollbars --disable-background-networking --disable-sync"
QUIET += " --disable-component-update --no-first-run --force-device-scale-factor=1 --disable-lcd-text"
QUIET += " --font-render-hinting=none --virtual-time-budget=10000"


def page(svg):
    """A page that holds nothing but the drawing, enlarged."""
    rules = "".join(rule(name, words) for name, words in FACES if name.split(" ")[0] in svg)
    sized = svg.replace('width="48mm" height="24mm"', f'width="{WIDTH * FACTOR}" height="{HEIGHT * FACTOR}"')
    return (
        f'<html xmlns="http://www.w3.org/1999/xhtml"><head><title>t</title><style>{rules} body{{margin:0}}'
        f"svg{{display:block}}</style></head><body>{sized}</body></html>"
    )


def draw(name):
    with tempfile.TemporaryDirectory() as folder:
        source, shot = Path(folder, "page.xhtml"), Path(folder, "shot.png")
        source.write_text(page(IN_WORDS[name]), encoding="utf-8")
        command = ["chromium", *QUIET.split(), f"--user-data-dir={folder}/profile", f"--screenshot={shot}"]
        size = f"--window-size={WIDTH * FACTOR},{HEIGHT * FACTOR}"
        subprocess.run([*command, size, source.as_uri()], check=True, capture_output=True, timeout=120)  # noqa: S603
        small = Image.open(shot).convert("L").resize((WIDTH, HEIGHT), Image.Resampling.BOX)
        small.save(DRAWN / f"{name}.png", optimize=True)


if __name__ == "__main__":
    for each in sys.argv[1:] or IN_WORDS:
        draw(each)
        sys.stdout.write(f"{each}\n")
