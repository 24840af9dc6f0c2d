"""Text with the fonts that come with it: held against a browser's drawing of each, and refused by name beyond that.

The pictures in `tests/lettering/drawn` are Chromium's; `tests/lettering` makes them.
"""

import pytest

from lettered import (
    DRAWN,
    FACES,
    TEXTS,
    astray_px,
    coverage,
    dejavu,
    drawing,
    drawn_by_browser,
    drawn_by_resvg,
    noto,
    read,
    rule,
)
from stampwright.artwork import read_artwork
from stampwright.base import ArtworkError, TooComplex
from stampwright.job import ArtworkChoice

FINE_PX = 0.08  # mean distance of the outlines, of a picture of 480 px; the browser rounds ascents to whole pixels
TOLD = {"outside-page", "text-off-path"}  # letters beyond the page or the path are lost in the browser as well


@pytest.mark.parametrize("name", TEXTS)
def test_a_text_is_set_as_a_browser_sets_it(name):
    mark = read(TEXTS[name])
    assert astray_px(drawn_by_browser(name), coverage(mark)) < FINE_PX
    assert {notice.code for notice in (*mark.repaired, *mark.left_out)} <= TOLD


def alone(body, *rules):
    """Read a drawing that brings its fonts in a style sheet, with none beside it."""
    return beside(f"<style>{''.join(rules)}</style>{body}")


# The browser's pictures were drawn with these very rules
@pytest.mark.parametrize(
    ("name", "faces"),
    [
        ("plain", FACES[:1]),
        ("illustrator", FACES[1:2]),
        ("variable-weight", FACES[2:3]),
        ("variable-italic", FACES[3:]),
    ],
)
def test_a_font_that_the_drawing_brings_along_is_used_as_the_browser_uses_it(name, faces):
    mark = alone(TEXTS[name], *(rule(*face) for face in faces))
    assert astray_px(drawn_by_browser(name), coverage(mark)) < FINE_PX
    assert not (*mark.repaired, *mark.left_out)


PLAIN = '<text x="20" y="120">Hive</text>'
HIVE = '<text x="20" y="120" font-family="Apis">Hive</text>'


def beside(body, *fonts):
    return read_artwork(drawing(body).encode(), ArtworkChoice(), scale_of=lambda _box: 1.0, fonts=fonts)


def test_an_embedded_font_is_found_under_the_name_that_the_drawing_gives_it():
    own = beside(PLAIN, dejavu()).ink
    assert alone(HIVE, rule("DejaVu Sans", "font-family:Apis")).ink.equals(own)
    with pytest.raises(ArtworkError, match="text-not-outlined"):
        alone(PLAIN, rule("DejaVu Sans", "font-family:Apis"))


def test_an_embedded_font_goes_before_one_of_its_name_that_is_sent():
    sheet = f"<style>{rule('DejaVu Sans', 'font-family:Noto Sans')}</style>"
    text = '<text x="20" y="120" font-family="Noto Sans">Hive</text>'
    assert beside(sheet + text, noto()).ink.equals(beside(PLAIN, dejavu()).ink)


def test_a_font_outside_the_file_is_not_fetched():
    with pytest.raises(ArtworkError, match="text-not-outlined"):
        alone(HIVE, "@font-face{font-family:Apis;src:url(https://fonts.example/apis.woff2)}")


@pytest.mark.parametrize("data", ["AAEAAA==", "%%%", "xx", ""])
def test_a_broken_embedded_font_is_refused_or_as_good_as_none(data):
    with pytest.raises(ArtworkError) as refusal:
        alone(HIVE, f"@font-face{{font-family:Apis;src:url(data:font/ttf;base64,{data})}}")
    assert refusal.value.refusals[0].code in {"font-unreadable", "text-not-outlined"}


def test_embedded_fonts_are_counted_with_those_sent():
    with pytest.raises(TooComplex, match="too-many-fonts"):
        alone(HIVE, rule("DejaVu Sans", "font-family:Apis"), *["@font-face{font-family:B;src:url(data:,x)}"] * 4)


def test_embedded_fonts_that_no_text_asks_for_are_not_opened():
    assert not alone(BAR, *["@font-face{font-family:B;src:url(data:,x)}"] * 9).ink.is_empty


def test_every_picture_is_of_a_text():
    assert {path.stem for path in DRAWN.iterdir()} == set(TEXTS)


ALONE = [
    "aligned-text",
    "closer",
    "shifted-text",
    "arc-path",
    "figures",
    "illustrator",
    "lower-upper",
    "marks-in-span",
    "spaced-variants",
    "alignment",
    "anchor-dx",
    "baseline-inherited",
    "bolder",
    "dx-in-ligature",
    "feature-settings",
    "fill-rule",
    "larger",
    "letter-spacing",
    "letter-spacing-anchor",
    "middle",
    "no-ligatures",
    "on-path-baseline",
    "on-path-length",
    "on-path-middle",
    "on-path-ligature",
    "on-path-rotate",
    "on-path-spaced",
    "on-path-then",
    "on-path-two",
    "on-path-x",
    "on-path-y",
    "opacity",
    "optimize-speed",
    "pre-lines",
    "ring-path",
    "rotated-baseline",
    "shorthand",
    "spans-kern",
    "spans-plain",
    "text-length-anchor",
    "text-length-glyphs-stroke",
    "text-length-lists",
    "text-length-nested",
    "text-length-percent",
    "units",
    "uppercase",
    "variable-overlap",
    "variable-width",
    "white-space-pre",
]  # where the second renderer reads less of CSS, or parts with browsers: what they do is taken


