"""Texts of an SVG with the fonts that come with them, and what a browser makes of each.

`python tests/lettering` draws them all with Chromium into `tests/lettering/drawn`.
"""

from __future__ import annotations

import atexit
import base64
import io
import shutil
import tempfile
from functools import cache
from importlib.metadata import distribution
from pathlib import Path

import numpy as np
import resvg_py
from PIL import Image

from stampwright.artwork import read_artwork
from stampwright.job import ArtworkChoice

WIDTH, HEIGHT = 480, 240  # px of each picture, and units of each drawing
DRAWN = Path(__file__).parent / "lettering" / "drawn"


@cache
def dejavu():
    """DejaVu Sans: TrueType with kerning and ligatures, from the package ziafont."""
    return distribution("ziafont").locate_file("ziafont/fonts/DejaVuSans.ttf").read_bytes()


@cache
def noto(style=""):
    """Noto Sans: variable in weight and width, upright or italic, from the package fontpkg-noto-sans."""
    file = f"fontpkg_noto_sans/files/NotoSans{style}[wdth,wght].ttf"
    return distribution("fontpkg-noto-sans").locate_file(file).read_bytes()


FONTS = {"DejaVu Sans": dejavu, "Noto Sans": noto, "Noto Sans Italic": lambda: noto("-Italic")}

FACES = (  # name in `FONTS`, descriptors of the @font-face rule
    ("DejaVu Sans", "font-family:'DejaVu Sans'"),
    ("DejaVu Sans", "font-family:'DejaVuSans'"),  # its PostScript name
    ("Noto Sans", "font-family:'Noto Sans';font-weight:100 900;font-stretch:62.5% 100%"),
    ("Noto Sans Italic", "font-family:'Noto Sans';font-style:italic;font-weight:100 900;font-stretch:62.5% 100%"),
)


def rule(name, words):
    """A rule `@font-face` that brings a font as data."""
    return f"@font-face{{{words};src:url(data:font/ttf;base64,{base64.b64encode(FONTS[name]()).decode()})}}"


def drawing(body, *, width="48mm", height="24mm"):
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{width}"'
        f' height="{height}" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="DejaVu Sans" font-size="48">{body}</svg>'
    )


