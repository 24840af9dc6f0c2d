"""Drawings that nobody draws, straight into the reader: each is refused under its own code, at a bounded cost.

The service's own deadline and limits lie around it; here they do not help.
"""

import os
import pickle
import resource
import subprocess
import sys
from pathlib import Path
from xml.parsers import expat

import pytest

from hostile_marks import DISC, HOSTILE, svg
from stampwright.artwork import read_artwork
from stampwright.base import StampwrightError
from stampwright.job import ArtworkChoice

CPU_S, MEMORY_BYTES = 10, 512_000_000  # of any drawing, above what the process has

CODES = {
    "a thousand million laughs": "entity",
    "one long entity, often": "entity",
    "an entity of itself": "entity",
    "a file of the server": "entity",
    "a parameter entity": "entity",
    "an entity not declared": "not-xml",
    "deep groups": "too-deep",
    "many attributes": "too-many-attributes",
    "many elements": "too-many-elements",
    "many uses": "too-many-elements",
    "a path of a million points": "too-many-segments",
    "a long path": "too-many-segments",
    "tiny dashes": "too-many-dashes",
    "a scribble": "too-tangled",
    "variables in variables": "too-many-rules",
    "a long chain of variables": "too-deep",
    "variables on every element": "too-many-rules",
    "rules in rules": "too-many-rules",
    "many rules": "too-many-rules",
    "a path to 1e308": "coordinate-range",
    "a path of 400 digits": "coordinate-range",
    "an arc turned beyond all bounds": "coordinate-range",
    "a radius": "coordinate-range",
    "a scale": "coordinate-range",
    "a turn": "coordinate-range",
    "scales in scales": "coordinate-range",
    "a pen": "coordinate-range",
    "a mitre": "coordinate-range",
    "a page without end": "coordinate-range",
    "a view without width": "page-size",
    "a page without width": "page-size",
    "an encoding of nobody": "bad-encoding",
    "UTF-7": "bad-encoding",
    "a gzip bomb": "too-large",
    "a gzip of noise": "broken-gzip",
    "no namespace": "not-svg",
    "nothing": "empty-file",
    **dict.fromkeys(("a start", "no end", "ends crossed", "an attribute twice", "a prefix of nobody"), "not-xml"),
}
TOLD = {  # what is wrong in them is left out, and the disc beside it is read
    "a use of itself": "use-cycle",
    "a group that uses itself": "use-cycle",
    "two uses of each other": "use-cycle",
    "masks in a ring": "use-cycle",
    "a path to nowhere": "path-syntax",
    "not a number": "transform-ignored",
}


def bounded(drawing):
    """The codes of what is said of a drawing, read in a process that the machine ends when it takes too much."""
    mine, its = os.pipe()
    child = os.fork()
    if not child:
        pages = int(Path("/proc/self/statm").read_text().split()[0])
        most = pages * resource.getpagesize() + MEMORY_BYTES
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
        used = resource.getrusage(resource.RUSAGE_SELF)
        resource.setrlimit(resource.RLIMIT_CPU, (int(used.ru_utime + used.ru_stime) + CPU_S,) * 2)
        try:
            os.write(its, pickle.dumps(codes(drawing)))
        finally:
            os._exit(0)
    os.close(its)
    with os.fdopen(mine, "rb") as answer:
        found = answer.read()
    os.waitpid(child, 0)
    return pickle.loads(found) if found else None  # noqa: S301  written by ourselves


def codes(drawing):
    try:
        mark = read_artwork(drawing, ArtworkChoice(), scale_of=lambda box: 38 / max(box[2] - box[0], box[3] - box[1]))
    except StampwrightError as refused:
        return [refusal.code for refusal in refused.refusals]
    return [notice.code for notice in (*mark.repaired, *mark.left_out)]


@pytest.mark.parametrize("name", CODES)
def test_an_attack_is_refused_under_its_own_code_in_bounded_time_and_memory(name):
    assert bounded(HOSTILE[name]) == [CODES[name]]


@pytest.mark.parametrize("name", TOLD)
def test_what_leads_nowhere_is_told_and_the_rest_is_read(name):
    beside = HOSTILE[name].decode().replace("</svg>", DISC + "</svg>")
    assert TOLD[name] in bounded(beside.encode())


LONG = {
    "a comment": f"<!--{'x' * 3_900_000}-->" + DISC,
    "an attribute": f'<g id="{"x" * 3_900_000}">{DISC}</g>',
}


@pytest.mark.parametrize("what", LONG)
def test_a_long_piece_of_xml_is_read(what):
    assert bounded(svg(LONG[what]).encode()) == []


def test_a_function_of_a_hundred_thousand_arguments_is_none_in_bounded_time():
    turned = f'<g style="transform:translate({"1px," * 300_000}1px)">{DISC}</g>'
    assert bounded(svg(turned).encode()) == bounded(
        svg(f'<g style="transform:translate(1px,1px,1px)">{DISC}</g>').encode()
    )


def test_the_parser_is_fed_once(monkeypatch):  # in pieces it begins a long token each time anew: CVE-2023-52425
    pieces = []

    class Watched:
        def __init__(self, parser):
            self.__dict__["parser"] = parser

        def __getattr__(self, name):
            return getattr(self.parser, name)

        def __setattr__(self, name, value):
            setattr(self.parser, name, value)

        def Parse(self, data, last):  # noqa: N802  the library's name
            pieces.append(len(data))
            return self.parser.Parse(data, last)

    made = expat.ParserCreate
    monkeypatch.setattr(expat, "ParserCreate", lambda *given, **more: Watched(made(*given, **more)))
    drawing = svg(DISC + "<!-- of the hives -->" * 50_000).encode()
    assert codes(drawing) == []
    assert pieces == [len(drawing)]


LURES = (
    '<?xml version="1.0"?><?xml-stylesheet href="http://hives.test/a.css"?>'
    '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://hives.test/svg11.dtd">'
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 30 20"'
    ' onload="fetch(1)"><style>@import url("http://hives.test/b.css");@font-face{font-family:Hive;'
    "src:url(http://hives.test/c.woff2)}rect{fill:url(http://hives.test/d.svg#e)}</style>"
    '<script href="http://hives.test/f.js"/><image href="http://hives.test/g.png" width="9" height="9"/>'
    '<image href="data:image/png;base64,iVBORw0KGgo=" width="9" height="9"/><use href="file:///etc/hostname#h"/>'
    '<use href="http://hives.test/i.svg#j"/><circle cx="15" cy="10" r="8"/>'
    '<foreignObject width="9" height="9"><iframe xmlns="http://www.w3.org/1999/xhtml" src="file:///etc/passwd"/>'
    "</foreignObject></svg>"
)
WATCHED = """
import sys
from stampwright.artwork import read_artwork
from stampwright.job import ArtworkChoice
choice = ArtworkChoice(ignore=frozenset({"raster-image", "foreign-object"}))
drawing = sys.stdin.buffer.read()
read = lambda: read_artwork(drawing, choice, scale_of=lambda _box: 1.0)
read()  # all modules are loaded
events = set()
watched = ("open", "os.", "socket.", "subprocess.", "urllib.", "import", "ctypes.")
sys.addaudithook(lambda event, _: events.add(event) if event.startswith(watched) else None)
mark = read()
print(*sorted(events), round(mark.ink.area))
"""


def test_nothing_is_fetched_decoded_or_run():
    command = [sys.executable, "-c", WATCHED]
    done = subprocess.run(command, input=LURES.encode(), capture_output=True, check=True)  # noqa: S603  our own words
    assert done.stdout.split() == [b"14"]  # px² to mm² of the disc, and no event