@pytest.mark.parametrize("name", sorted(set(TEXTS) - set(ALONE)))
def test_a_second_renderer_agrees(name):
    assert astray_px(drawn_by_resvg(TEXTS[name]), coverage(read(TEXTS[name]))) < FINE_PX


def refused(body, *fonts, ignore=()):
    choice = ArtworkChoice(ignore=frozenset(ignore))
    with pytest.raises(ArtworkError) as refusal:
        read_artwork(drawing(body).encode(), choice, scale_of=lambda _box: 1.0, fonts=fonts or [dejavu()])
    return refusal.value.refusals[0]


BAR = '<rect x="20" y="180" width="200" height="20"/>'
REFUSED = [  # what is drawn, its code, and what the words name
    ('<text y="90" font-family="Lora, serif">Hive</text>', "text-not-outlined", "Lora"),
    ('<text y="90" font-family="sans-serif">Hive</text>', "text-not-outlined", "DejaVu Sans"),
    ('<text y="90" font-family="7, 8">Hive</text>', "text-not-outlined", "no font by name"),
    ('<text y="90">蜂 box</text>', "glyph-missing", "U+8702"),
    ('<text y="90">a\u0378b</text>', "glyph-missing", "U+0378"),
    ('<text y="90">Hive שלום</text>', "text-direction", "Hive"),
    ('<text y="90">عسل</text>', "text-direction", "عسل"),
    ('<text y="90" direction="rtl">Hive</text>', "text-direction", "Hive"),
    ('<text y="90">a<tspan style="direction: rtl">b</tspan></text>', "text-direction", "ab"),
    ('<text y="90">a\u202eb</text>', "text-direction", "a"),
    ('<text y="90" font-variant="small-caps">Hive</text>', "text-style", "small-caps"),
    ('<text y="90" style="font: small-caps 40px DejaVu Sans">Hive</text>', "text-style", "small-caps"),
    ('<text y="90" writing-mode="tb">Hive</text>', "text-style", "writing-mode: tb"),
    ('<text y="90" style="writing-mode: vertical-rl">Hive</text>', "text-style", "vertical-rl"),
    ('<text y="90" style="text-transform: capitalize">hive</text>', "text-style", "capitalize"),
    ('<path id="c" d="M0 90h400"/><text><textPath href="#c" side="right">Hive</textPath></text>', "text-style", "side"),
    (
        '<path id="c" d="M0 90h9"/><text><textPath href="#c" method="stretch">H</textPath></text>',
        "text-style",
        "method",
    ),
]


@pytest.mark.parametrize(("body", "code", "word"), REFUSED, ids=[f"{row[1]}-{i}" for i, row in enumerate(REFUSED)])
def test_what_is_not_set_is_refused_by_name(body, code, word):
    refusal = refused(body)
    assert refusal.code == code
    assert refusal.element.startswith("/svg/text[1]")
    assert word in refusal.detail


@pytest.mark.parametrize(("body", "code", "word"), REFUSED, ids=[f"{row[1]}-{i}" for i, row in enumerate(REFUSED)])
def test_what_refuses_can_be_left_out_by_name(body, code, word):
    choice = ArtworkChoice(ignore=frozenset({code}))
    mark = read_artwork(drawing(body + BAR).encode(), choice, scale_of=lambda _box: 1.0, fonts=[dejavu()])
    (notice,) = mark.left_out
    assert (notice.code, word in notice.says) == (code, True)
    assert mark.ink.bounds == pytest.approx((2, 18, 22, 20), abs=0.01) or "<path" in body