CURVE = '<path id="c" d="M30 190C120 20 360 20 450 190" fill="none"/>'
TEXTS = {
    "plain": '<text x="20" y="120">Apis mellifera</text>',
    "kerning": '<text x="20" y="120" font-size="72">AVATo Ty LTV</text>',
    "no-kerning": '<text x="20" y="120" font-size="72" style="font-kerning:none">AVATo Ty LTV</text>',
    "ligatures": '<text x="20" y="120">fi ffi fl office</text>',
    "no-ligatures": '<text x="20" y="120" style="font-variant-ligatures:none">fi ffi fl office</text>',
    "feature-settings": """<text x="20" y="120" style='font-feature-settings:"liga" off, "kern" 0'>fi AV Ta</text>""",
    "combining": '<text x="20" y="120">e\u0301a\u0308o\u0302 Z\u030cu\u030a</text>',
    "x-list": '<text x="20 90 150 220 260" y="120">Honey</text>',
    "y-list": '<text x="20" y="120 100 80 110 150">Honey jar</text>',
    "x-in-ligature": '<text x="20 80 140 200" y="120">office</text>',
    "dx-list": '<text x="20" y="120" dx="0 10 -8 20 5">AVAVAV</text>',
    "dx-in-ligature": '<text x="20" y="120" dx="0 0 12 0 9">office fi</text>',
    "dy-list": '<text x="20" y="120" dy="0 10 -20 30 -15 5">Honey jar</text>',
    "rotate": '<text x="20" y="120" rotate="0 15 -30 45">Honey jar</text>',
    "rotate-kerning": '<text x="20" y="120" rotate="10">AVATar fi</text>',
    "tspan-lists": '<text x="20 60 100" y="80" dy="4">ab<tspan x="200 260" dy="10">cde</tspan>fg<tspan y="200">hi</tspan></text>',
    "tspan-inner-wins": '<text x="20 80 140 200 260 320" y="120">ab<tspan x="170 230">cd</tspan>ef</text>',
    "anchor-middle": '<text x="240" y="120" text-anchor="middle">Beekeepers</text>',
    "anchor-end": '<text x="460" y="120" text-anchor="end">Beekeepers</text>',
    "anchor-chunks": '<text x="240" y="80" text-anchor="middle">one <tspan x="240" y="140">two two</tspan><tspan x="460" y="200" text-anchor="end">end</tspan></text>',
    "anchor-trailing-space": '<text x="240" y="80" text-anchor="middle">sp <tspan x="240" y="140">two</tspan></text>',
    "anchor-dx": '<text x="240" y="120" text-anchor="middle" dx="20 0 10">Honey</text>',
    "letter-spacing": '<text x="20" y="120" letter-spacing="6">fi office AV</text>',
    "letter-spacing-anchor": '<text x="240" y="120" letter-spacing="12" text-anchor="middle">hive</text>',
    "letter-spacing-em": '<g font-size="40" letter-spacing=".2em"><text x="20" y="120" font-size="60">hive</text></g>',
    "word-spacing": '<text x="20" y="120" word-spacing="24">a bee a day</text>',
    "text-length": '<text x="20" y="120" textLength="420">Honey</text>',
    "text-length-glyphs": '<text x="20" y="120" textLength="420" lengthAdjust="spacingAndGlyphs">Honey</text>',
    "text-length-short": '<text x="20" y="120" textLength="150">Beekeeper</text>',
    "text-length-anchor": '<text x="240" y="120" textLength="300" text-anchor="middle">Honey</text>',
    "text-length-tspan": '<text x="20" y="120">a<tspan textLength="200">bcd</tspan>ef</text>',
    "text-length-ligature": '<text x="20" y="120" textLength="400">office</text>',
    "text-length-nested": '<text x="20" y="120" textLength="420">a<tspan textLength="150">bcd</tspan>ef</text>',
    "stroke": '<text x="20" y="130" font-size="90" fill="none" stroke="#000" stroke-width="4">Hive</text>',
    "stroke-order": '<text x="20" y="130" font-size="90" fill="#fff" stroke="#000" stroke-width="8" paint-order="stroke">Hive</text>',
    "knocked-out": '<rect x="10" y="40" width="460" height="130"/><text x="30" y="130" fill="#fff" font-size="80">Apis</text>',
    "transform": '<g transform="translate(60 30) rotate(20) scale(1.5 .8)"><text x="20" y="60" transform="skewX(10)">Honey</text></g>',
    "white-space": '<text x="20" y="120">\n   two   words\n   here  </text>',
    "white-space-spans": '<text x="20" y="120"> a <tspan> b </tspan> c</text>',
    "white-space-kept": '<text x="20" y="120" xml:space="preserve">  a   b\nc</text>',
    "white-space-pre": '<text x="20" y="120" style="white-space:pre">  a   b </text>',
    "hidden": '<text x="20" y="120">a<tspan visibility="hidden">bbb</tspan>c<tspan display="none">ddd</tspan>e</text>',
    "sizes": '<text x="20" y="120">a<tspan font-size="80">B</tspan><tspan font-size="50%">c<tspan font-size="2em">d</tspan></tspan></text>',
    "spans-kern": '<text x="20" y="120" font-size="72">A<tspan fill="#000001">V</tspan>A<tspan fill="#000100">T</tspan>o</text>',
    "units": '<text x="10%" y="50%" dx="1em" font-size="12mm">mm</text>',
    "shorthand": '<text x="20" y="120" style="font:italic 700 1.2em/2 Lora, \'Noto Sans\', serif">Hive 7</text>',
    "shorthand-plain": '<text x="20" y="120" style="font:60px &quot;DejaVu Sans&quot;">Hive 7</text>',
    "middle": '<text x="20" y="120" dominant-baseline="middle">Hxg <tspan font-size="80">x</tspan></text>',
    "central": '<text x="20" y="120" dominant-baseline="central">Hxg</text>',
    "hanging": '<text x="20" y="60" dominant-baseline="hanging">Hxg</text>',
    "before-edge": '<text x="20" y="60" dominant-baseline="text-before-edge">Hxg</text>',
    "after-edge": '<text x="20" y="120" dominant-baseline="text-after-edge">Hxg</text>',
    "alignment": '<text x="20" y="120">H<tspan alignment-baseline="middle">x</tspan>g</text>',
    "baseline-shift": '<text x="20" y="120">H<tspan baseline-shift="20">x<tspan baseline-shift="-30">y</tspan></tspan><tspan baseline-shift="25%" font-size="30">z</tspan></text>',
    "rotated-baseline": '<text x="60" y="120" dominant-baseline="middle" rotate="40">Hxg</text>',
    "on-path": f'{CURVE}<text><textPath href="#c">Beekeepers of the valley</textPath></text>',
    "on-path-offset": f'{CURVE}<text font-size="36"><textPath xlink:href="#c" startOffset="60">Honey jar</textPath></text>',
    "on-path-middle": f'{CURVE}<text text-anchor="middle" font-size="36"><textPath href="#c" startOffset="50%">Honey jar</textPath></text>',
    "on-path-spaced": f'{CURVE}<text font-size="36" letter-spacing="8" dy="-10"><textPath href="#c">Honey jar</textPath></text>',
    "on-path-dy": f'{CURVE}<text font-size="36"><textPath href="#c" startOffset="40">Ho<tspan dy="-14">ney</tspan> <tspan dx="20">jar</tspan></textPath></text>',
    "on-path-overrun": f'{CURVE}<text font-size="56"><textPath href="#c" startOffset="200">Beekeepers of the valley</textPath></text>',
    "on-path-moved": '<path id="c" d="M0 0h300v60" transform="translate(60 90)" fill="none"/><text font-size="40"><textPath href="#c">Honey jars to sell</textPath></text>',
    "on-path-length": '<path id="c" pathLength="100" d="M30 190C120 20 360 20 450 190" fill="none"/><text font-size="36"><textPath href="#c" startOffset="20">Honey jar</textPath></text>',
    "on-path-y": f'{CURVE}<text x="30" y="40" font-size="36"><textPath href="#c">Honey jar</textPath></text>',
    "on-path-then": '<path id="c" d="M30 190C120 20 200 20 260 150" fill="none"/><text font-size="30"><textPath href="#c">Honey</textPath> jar</text>',
    "on-path-stretched": f'{CURVE}<text font-size="36"><textPath href="#c" textLength="380">Honey jar</textPath></text>',
    "on-path-parts": '<path id="c" d="M20 60h150M20 180h440" fill="none"/><text font-size="40"><textPath href="#c">Honey jars to sell</textPath></text>',
    "variable-weight": '<text x="20" y="70" font-family="Noto Sans">Hive <tspan font-weight="700">Hive</tspan></text><text x="20" y="140" font-family="Noto Sans" font-weight="900">Hive <tspan font-weight="100">Hive</tspan></text>',
    "variable-width": '<text x="20" y="100" font-family="Noto Sans" font-stretch="condensed">Hive <tspan font-stretch="62.5%">Hive</tspan></text>',
    "variable-italic": '<text x="20" y="100" font-family="Noto Sans" font-style="italic" font-weight="600">Hive agr</text>',
    "variable-overlap": '<text x="20" y="150" font-size="120" font-family="Noto Sans" font-weight="650">Qa&amp;&#xd8;</text>',
    "variation-settings": """<text x="20" y="100" font-family="Noto Sans" style='font-variation-settings:"wght" 850, "wdth" 80'>Hive</text>""",
    "bolder": '<g font-family="Noto Sans" font-weight="bolder"><text x="20" y="100">Hive <tspan font-weight="lighter">Hive</tspan></text></g>',
    "greek-cyrillic": '<text x="20" y="120">Μέλι Мёд Honey</text>',
    "uppercase": '<text x="20" y="120" style="text-transform:uppercase">hive box</text>',
    "second-family": '<text x="20" y="120" font-family="Lora, DejaVu Sans">Hive 7</text>',
    "in-clip": '<clipPath id="k"><text x="20" y="150" font-size="120">Hive</text></clipPath><rect width="480" height="240" clip-path="url(#k)"/>',
    "clipped": '<clipPath id="k" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath><text x="20" y="150" font-size="120" clip-path="url(#k)">Hive</text>',
    "used": '<defs><text id="t" x="0" y="0">Hive</text></defs><use href="#t" x="40" y="80"/><use href="#t" x="200" y="180"/>',
    "link": '<text x="20" y="120">to <a href="#x"><tspan font-size="60">the</tspan></a> hive</text>',
    "spans-plain": '<text x="20" y="120" font-size="72">A<tspan>V</tspan>A<a>T</a>o f<tspan>i</tspan></text>',
    "lines": '<text x="20" y="60">\n  <tspan x="20" y="60">two lines</tspan>\n  <tspan x="20" dy="1.2em"> of text </tspan>\n  <tspan x="20" dy="60">three</tspan></text>',
    "lines-middle": '<text x="240" y="60" text-anchor="middle"><tspan>one </tspan><tspan x="240" dy="60">two <tspan font-size="30">small</tspan></tspan></text>',
    "x-after-space": '<text x="20" y="120">a <tspan x="200"> b</tspan> c</text>',
    "x-list-spaces": '<text y="120" x="20 60 100 140 180">a  b   c d</text>',
    "beyond-the-plane": '<text x="20 100 180" y="120">\U0001d538\U0001d539b\U0001d53b</text>',
    "rotate-inherited": '<text x="20" y="120" rotate="20">ab<tspan rotate="-20 10">cde</tspan>fg</text>',
    "rotate-anchor": '<text x="240" y="120" rotate="45" text-anchor="middle">Honey</text>',
    "anchor-inner": '<text x="240" y="120" text-anchor="middle">a<tspan text-anchor="end">bcd</tspan></text>',
    "baseline-inherited": '<g dominant-baseline="middle"><text x="20" y="120">Hx<tspan dy="20" baseline-shift="10">y</tspan></text></g>',
    "central-sizes": '<text x="20" y="120" dominant-baseline="central">Hx<tspan font-size="90">H</tspan></text>',
    "mathematical": '<text x="20" y="120" dominant-baseline="mathematical">Hxg</text>',
    "ideographic": '<text x="20" y="120" dominant-baseline="ideographic">Hxg</text>',
    "spaced-marks": '<text x="20" y="120" letter-spacing="14">e\u0301a\u0308o\u0302x</text>',
    "fixed-blank": '<text x="20" y="120" word-spacing="24">a\u00a0bee a</text>',
    "ring-path": '<path id="c" d="M160 130a80 80 0 1 1 160 0a80 80 0 1 1 -160 0z" fill="none"/><text font-size="36" text-anchor="middle"><textPath href="#c" startOffset="0">Honey jar</textPath></text>',
    "on-path-x": f'{CURVE}<text font-size="36"><textPath href="#c">Ho<tspan x="150">ney</tspan> <tspan x="300" y="30">jar</tspan></textPath></text>',
    "on-path-text-x": f'{CURVE}<text font-size="36" x="100" dy="-8"><textPath href="#c">Honey</textPath></text>',
    "on-path-rotate": f'{CURVE}<text font-size="36" rotate="30"><textPath href="#c">Honey</textPath></text>',
    "on-path-baseline": f'{CURVE}<text font-size="36" dominant-baseline="middle"><textPath href="#c">Honey</textPath></text>',
    "on-path-two": f'{CURVE}<path id="d" d="M30 220h400" fill="none"/><text font-size="36"><textPath href="#c">One</textPath><textPath href="#d">two</textPath></text>',
    "on-path-before": f'{CURVE}<text font-size="36" x="20" y="60">so <textPath href="#c">Honey</textPath></text>',
    "on-path-end": f'{CURVE}<text font-size="36" text-anchor="end"><textPath href="#c" startOffset="100%">Honey</textPath></text>',
    "on-path-ligature": f'{CURVE}<text font-size="60"><textPath href="#c">office AV</textPath></text>',
    "text-length-glyphs-stroke": '<text x="20" y="120" textLength="420" lengthAdjust="spacingAndGlyphs" fill="none" stroke="#000" stroke-width="6">Hive</text>',
    "text-length-lists": '<text x="20 200" y="120" textLength="300">Honey</text>',
    "text-length-percent": '<text x="20" y="120" textLength="80%">Honey</text>',
    "larger": '<g font-size="x-large"><text x="20" y="120">a<tspan font-size="larger">b</tspan></text></g>',
    "opacity": '<text x="20" y="120" font-size="80">H<tspan opacity="0">iv</tspan>e</text>',
    "fill-rule": '<text x="20" y="150" font-size="120" font-family="Noto Sans" font-weight="650" fill-rule="evenodd">Qa&amp;</text>',
    "pre-lines": '<text x="20" y="80" style="white-space:pre">a\nb  c</text>',
    "figures": '<text x="20" y="100" font-family="Noto Sans" style="font-variant-numeric:oldstyle-nums">1690 <tspan style="font-variant-numeric:tabular-nums">1111</tspan></text><text x="20" y="180" font-family="Noto Sans" style="font-variant-numeric:diagonal-fractions slashed-zero">1/2 70</text>',
    "spaced-variants": '<text x="20" y="120" letter-spacing="3" style="font-variant-ligatures:common-ligatures">fi office</text>',
    "inkscape": """<text xml:space="preserve" style="font-style:normal;font-variant:normal;font-weight:normal;font-stretch:normal;font-size:53.3333px;line-height:1.25;font-family:'DejaVu Sans';-inkscape-font-specification:'DejaVu Sans, Normal';font-variant-ligatures:normal;font-variant-position:normal;font-variant-caps:normal;font-variant-numeric:normal;font-variant-alternates:normal;font-variant-east-asian:normal;font-feature-settings:normal;text-align:center;letter-spacing:0px;word-spacing:0px;writing-mode:lr-tb;direction:ltr;text-decoration:none;text-anchor:middle;white-space:normal;fill:#000000;stroke:none" x="240" y="90" id="t"><tspan id="a" x="240" y="90" style="stroke-width:0.26">Two lines</tspan><tspan id="b" x="240" y="156.66">of a label</tspan></text>""",
    "illustrator": """<style>.st0{font-family:'DejaVuSans';} .st1{font-size:52px;letter-spacing:-.02em}</style><text transform="matrix(1 0 0 1 30 100)" class="st0 st1">Honey <tspan x="0" y="62">from here</tspan></text>""",
    "figma": '<text fill="black" xml:space="preserve" style="white-space: pre" font-family="Noto Sans" font-size="56" font-weight="bold" letter-spacing="0.05em"><tspan x="20" y="90.5">Honey &#10;</tspan><tspan x="20" y="160.5">from here</tspan></text>',
    "marks-in-span": '<text x="20" y="120">e<tspan fill="#000001">\u0301</tspan>x</text>',
    "lower-upper": '<text x="20" y="120" style="text-transform:lowercase">HIVE <tspan style="text-transform:uppercase">stra\u00dfe</tspan></text>',
    "entity-and-cdata": '<text x="20" y="120">a &amp; b <![CDATA[<c>]]></text>',
    "comment": '<text x="20" y="120">a<!-- no -->b<title>no</title>c</text>',
    "polyline-path": '<path id="c" d="M20 200L140 60L260 200L460 120" fill="none"/><text font-size="34"><textPath href="#c">Over the roofs of hives</textPath></text>',
    "arc-path": '<path id="c" d="M100 160A140 90 20 0 1 380 160" fill="none"/><text font-size="34"><textPath href="#c">Around an arc</textPath></text>',
    "text-length-zero-gap": '<text x="20" y="120" textLength="300"> a b </text>',
    "aligned-text": '<text x="20" y="120" alignment-baseline="middle">Hxg</text>',
    "shifted-text": '<text x="20" y="120" baseline-shift="20">Hxg</text>',
    "path-in-group": '<g transform="translate(90 60) scale(.5)"><path id="c" d="M0 200h500" fill="none"/></g><text font-size="40"><textPath href="#c">Honey</textPath></text>',
    "closer": '<text x="20" y="120" letter-spacing="-4" word-spacing="-6">fi hives AV</text>',
    "font-inherit": '<g style="font:italic 60px \'Noto Sans\'"><text x="20" y="120" style="font:inherit">Hive</text></g>',
    "class-rules": '<style>text{font-size:30px} .a tspan{font-weight:bold;font-family:"Noto Sans"} #b{fill:none}</style><text class="a" x="20" y="120">a <tspan>bold</tspan> <tspan id="b">none</tspan> b</text>',
    "nested-svg": '<svg x="40" y="20" width="200" height="100" viewBox="0 0 100 50"><text x="50%" y="30" font-size="20" text-anchor="middle">Hive</text></svg>',
    "mirrored": '<text transform="matrix(-1 0 0 1 480 0)" x="20" y="120">Honey <tspan dx="9">jar</tspan></text>',
    "masked": '<mask id="m"><rect width="480" height="240" fill="#fff"/><text x="40" y="140" font-size="100">Hive</text></mask><rect x="20" y="40" width="400" height="130" mask="url(#m)"/>',
    "invisible": '<text x="20" y="120">a\u00adb\u200dc\u200bd\ufeffe\u2060f</text>',
    "blanks": '<text x="20" y="120">\u00a0a\u2003b\u2009c\u00a0<tspan text-decoration="none">|</tspan></text>',
    "tab-kept": '<text x="20" y="120" xml:space="preserve">a&#9;b&#10;&#10;c</text>',
    "on-path-combining": f'{CURVE}<text font-size="44"><textPath href="#c">e\u0301te\u0301 fi</textPath></text>',
    "on-path-stroke": f'{CURVE}<text font-size="60" fill="none" stroke="#000" stroke-width="5" stroke-linejoin="round"><textPath href="#c">Honey</textPath></text>',
    "rotate-ligature": '<text x="20" y="120" rotate="0 0 30">office</text>',
    "x-list-long": '<text x="20 60 100 140 180 220 260 300 340" y="120 130">abcd</text>',
    "deep-spans": '<text x="20" y="120">a<tspan dx="5">b<tspan dy="9">c<tspan dx="5" rotate="20">d</tspan>e</tspan>f</tspan>g</text>',
    "optimize-speed": '<text x="20" y="120" font-size="72" text-rendering="optimizeSpeed">AVATo fi</text>',
}
"""Each within what is read exactly."""

