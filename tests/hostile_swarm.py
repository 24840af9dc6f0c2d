"""Any number of hostile drawings, the same at every run: each kind with its measures drawn by lot."""

from __future__ import annotations

import itertools
import random

from hostile_marks import BEYOND, HOSTILE, svg
from stampwright.demo.marks import demo_marks

MARKS = [mark.svg for mark in demo_marks().values()]
HUGE = ["1e308", "-1e308", "1e-320", "NaN", "inf", BEYOND, "1e", "0x10", "--1", "١٢"]


def _entity_bomb(lot):
    levels, wide = lot.randint(2, 12), lot.randint(2, 30)
    declared = "".join(f'<!ENTITY e{i} "{f"&e{i - 1};" * wide}">' for i in range(1, levels))
    return f'<!DOCTYPE svg [<!ENTITY e0 "{"a" * lot.randint(1, 9999)}">{declared}]>' + svg(
        f"<title>&e{levels - 1};</title>"
    )


def _nesting(lot):
    name, deep = lot.choice(["g", "svg", "a", "switch", "defs", "symbol"]), lot.randint(50, 100_000)
    return svg(f"<{name}>" * deep + '<path d="M1 1h9v9z"/>' + f"</{name}>" * deep)


def _references(lot):
    kind, attribute = lot.choice(
        [("mask", "mask"), ("clipPath", "clip-path"), ("pattern", "fill"), ("marker", "marker-mid")]
    )
    count = lot.randint(1, 60)
    links = (
        f'<{kind} id="d{i}"><path {attribute}="url(#d{lot.randrange(count)})" d="M0 0h9v9L3 3z"/></{kind}>'
        for i in range(count)
    )
    return svg("".join(links) + f'<path {attribute}="url(#d0)" d="M1 1h9v9z"/>')


def _uses(lot):
    levels, each = lot.randint(2, 12), lot.randint(2, 12)
    groups = (f'<g id="u{i}">' + f'<use href="#u{i - 1}" x="1"/>' * each + "</g>" for i in range(1, levels))
    return svg(f'<defs><path id="u0" d="M0 0h1v1z"/>{"".join(groups)}</defs><use href="#u{levels - 1}"/>')


def _numbers(lot):
    name = lot.choice(["x", "y", "width", "height", "rx", "transform", "stroke-width", "stroke-miterlimit", "style"])
    value = lot.choice(HUGE)
    worded = {"transform": f"scale({value})", "style": f"stroke-width:{value};opacity:{value}"}.get(name, value)
    return svg(
        f'<g {name}="{worded}"><path stroke="#000" {name}="{worded}" d="M1 1h9v9z"/></g><rect {name}="{worded}"/>'
    )


def _path(lot):
    letters = "MmLlHhVvCcSsQqTtAaZz"
    words = (
        lot.choice(letters) + " ".join(_figure(lot) for _ in range(lot.randint(0, 8)))
        for _ in range(lot.randint(1, 400))
    )
    return svg(f'<path stroke="#000" d="M1 1{" ".join(words)}"/>')


def _figure(lot):
    return lot.choice(HUGE) if lot.random() < 0.02 else f"{lot.uniform(-40, 40):.{lot.randint(0, 9)}f}"


def _points(lot):
    count = lot.choice([1_000, 20_000, 300_000, 1_000_000])
    step = lot.choice(["h1v1", "1 1 ", "l.1-.1", "h0"])
    return svg(f'<path d="M0 0{step * count}z"/>')


def _dashes(lot):
    length, gap = 10 ** lot.uniform(-12, 0), 10 ** lot.uniform(-12, 0)
    return svg(
        f'<path stroke="#000" stroke-dasharray="{length:g} {gap:g}" d="M0 0h30v20{"q9 9 1 2" * lot.randint(0, 99)}"/>'
    )


def _scribble(lot):
    places = (f"{lot.uniform(0, 30):.3f} {lot.uniform(0, 20):.3f}" for _ in range(lot.randint(50, 4_000)))
    pen = lot.choice(["", 'fill="none" stroke="#000" stroke-width=".3"', 'fill-rule="evenodd"'])
    return svg(f'<path {pen} d="M{" ".join(places)}z"/>')


def _styles(lot):
    selector = lot.choice(["g>path~path", "*:not(path)", "[d^='M']", ":is(g,path) *", "path:nth-child(2n+1)"])
    rules = f"{selector},".join("g" for _ in range(lot.randint(10, 3_000)))
    return svg(
        f"<style>{rules}{{fill:{lot.choice(['red', 'url(#a)', 'rgb(', '}'])}}}</style>"
        + "<g><path/></g>" * lot.randint(1, 3_000)
    )


def _broken(lot):
    mark = bytearray(lot.choice(MARKS))
    for _ in range(lot.randint(1, 30)):
        at = lot.randrange(len(mark))
        if lot.random() < 0.5:
            mark[at] = lot.randrange(256)
        else:
            del mark[at : at + lot.randint(1, 200)]
            mark = mark or bytearray(b"<")
    return bytes(mark)


def _encoding(lot):
    mark = lot.choice(MARKS).decode()
    said = lot.choice(["utf-8", "utf-16", "utf-32", "latin-1", "koi8-r", "utf-7", "shift-jis", "hive-8"])
    really = lot.choice(["utf-8", "utf-16", "utf-16-be", "utf-32", "latin-1", "utf-7", "cp037"])
    return f'<?xml version="1.0" encoding="{said}"?>{mark}'.encode(really, "replace")


def _known(lot):
    return lot.choice(sorted(HOSTILE.items()))[1]


KINDS = {
    kind.__name__.removeprefix("_"): kind
    for kind in (
        *(_entity_bomb, _nesting, _references, _uses, _numbers, _path, _points, _dashes, _scribble, _styles),
        *(_broken, _encoding, _known),
    )
}


def swarm(count, *, seed=1):
    """`count` drawings as (kind, bytes), the kinds in turn."""
    lot = random.Random(seed)  # noqa: S311  the same drawings at every run
    for name in itertools.islice(itertools.cycle(KINDS), count):
        drawing = KINDS[name](lot)
        yield name, drawing if isinstance(drawing, bytes) else drawing.encode()
