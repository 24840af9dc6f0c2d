"""Fonts as they come: every packing gives the same letters, and one that is broken or made to hurt is refused."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
import uharfbuzz as hb
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont
from fontTools.ttLib.woff2 import woff2KnownTags
from hypothesis import given, settings
from hypothesis import strategies as st

import font_files
from font_files import (
    KINDS,
    WORDS,
    accented,
    broken,
    cff,
    composite_bomb,
    light,
    optical,
    packed,
    small,
    substitution_bomb,
    woff2_bomb,
    woff_bomb,
)
from lettered import TEXTS, dejavu, drawing, noto
from stampwright.artwork import read_artwork
from stampwright.artwork.lettering.woff2 import KNOWN_TAGS, from_woff2
from stampwright.base import ArtworkError, StampwrightError
from stampwright.job import ArtworkChoice

ROOM_MB = 300
READER = Path(font_files.__file__).with_name("font_bombs.py")
LETTERS = '<text x="9" y="90" {}>Apis mellifera</text><text x="9" y="180" {}>Hive 7 office AV</text>'
BOTH = 'font-family="DejaVu Sans, Noto Sans"'


def ink(body, *fonts, chord_mm=0.002):
    choice = ArtworkChoice(chord_mm=chord_mm)
    return read_artwork(drawing(body).encode(), choice, scale_of=lambda _box: 1.0, fonts=fonts).ink


@pytest.mark.parametrize("kind", ["otf", "ttc", "woff", "woff2"])
def test_every_packing_gives_the_same_letters(kind):
    body = LETTERS.replace("{}", "")
    astray = ink(body, KINDS[kind]()).symmetric_difference(ink(body, small()))
    assert astray.area < (1e-9 if kind != "otf" else 0.001 * ink(body, small()).area)  # its cubics are in whole units


@pytest.mark.parametrize("kind", ["woff", "woff2"])
def test_a_variable_font_keeps_its_axes_however_it_is_packed(kind):
    body = LETTERS.replace("{}", 'font-family="Noto Sans" font-weight="650"')
    astray = ink(body, packed(kind, small(noto))).symmetric_difference(ink(body, small(noto)))
    assert astray.area < 1e-9


@pytest.mark.parametrize(
    ("size", "style", "opsz"),
    [
        (24, "", 24),  # Chromium sets the axis to the size in px of the drawing, whatever the drawing is scaled by
        (48, "", 48),
        (96, "", 96),
        (48, "font-optical-sizing: none", 10),
        (48, "font-variation-settings: 'opsz' 70", 70),
        (200, "", 110),
    ],
)
def test_letters_are_drawn_for_their_size(size, style, opsz):
    found = ink(f'<text x="9" y="220" font-size="{size}" style="{style}">H</text>', optical()).bounds[3]
    assert found == pytest.approx(22 - (opsz - 10) * 10 / 2048 * size / 10, abs=1e-3)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ('font-family="Apiary" font-weight="300"', []),
        ('font-family="Apiary Light"', []),  # a group of four: its regular one is the light one
        ('font-family="Apiary-Light" font-weight="700"', []),
        ('font-family="Apiary"', ["weight 300 for 400"]),
        ('font-family="Apiary Light" font-weight="700"', ["weight 400 for 700"]),
    ],
)
def test_a_family_is_what_its_name_means(asked, said):
    mark = read_artwork(
        drawing(f'<text x="9" y="90" {asked}>Hive</text>').encode(),
        ArtworkChoice(),
        scale_of=lambda _box: 1.0,
        fonts=[light()],
    )
    assert [words for notice in mark.repaired for words in said if words in notice.says] == said
    assert len(mark.repaired) == len(said)


def outlines(data):
    """What the shaper knows of every glyph, in order."""
    font = hb.Font(hb.Face(hb.Blob(data)))
    for glyph in range(font.face.glyph_count):
        pen = RecordingPen()
        font.draw_glyph_with_pen(glyph, pen)
        yield pen.value, font.get_glyph_h_advance(glyph), font.get_glyph_extents(glyph)


@pytest.mark.parametrize("make", [accented, lambda: small(noto), cff], ids=["accented", "variable", "otf"])
def test_every_glyph_comes_out_of_a_woff2_as_it_went_in(make):
    looked_at = []
    found = from_woff2(packed("woff2", make()), lambda limit, _size: looked_at.append(limit))
    assert list(outlines(found)) == list(outlines(make()))
    assert looked_at[0] == "font_unpacked"


def test_the_tags_that_woff2_knows_are_in_its_order():
    assert tuple(tag.encode() for tag in woff2KnownTags) == KNOWN_TAGS


def test_a_font_that_is_no_font_is_refused_by_its_place():
    with pytest.raises(ArtworkError) as refusal:
        ink(TEXTS["plain"], dejavu(), b"%!PS-AdobeFont-1.0: Lora")
    assert [(r.code, r.pointer) for r in refusal.value.refusals] == [("font-unreadable", "/font/1")]


@pytest.mark.parametrize("kind", KINDS)
def test_a_broken_font_is_read_or_refused(kind):
    body = LETTERS.replace("{}", BOTH)
    outcomes = {outcome(body, broken(KINDS[kind](), seed)) for seed in range(300)}
    assert {"read", "font-unreadable"} <= outcomes
    assert outcomes <= {"read", "font-unreadable", "font-too-large", "text-not-outlined", "glyph-missing", "no-ink"}


def outcome(body, *fonts):
    try:
        ink(body, *fonts, chord_mm=0.02)
    except StampwrightError as refusal:
        return refusal.refusals[0].code
    return "read"


BOMBS = {
    "a WOFF that says so": (lambda: woff_bomb(honest=True), "font-too-large"),
    "a WOFF that lies": (lambda: woff_bomb(honest=False), "font-unreadable"),
    "a WOFF2 that says so": (lambda: woff2_bomb(honest=True), "font-too-large"),
    "a WOFF2 that lies": (lambda: woff2_bomb(honest=False), "font-unreadable"),
    "glyphs within glyphs": (composite_bomb, "glyph-missing"),
    "letters without end": (substitution_bomb, "font-unreadable"),
}


def test_no_bomb_takes_more_than_its_room(tmp_path):
    for name, (make, _) in BOMBS.items():
        (tmp_path / name).write_bytes(make())
    told = subprocess.run([sys.executable, READER, tmp_path], capture_output=True, check=True)  # noqa: S603
    found = json.loads(told.stdout)
    assert found["codes"] == {name: code for name, (_, code) in BOMBS.items()}
    assert found["peak_mb"] < ROOM_MB


EXTREME = [
    'rotate="1e999"',
    'x="1e999"',
    'x="1e308 -1e308"',
    'dx="1e308 1e308"',
    'textLength="1e308"',
    'textLength="0" lengthAdjust="spacingAndGlyphs"',
    'font-size="1e308"',
    'font-size="0"',
    'letter-spacing="1e308"',
    'letter-spacing="-1e308" text-anchor="end"',
    "style=\"font-variation-settings: 'wght' 1e999\"",
    "style=\"font-variation-settings: 'wght' nan\"",
    "style=\"font-feature-settings: 'liga' 99999999999\"",
    'baseline-shift="1e308"',
]
STRANGE = [
    '<path id="c" d="M0 0L1e308 0"/><text><textPath href="#c">Hive</textPath></text>',
    '<path id="c" d="M0 0"/><text><textPath href="#c">Hive</textPath></text>',
    '<path id="c" d="M9 9h300" pathLength="1e-308"/><text><textPath href="#c" startOffset="1">Hive</textPath></text>',
    '<text id="t"><textPath href="#t">Hive</textPath></text>',
    "<text>" + "<tspan>" * 60 + "Hive" + "</tspan>" * 60 + "</text>",
    "<text>" + '<tspan textLength="9">H</tspan>' * 1900 + "</text>",
    '<text id="t">' + "<tspan/>" * 15_000 + '</text><use href="#t"/><use href="#t"/>',
    "<text>" + "H" * 2_001 + "</text>",
    "<text>" + "e" + "\u0301" * 500 + "</text>",
    '<defs><text id="t">Apis</text></defs>' + '<use href="#t"/>' * 600,
    '<defs><text id="t" x="' + "1 " * 200_000 + '">Apis</text></defs>' + '<use href="#t"/>' * 400,
    "<text>" + "H " * 900_000 + "</text>",
]


@pytest.mark.parametrize("body", [f'<text y="90" {each}>Hive</text>' for each in EXTREME] + STRANGE, ids=range(26))
def test_extremes_are_set_or_refused(body):
    known = {"read", "no-ink", "coordinate-range", "too-many-letters", "too-many-elements", "too-tangled"}
    assert outcome(body, dejavu()) in known


ASKED = (
    *("x", "y", "dx", "dy", "rotate", "textLength", "lengthAdjust", "font-size", "letter-spacing", "word-spacing"),
    *("text-anchor", "dominant-baseline", "alignment-baseline", "baseline-shift", "font-family", "font-weight", "font"),
    *("font-style", "font-stretch", "font-kerning", "font-variation-settings", "font-feature-settings", "white-space"),
    *("direction", "writing-mode", "text-transform", "text-decoration", "font-variant", "font-variant-numeric", "lang"),
)
NUMBERS = ["", " ", "7", "-7", "1e999", "-1e308", "nan", "50%", "2em", "3ex", "1,2", "1 2 3 4 5"]
WORDS_OF_CSS = ["none", "normal", "inherit", "unset", "bolder", "middle", "super", "italic 9px x", '"', "x" * 50]
FUNCTIONS = ["'wght' 9e9", "'liga' on", "url(#c)", "var(--a)", "calc(1px)"]
ODD = st.sampled_from(NUMBERS + WORDS_OF_CSS + FUNCTIONS)
KNOWN = {"read", "no-ink", "coordinate-range", "text-not-outlined", "text-style"}


@settings(max_examples=150)
@given(st.lists(st.tuples(st.sampled_from(ASKED), ODD), min_size=1, max_size=4), st.booleans())
def test_whatever_is_asked_of_a_text_is_set_or_refused(asked, by_style):
    quoted = [(name, value.replace('"', "&quot;")) for name, value in dict(asked).items()]
    said = "style='{}'".format(";".join(f"{n}:{v}" for n, v in quoted).replace("'", "&apos;")) if by_style else ""
    said = said or " ".join(f'{name}="{value}"' for name, value in quoted)
    body = f'<path id="c" d="M9 90h300"/><text {said}>Hi <tspan {said}>ve</tspan></text>'
    assert outcome(body + f'<text {said}><textPath href="#c" {said}>Hi</textPath></text>', small()) in KNOWN


PLACES = st.lists(st.integers(0, 400), min_size=4, max_size=4)
WORD = st.text(st.sampled_from(sorted(set(WORDS) - {" "})), min_size=4, max_size=4)


@settings(max_examples=25)
@given(WORD, PLACES, st.integers(-90, 90))
def test_letters_placed_one_by_one_are_single_letters(word, places, turn):
    whole = f'<text y="120" x="{" ".join(map(str, places))}" rotate="{turn}">{word}</text>'
    single = "".join(
        f'<text y="120" x="{x}" rotate="{turn}">{sign}</text>' for sign, x in zip(word, places, strict=True)
    )
    assert ink(whole, small()).symmetric_difference(ink(single, small())).area < 1e-6


@settings(max_examples=25)
@given(WORD, st.integers(-10, 30), st.booleans())
def test_the_middle_is_halfway_between_start_and_end(word, spacing, stretched):
    more = f'letter-spacing="{spacing}"' + (' textLength="150"' if stretched else "")
    start, middle, end = (
        ink(f'<text x="240" y="120" text-anchor="{anchor}" {more}>{word}</text>', small()).bounds
        for anchor in ("start", "middle", "end")
    )
    assert middle == pytest.approx([(a + b) / 2 for a, b in zip(start, end, strict=True)], abs=1e-3)


@settings(max_examples=25)
@given(WORD, st.sampled_from([0.25, 0.5, 2.0]))
def test_a_size_is_a_scale(word, scale):
    sized = ink(f'<text x="20" y="100" font-size="{48 * scale}">{word}</text>', small())
    scaled = ink(f'<g transform="scale({scale})"><text x="{20 / scale}" y="{100 / scale}">{word}</text></g>', small())
    assert sized.symmetric_difference(scaled).area < 1e-6


def test_the_small_font_is_the_whole_one():
    assert set(map(ord, WORDS)) <= set(TTFont(font_files.io.BytesIO(small())).getBestCmap())