IN_WORDS = {name: drawing(body) for name, body in TEXTS.items()}


def fonts_of(body):
    """The fonts a text is sent with."""
    return [dejavu()] if "Noto" not in body else [dejavu(), noto(), noto("-Italic")]


def drawn_by_browser(name):
    """Ink coverage 0 to 1 of a text, as the browser drew it."""
    return 1 - np.asarray(Image.open(DRAWN / f"{name}.png").convert("L")) / 255


def read(body, **more):
    return read_artwork(
        drawing(body).encode(), ArtworkChoice(chord_mm=0.0005), scale_of=lambda _box: 1.0, fonts=fonts_of(body), **more
    )


def coverage(mark):
    """Ink coverage of a mark that was read, drawn by resvg from its polygons."""
    rings = "".join(
        "M" + "L".join(f"{x:.6f} {y:.6f}" for x, y in ring.coords[:-1]) + "Z"
        for land in mark.ink.geoms
        for ring in (land.exterior, *land.interiors)
    )
    page = f'viewBox="0 0 {mark.page_mm[0]} {mark.page_mm[1]}" width="{WIDTH}" height="{HEIGHT}"'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {page}><path fill-rule="evenodd" d="{rings}"/></svg>'
    return _inked(resvg_py.svg_to_bytes(svg, background="white"))


@cache
def _font_files():
    folder = tempfile.mkdtemp()
    atexit.register(shutil.rmtree, folder)
    paths = [Path(folder, f"{name}.ttf") for name in FONTS]
    for path, data in zip(paths, FONTS.values(), strict=True):
        path.write_bytes(data())
    return [str(path) for path in paths]


def drawn_by_resvg(body):
    """Ink coverage 0 to 1 of a text, as resvg sets it with the same fonts and none of the machine."""
    svg = drawing(body, width=WIDTH, height=HEIGHT)
    return _inked(resvg_py.svg_to_bytes(svg, background="white", font_files=_font_files(), skip_system_fonts=True))


def _inked(png):
    return 1 - np.asarray(Image.open(io.BytesIO(bytes(png))).convert("L")) / 255


def astray_px(wanted, found):
    """Mean distance between two sets of outlines [px]: the area between them over the length of the wanted ones."""
    edge = np.abs(np.diff(wanted, axis=0)).sum() + np.abs(np.diff(wanted, axis=1)).sum()  # at least the true length
    return float(np.abs(wanted - found).sum() / edge)
