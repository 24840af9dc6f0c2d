"""Drawings that nobody draws: bombs, cycles, numbers beyond all bounds, bytes that are not what they say.

The attacks on the parser are those of published lists (OWASP, "XML Security Cheat Sheet").
"""

from __future__ import annotations

import gzip

NS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
PAGE = 'width="30mm" height="20mm" viewBox="0 0 30 20"'
DISC = '<circle cx="15" cy="10" r="8"/>'


def svg(body: str, *, head: str = PAGE) -> str:
    return f"<svg {NS} {head}>{body}</svg>"


def _entities(declared: str, body: str = "") -> str:
    return f"<!DOCTYPE svg [{declared}]>" + svg(DISC + body)


def _chain(kind: str, attribute: str, *, links: int) -> str:
    """Definitions each of which needs the next one, and the last the first again."""
    defined = (
        f'<{kind} id="d{i}"><path {attribute}="url(#d{(i + 1) % links})" d="M0 0h9v9z"/></{kind}>' for i in range(links)
    )
    return svg(f'<defs>{"".join(defined)}</defs><path {attribute}="url(#d0)" d="M1 1h9v9z"/>')


def _uses(levels: int, each: int) -> str:
    groups = (f'<g id="u{i}">' + f'<use href="#u{i - 1}"/>' * each + "</g>" for i in range(1, levels))
    return svg(f'<defs><path id="u0" d="M0 0h1v1z"/>{"".join(groups)}</defs><use href="#u{levels - 1}"/>')


def _scribble(corners: int) -> str:
    places = (f"{(i * 7919) % 3001 / 100} {(i * 104729) % 2003 / 100}" for i in range(corners))
    return svg(f'<path d="M{" ".join(places)}z"/>')


def _ruled(declarations: str, *, elements: int) -> str:
    return svg(f"<style>*{{{declarations}}}</style>" + "<path/>" * elements + DISC)


def _variables(levels: int, each: int) -> str:
    ruled = (f"--v{i}:" + f"var(--v{i - 1}) " * each for i in range(levels - 1, 0, -1))
    return svg(f"<style>svg{{{';'.join(ruled)};--v0:#000}}</style>" + DISC)


LAUGHS = "".join(f'<!ENTITY l{level} "' + f"&l{level - 1};" * 10 + '">' for level in range(1, 10))
ENTITIES = {
    "a thousand million laughs": _entities(f'<!ENTITY l0 "ha">{LAUGHS}', "<title>&l9;</title>"),
    "one long entity, often": _entities(f'<!ENTITY a "{"a" * 50_000}">', f"<title>{'&a;' * 50_000}</title>"),
    "an entity of itself": _entities('<!ENTITY a "&b;"><!ENTITY b "&a;">', "<title>&a;</title>"),
    "a file of the server": _entities('<!ENTITY a SYSTEM "file:///etc/passwd">', "<title>&a;</title>"),
    "a parameter entity": _entities('<!ENTITY % a SYSTEM "file:///etc/passwd"> %a;'),
    "an entity not declared": svg(DISC + "<title>&nobody;</title>"),
}

COUNTS = {
    "deep groups": svg("<g>" * 20_000 + "</g>" * 20_000),
    "many attributes": svg("<path " + " ".join(f'a{i}="1"' for i in range(5_000)) + ' d="M0 0h9v9z"/>'),
    "many elements": svg("<g/>" * 70_000),
    "many uses": _uses(9, 10),
    "a path of a million points": svg(f'<path d="M0 0{"h1v1" * 500_000}z"/>'),
    "a long path": svg(f'<path d="M0 0{"h1v1" * 60_000}z"/>'),
    "tiny dashes": svg('<path stroke="#000" stroke-dasharray="1e-9" d="M0 0h30"/>'),
    "a scribble": _scribble(3000),
    "variables in variables": _variables(10, 10),
    "a long chain of variables": _variables(200, 1),
    "variables on every element": _ruled(";".join(f"--v{i}:0" for i in range(1_000)), elements=3_000),
    "rules in rules": svg(f"<style>{'.a{&amp; &amp; &amp;{' * 30}fill:red{'}}' * 30}</style>" + DISC),
    "many rules": svg(f"<style>{'g path:not(.a) ~ path,' * 3_000}a{{fill:red}}</style>" + "<path/>" * 3_000),
}