NOTICED = [  # what is drawn, the notice, and what its words name
    ('<text y="90" x="9" font-weight="700">Hive</text>', "font-substituted", "weight 400 for 700"),
    ('<text y="90" x="9" font-style="italic">Hive</text>', "font-substituted", "upright for italic"),
    ('<text y="90" x="9" font-stretch="50%">Hive</text>', "font-substituted", "width 100 % for 50 %"),
    ('<text y="90" x="9" text-decoration="underline">Hive</text>', "text-decoration", "underline"),
    ('<g style="text-decoration-line: line-through"><text y="90" x="9">Hive</text></g>', "text-decoration", "through"),
    ('<text y="90" x="9">H<tspan baseline-shift="super">2</tspan></text>', "baseline-approximate", "super"),
    ('<text y="90" x="9" dx="1 a">Hive</text>', "bad-value", "dx"),
    ('<text y="90" x="9" rotate="9deg">Hive</text>', "bad-value", "rotate"),
    ('<text y="90" x="9" letter-spacing="wide">Hive</text>', "bad-value", "letter-spacing"),
    ('<text y="90" x="9">H<textPath href="#no">x</textPath></text>', "broken-reference", "#no"),
    ('<text y="90" x="9">H<tref href="#no"/></text>', "unknown-element", "tref"),
    ('<text y="90" x="9">H<tspan clip-path="url(#no)">x</tspan></text>', "clip-ignored", "clip-path"),
    ('<text y="90" x="9" style="font: large">Hive</text>', "css-ignored", "font"),
    ('<text y="90" x="9" font-weight="heavy">Hive</text>', "bad-value", "heavy"),
    ('<text y="90" x="9" font-style="bold">Hive</text>', "bad-value", "bold"),
    ('<text y="90" x="9" text-anchor="center">Hive</text>', "bad-value", "center"),
    ('<text y="90" x="9" dominant-baseline="low">Hive</text>', "bad-value", "low"),
    ('<g font-stretch="much"><text y="90" x="9" font-weight="bolder">Hive</text></g>', "bad-value", "much"),
    ('<g font-weight="heavy"><text y="90" x="9" font-weight="bolder">Hive</text></g>', "font-substituted", "700"),
]


@pytest.mark.parametrize(("body", "code", "word"), NOTICED, ids=[f"{row[1]}-{i}" for i, row in enumerate(NOTICED)])
def test_what_is_set_otherwise_is_told(body, code, word):
    mark = read(body)
    said = {notice.code: notice for notice in (*mark.repaired, *mark.left_out)}
    assert word in said[code].says


@pytest.mark.parametrize("empty", ["<text/>", '<text x="9"> </text>', "<text><tspan/></text>"])
def test_a_text_without_letters_lets_nothing_through_a_clip_path(empty):
    clip = f'<clipPath id="c">{empty}<path d="M9 9h20v20h-20z"/></clipPath>'
    assert read(f'{clip}<path d="M0 0h99v99z" transform="scale(2)" clip-path="url(#c)"/>').ink.area == pytest.approx(
        read('<path d="M18 18h40v40z"/>').ink.area
    )


def test_letters_off_their_path_are_counted():
    body = '<path id="c" d="M9 90h100" fill="none"/><text><textPath href="#c">Beekeepers</textPath></text>'
    (notice,) = read(body).left_out
    assert (notice.code, notice.count) == (
        "text-off-path",
        7,
    )  # 48 px letters of some 29 px: B, e, e have their middle on it


@pytest.mark.parametrize(("weight", "found"), [(400, "400"), (600, "600"), (950, "900")])
def test_a_variable_font_is_taken_at_the_weight_asked_for_or_the_nearest_it_has(weight, found):
    body = f'<text y="150" x="9" font-size="120" font-family="Noto Sans" font-weight="{weight}">H</text>'
    said = [notice.says for notice in read(body).repaired]
    assert said == ([] if str(weight) == found else [said[0]])
    assert all(f"weight {found} for {weight}" in words for words in said)


def test_a_font_named_in_full_is_the_one_that_is_meant():
    mark = read('<text y="90" x="9" font-family="DejaVuSans" font-weight="700">Hive</text>')
    assert mark.repaired == ()


def test_text_that_does_not_show_asks_for_no_font():
    hidden = '<text y="90" font-family="Lora" visibility="hidden">a</text>'
    assert read(hidden + hidden.replace('visibility="hidden"', 'fill="none"') + BAR).left_out == ()


def test_properties_of_text_say_nothing_where_there_is_none():
    odd = 'font-family="7" font-weight="heavy" font-stretch="much" letter-spacing="wide" writing-mode="tb"'
    mark = read(f'<g {odd} style="font-variant: small-caps; text-decoration: underline">{BAR}</g>')
    assert (*mark.repaired, *mark.left_out) == ()


def test_fonts_that_no_text_asks_for_are_not_opened():
    mark = read_artwork(drawing(BAR).encode(), ArtworkChoice(), scale_of=lambda _box: 1.0, fonts=[b"no font"])
    assert mark.ink.area == pytest.approx(40)


def test_text_without_fonts_is_refused_as_before():
    with pytest.raises(ArtworkError) as refusal:
        read_artwork(drawing('<text y="90">Hive</text>').encode(), ArtworkChoice(), scale_of=lambda _box: 1.0)
    assert refusal.value.refusals[0].code == "text-not-outlined"


def test_the_first_font_that_answers_is_taken():
    both = read_artwork(
        drawing(TEXTS["plain"]).encode(), ArtworkChoice(), scale_of=lambda _box: 1.0, fonts=[noto(), dejavu()]
    )
    alone = read_artwork(drawing(TEXTS["plain"]).encode(), ArtworkChoice(), scale_of=lambda _box: 1.0, fonts=[dejavu()])
    assert both.ink.equals_exact(alone.ink)