CYCLES = {
    "a use of itself": svg('<use id="a" href="#a"/>'),
    "a group that uses itself": svg('<g id="a"><use href="#a"/></g>'),
    "two uses of each other": svg('<g id="a"><use href="#b"/></g><g id="b"><use xlink:href="#a"/></g>'),
    "masks in a ring": _chain("mask", "mask", links=3),
}

BEYOND = "9" * 400
NUMBERS = {
    "a path to 1e308": svg('<path d="M0 0H1e308V1e308z"/>'),
    "a path of 400 digits": svg(f'<path d="M0 0H{BEYOND}V9z"/>'),
    "an arc turned beyond all bounds": svg(f'<path d="M0 0A9 5 {BEYOND} 0 1 9 9z"/>'),
    "not a number": svg('<path transform="scale(NaN)" d="M0 0h9v9z" visibility="hidden"/><circle r="NaN"/>'),
    "a path to nowhere": svg('<path d="M NaN NaN L 9 9 0 9z"/>'),
    "a radius": svg('<circle r="1e308"/>'),
    "a scale": svg(f'<path transform="scale({BEYOND})" d="M0 0h9v9z"/>'),
    "a turn": svg(f'<path transform="rotate({BEYOND})" d="M0 0h9v9z"/>'),
    "scales in scales": svg('<g transform="scale(1e60)">' * 8 + '<path d="M1 1h9v9z"/>' + "</g>" * 8),
    "a pen": svg('<path stroke="#000" stroke-width="1e308" d="M0 0h9v9z"/>'),
    "a mitre": svg(
        '<path stroke="#000" stroke-width="9e4" stroke-miterlimit="1e300" d="M0 0H9L0 1e-5" transform="scale(9)"/>'
    ),
    "a view without width": svg(DISC, head='viewBox="0 0 0 20"'),
    "a page without end": svg(DISC, head='width="1e308mm" height="1e308mm" viewBox="0 0 9 9"'),
    "a page without width": svg(DISC, head='width="0" height="20" viewBox="0 0 30 20"'),
}

BROKEN = {
    "a start": "<svg",
    "no end": svg(DISC)[:-3],
    "ends crossed": svg("<g><a></g></a>"),
    "an attribute twice": svg('<path d="" d="M0 0h9v9z"/>'),
    "a prefix of nobody": svg("<who:path/>"),
    "a NUL": svg(DISC + "\0"),
    "two roots": svg(DISC) + svg(DISC),
    "another root": f"<g {NS}>{DISC}</g>",
    "no namespace": f"<svg {PAGE}>{DISC}</svg>",
}

_PLAIN = svg(DISC).encode()
BYTES = {
    "nothing": b"",
    "blanks": b" \n\t",
    "half a character": b"<svg>\xe2\x82</svg>",
    "an encoding of nobody": b'<?xml version="1.0" encoding="hive-8"?>' + _PLAIN,
    "UTF-16 by name only": b'<?xml version="1.0" encoding="UTF-16"?>' + _PLAIN,
    "the wrong half of UTF-16": b"\xff\xfe" + svg(DISC).encode("utf-16-be"),
    "latin without a name": svg("<title>Müller</title>" + DISC).encode("latin-1"),
    "UTF-7": b'<?xml version="1.0" encoding="UTF-7"?>' + _PLAIN,
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(100),
    "a bundle": b"PK\x03\x04" + bytes(100),
    "a gzip bomb": gzip.compress(b"<svg>" + bytes(60_000_000)),
    "gzip in gzip": gzip.compress(gzip.compress(_PLAIN)),
    "half of a gzip": gzip.compress(_PLAIN)[:-20],
    "a gzip of noise": b"\x1f\x8b\x08" + bytes(range(256)),
}

_TEXTS = {**ENTITIES, **COUNTS, **CYCLES, **NUMBERS, **BROKEN}
HOSTILE: dict[str, bytes] = {name: text.encode() for name, text in _TEXTS.items()} | BYTES
"""Each of them must be refused: none leaves anything to print."""
