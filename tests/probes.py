"""Single features that renderers part on, each as a drawing whose ink has a round area by hand [mm²], or that is told.

Each was held against Chromium 156 and resvg 0.48 where it was written; where they part, the standard at the head of its
table decides, or the drawing is told.
"""

from squares import BLACK, WHITE, K, S, css

_ALL = '<rect width="60" height="40"{}/>'


def _clip(inner, more=""):
    return f'<clipPath id="c" {more}>{inner}</clipPath>'


def _turned(style, element='rect x="20" y="10" width="20" height="10"'):
    return f'<{element} style="transform:rotate(90deg);{style}"/>'


_TURNED_GROUP = (
    '<g style="transform-box:fill-box;transform-origin:center;{}"{}><rect x="20" y="10" width="10" height="10"/>'
    '<rect x="30" y="15" width="10" height="5"/></g>'
)

# CSS Cascading 4, Selectors 4, Media Queries 4, CSSOM
SHEETS = {
    "revert hands down what inherits": (css("g{fill:#fff}.b{fill:revert}"), WHITE),
    "revert outweighs an attribute": (css(".b{fill:revert}", ' fill="#fff"'), BLACK),
    "overflow begins as visible": (
        '<svg width="5" height="5" style="overflow:initial">' + S.format("") + "</svg>",
        100,
    ),
    "overflow unset is visible": ('<svg width="5" height="5" style="overflow:unset">' + S.format("") + "</svg>", 100),
    "overflow reverts to the browsers' sheet": (
        '<svg width="5" height="5" style="overflow:revert">' + S.format("") + "</svg>",
        25,
    ),
    "overflow of two words": (
        '<svg width="5" height="5" style="overflow:visible visible">' + S.format("") + "</svg>",
        100,
    ),
    "overflow clips": ('<svg width="5" height="5" overflow="clip">' + S.format("") + "</svg>", 25),
    "is() weighs as its heaviest": (css(":is(.b,#none){fill:#fff}.b.c.b{fill:#000}"), WHITE),
    "where() weighs nothing": (css(":where(#a){fill:#fff}rect{fill:#000}"), BLACK),
    "not() weighs as its heaviest": (css(".b:not(#none){fill:#fff}.b.c{fill:#000}"), WHITE),
    "has()": (css("g:has(.b){fill:#fff}"), WHITE),
    "of its type": (css("g>rect:nth-of-type(1){fill:#fff}"), WHITE),
    "the only child": (css("rect:only-child{fill:#fff}"), WHITE),
    "the root": (css(":root{fill:#fff}.b{fill:#000}"), 100),
    "an attribute's value in any case": (css('[class="B C" i]{fill:#fff}'), WHITE),
    "a language of the drawing": (
        f'<style>:lang(en) rect{{fill:#fff}}</style><g xml:lang="en">{S.format("")}</g>{K}',
        WHITE,
    ),
    "not for print": (css("@media not print{.b{fill:#fff}}"), WHITE),
    "only for screens": (css("@media only screen{.b{fill:#fff}}"), WHITE),
    "for print": (css("@media print{.b{fill:#fff}}"), BLACK),
    "never": (css("@media not all{.b{fill:#fff}}"), BLACK),
    "media in media": (css("@media screen{@media all{.b{fill:#fff}}}"), WHITE),
    "a sheet not for screens": (f'<style media="not screen">rect{{fill:#fff}}</style>{K}', 100),
    "of sheets with titles the first": (
        f'<style title="a">.b{{fill:#fff}}</style><style title="b">rect{{fill:#fff}}</style>{S.format("")}{K}',
        BLACK,
    ),
    "a sheet in an old comment": (
        f"<style><![CDATA[<!-- .b{{fill:#fff}} -->]]></style><rect class='b' width='10' height='10'/>{K}",
        WHITE,
    ),
    "a default namespace of another language": (
        css("@namespace url(http://www.w3.org/1999/xhtml); rect{fill:#fff}"),
        BLACK,
    ),
    "a namespace by its prefix": (css('@namespace s "http://www.w3.org/2000/svg"; s|rect.b{fill:#fff}'), WHITE),
    "a namespace after a rule is none": (
        css(".c{stroke:none}@namespace url(http://www.w3.org/1999/xhtml);.b{fill:#fff}"),
        WHITE,
    ),
    "a type between blanks is no style sheet": (f'<style type=" text/css ">rect{{fill:#fff}}</style>{K}', 100),
    "older names of properties": ('<rect width="10" height="10" style="-webkit-transform:scale(2)"/>', 400),
}

# CSS Cascading 5, 6.4: layers; CSS Nesting 1. Chromium draws them so; resvg reads neither.
IN_LAYERS = {
    "a layer": (css("@layer x{.b{fill:#fff}}"), WHITE),
    "what is in no layer outweighs layers": (css("rect{fill:#000}@layer x{#a{fill:#fff}}"), BLACK),
    "a later layer outweighs an earlier one": (css("@layer x{#a{fill:#000}}@layer y{.b{fill:#fff}}"), WHITE),
    "layers in the order they are named in": (
        css("@layer y,x;@layer x{.b{fill:#fff}}@layer y{#a{fill:#000}}"),
        WHITE,
    ),
    "of what is important an earlier layer": (
        css("@layer x{.b{fill:#fff!important}}@layer y{#a{fill:#000!important}}"),
        WHITE,
    ),
    "importance in a layer outweighs that in none": (
        css("#a{fill:#000!important}@layer x{.b{fill:#fff!important}}"),
        WHITE,
    ),
    "an important style outweighs important layers": (
        css("@layer x{.b{fill:#000!important}}", ' style="fill:#fff!important"'),
        WHITE,
    ),
    "a layer outweighs those in it": (css("@layer x{.b{fill:#fff}@layer z{#a{fill:#000}}}"), WHITE),
    "a layer in a layer by its whole name": (
        css("@layer x.z{#a{fill:#000}}@layer x{@layer z{#a{fill:#fff}}}"),
        WHITE,
    ),
    "layers without a name are two": (css("@layer{#a{fill:#000}}@layer{.b{fill:#fff}}"), WHITE),
    "a layer of two sheets": (
        "<style>@layer p,q;</style>" + css("@layer q{.b{fill:#fff}}@layer p{#a{fill:#000}}"),
        WHITE,
    ),
    "media in a layer": (css("@layer p{@media screen{.b{fill:#fff}}}"), WHITE),
}
WITHIN_RULES = {
    "a rule within a rule": (css(".g{.b{fill:#fff}}"), WHITE),
    "a child": (css("svg{>.b{fill:#000}}.g{>.b{fill:#fff}}"), WHITE),
    "the element itself": (css(".b{&amp;.c{fill:#fff}}"), WHITE),
    "what it stands in": (css(".c{.g &amp;{fill:#fff}}"), WHITE),
    "in a function": (css(".none{rect:not(&amp;){fill:#fff}}"), 0),
    "each of a list": (css(".none,.g{.x,.b{fill:#fff}}"), WHITE),
    "a list weighs as its heaviest": (css("#none,.g{.b{fill:#fff}}.g .b.c{fill:#000}"), WHITE),
    "three deep": (css("svg{.g{.b{fill:#fff}}}"), WHITE),
    "what follows counts later": (css(".b{fill:#fff;&amp;{fill:#000}fill:#fff}"), WHITE),
    "media within a rule": (css(".b{@media screen{fill:#fff}@media print{fill:#000}}"), WHITE),
    "a layer within a rule": (css(".b{@layer x{fill:#fff}}"), WHITE),
    "no rule around is the root": (css("&amp; .b{fill:#fff}"), WHITE),
    "a wrong rule leaves the next alone": (css(".g{..b{fill:#000}.b{fill:#fff}}"), WHITE),
    "pseudo-classes are no declarations": (css(".g{rect:first-child{fill:#fff}}"), WHITE),
}

# CSS Transforms 1, sections 6 to 9; the attribute by SVG 1.1, 7.6
TRANSFORMS = {
    "about the middle of its box": (_turned("transform-box:fill-box;transform-origin:center"), (25, 5, 35, 25)),
    "about the corner of its box": (_turned("transform-box:fill-box"), (10, 10, 20, 30)),
    "about the middle of the view": (_turned("transform-origin:center"), (30, 10, 40, 30)),
    "about the top of the view": (
        _turned("transform-origin:top", 'rect x="30" y="5" width="10" height="5"'),
        (20, 0, 25, 10),
    ),
    "about the left of the view": (
        _turned("transform-origin:left", 'rect x="5" y="20" width="10" height="5"'),
        (-5 + 0, 25, 0, 35),
    ),
    "words in either order": (
        _turned("transform-origin:center right", 'rect x="50" y="10" width="10" height="5"'),
        (65, 10, 70, 20),
    ),
    "lengths of sheets": ('<rect width="10" height="10" style="transform:translate(1in,25.4mm)"/>', (96, 96, 106, 106)),
    "a share as a factor": ('<rect width="10" height="10" style="transform:scale(80%)"/>', (0, 0, 8, 8)),
    "functions in any case": ('<rect width="10" height="10" style="transform:TranslateX(5PX)"/>', (5, 0, 15, 10)),
    "a group about the middle of its box": (_TURNED_GROUP.format("transform:rotate(90deg)", ""), (25, 5, 35, 25)),
    "a group by a property of its own": (_TURNED_GROUP.format("rotate:90deg", ""), (25, 5, 35, 25)),
    "what cuts a group turns with it": (
        _clip('<rect x="20" y="10" width="5" height="30"/>')
        + _TURNED_GROUP.format("transform:rotate(90deg)", ' clip-path="url(#c)"'),
        (25, 5, 35, 10),
    ),
    "what cuts groups and others turns with those that turn": (
        _clip('<rect x="20" y="10" width="15" height="30"/>')
        + _TURNED_GROUP.format("transform:rotate(90deg)", ' clip-path="url(#c)"')
        + '<rect x="20" y="38" width="30" height="2" clip-path="url(#c)"/>',
        (20, 5, 35, 40),
    ),
    "a group in a group": (
        '<g style="transform-box:fill-box;transform-origin:0 0;transform:scale(2)">'
        + _TURNED_GROUP.format("transform:rotate(90deg)", "")
        + "</g>",
        (25, 5, 45, 45),
    ),
    "a property for each function": (
        '<rect width="10" height="20" style="scale:200% 1;rotate:.25turn;translate:40px 5px"/>',
        (20, 5, 40, 25),
    ),
    "properties before the list of functions": (
        '<rect width="10" height="10" style="translate:5px;scale:2" transform="translate(3 1)"/>',
        (11, 2, 31, 22),
    ),
    "shares of the view": (_turned("transform:translate(50%,-25%)"), (50, 0, 70, 10)),
    "shares of its box": (_turned("transform-box:fill-box;transform:translate(50%,-100%)"), (30, 0, 50, 10)),
    "shares of a group's box": (
        _TURNED_GROUP.format("transform:translateY(100%)", ""),
        (20, 20, 40, 30),
    ),
    "shares after a turn": (
        _turned("transform-box:fill-box;transform:rotate(90deg) translate(50%,0)"),
        (10, 20, 20, 40),
    ),
    "a share by a property of its own": (_turned("transform:none;translate:10% 25%"), (26, 20, 46, 30)),
    "by the font": (_turned("font-size:4px;transform:translateX(2em)"), (28, 10, 48, 20)),
    "by a function": (_turned("transform:translate(calc(50% - 5px),min(1em,4px))"), (45, 14, 65, 24)),
    "clip children turn about their origin": (
        _clip('<rect x="10" y="10" width="20" height="10" style="transform-origin:20px 15px;transform:rotate(90deg)"/>')
        + _ALL.format(' clip-path="url(#c)"'),
        (15, 5, 25, 25),
    ),
    "clip paths turn about their origin": (
        _clip(
            '<rect x="10" y="10" width="20" height="10"/>', 'style="transform-origin:20px 15px;transform:rotate(90deg)"'
        )
        + _ALL.format(' clip-path="url(#c)"'),
        (15, 5, 25, 25),
    ),
}

# SVG 2: Geometry Properties, Paths, Basic Shapes; SVG 1.1, F.2; CSS Values 4
SHAPES = {
    "a wrong width of a sheet leaves the attribute": (S.format(' style="width:oops"'), 100),
    "a negative width of a sheet leaves the attribute": (S.format(' style="width:-3px"'), 100),
    "auto is no width": (S.format(' style="width:auto"') + K, 100),
    "no data at all by a sheet": ('<path d="M0 0h10v10z" style="d:none"/>' + K, 100),
    "wrong data of a sheet leaves the attribute": ('<path d="M0 0h10v10h-10z" style="d:oops"/>', 100),
    "data of a sheet has no rule": ('<path d="M0 0h10v10h-10z" style="d:path(evenodd,\'M0 0h9v9z\')"/>', 100),
    "a clip path's data by a sheet": (
        _clip("<path style=\"d:path('M0 0h10v10h-10z')\"/>") + _ALL.format(' clip-path="url(#c)"'),
        100,
    ),
    "a number ends in a digit": ('<rect width="10." height="10"/>' + K, 100),
    "a unit follows at once": ('<rect width="10 px" height="10"/>' + K, 100),
    "points end at an error": ('<polygon points="0,0 20,0 20,10,,0,10"/>', 100),
    "points without a number between commas": ('<polygon points="0,0,,20,0 20,10"/>' + K, 100),
    "one point of a polygon has caps": (
        '<polygon points="10,10" stroke="#000" stroke-width="10" stroke-linecap="square"/>',
        100,
    ),
    "one point of a polyline has none": (
        '<polyline points="10,10" stroke="#000" stroke-width="10" stroke-linecap="square"/>' + K,
        100,
    ),
    "an arc to where it begins has caps": (
        '<path d="M10 10A5 5 0 0 1 10 10" stroke="#000" stroke-width="10" stroke-linecap="square"/>',
        100,
    ),
    "blanks are those of ASCII": ('<path d="M0&#160;0h10v10h-10z"/>' + K, 100),
    "an empty list of extensions does not hold": (S.format(' requiredExtensions=""') + K, 100),
    "a clip child of another language": (
        _clip('<rect systemLanguage="fr" width="60" height="40"/>' + S.format(""))
        + _ALL.format(' clip-path="url(#c)"'),
        100,
    ),
    "a mask on a clip path's child is nothing": (
        _clip('<rect width="10" height="10" mask="url(#k)"/>') + '<mask id="k"/>' + _ALL.format(' clip-path="url(#c)"'),
        100,
    ),
    "a clip path's shares are of the view, then of its box": (
        _clip('<rect width="1%" height="1%"/>', 'clipPathUnits="objectBoundingBox"') + S.format(' clip-path="url(#c)"'),
        6 * 4,
    ),
    "a view box needs no blank before a sign": (
        '<svg width="20" height="10" viewBox="-5-5 10 10"><rect width="10" height="10"/></svg>',
        50,
    ),
    "an image of nothing": ('<image width="9" height="9"/>' + K, 100),
    "text of no size": ('<text font-size="0">Apis</text>' + K, 100),
    "a wrong second word of an aspect": (
        '<svg width="20" height="10" viewBox="0 0 1 1" preserveAspectRatio="none oops"><rect width="1" height="1"/></svg>',
        100,
    ),
}

_DASHED = '<path d="M0 5H50" stroke="#000" stroke-width="10" stroke-dasharray="{}" {}/>'

# SVG 2: Paths (pathLength), Paint Servers
PAINT = {
    "dashes by the author's length": (_DASHED.format("1 1", 'pathLength="10"'), 250),
    "an offset by the author's length": (_DASHED.format("2 1", 'pathLength="3" stroke-dashoffset="2"'), 10 * 100 / 3),
    "the author's length of all subpaths": (
        '<path d="M0 5H20M0 15H30" pathLength="10" stroke="#000" stroke-width="10" stroke-dasharray="1 1"/>',
        10 * (10 + 15),
    ),
    "a length of nothing stretches dashes without end": (_DASHED.format("1 1", 'pathLength="0"'), 500),
    "a wrong length is none": (_DASHED.format("10 10", 'pathLength="-1"'), 300),
    "the author's length of a rectangle": (
        '<rect x="5" y="5" width="20" height="10" pathLength="6" fill="none" stroke="#000" stroke-dasharray="2 1"/>',
        20 + 20,  # along the top and the bottom
    ),
    "a gradient without length is its last colour": (
        '<linearGradient id="p" x2="0%"><stop stop-color="#fff"/><stop offset="1"/></linearGradient>'
        + S.format(' fill="url(#p)"'),
        100,
    ),
    "a gradient without radius is its last colour": (
        '<radialGradient id="p" r="0"><stop stop-color="#fff"/><stop offset="1"/></radialGradient>'
        + S.format(' fill="url(#p)"'),
        100,
    ),
    "the fallback where a box has no height": (
        '<linearGradient id="p"><stop/></linearGradient><path d="M0 5H10" stroke="url(#p) #000" stroke-width="10"/>',
        100,
    ),
    "hsl of old wants per cent": (S.format(' style="fill:#000;fill:hsl(60,100,90)"'), 100),
    "hwb knows no commas": (S.format(' style="fill:#000;fill:hwb(60,90%,0%)"'), 100),
    "no saturation is less than none": (S.format(' fill="hsl(60 -50% 45%)"'), 100),
}

_LINE = '<path d="M10 20h30" stroke="#000" stroke-width="4" marker-end="url(#m)"/>'
_STOPS = "<stop/><stop offset='1' stop-color='#222'/>"

TOLD = {
    "bad-value: unitless lengths of a sheet": S.format(' style="transform:translate(5,5)"'),
    "bad-value: unitless angles of a sheet": S.format(' style="transform:rotate(5)"'),
    "bad-value: no commas between lengths": S.format(' style="transform:translate(5px 5px)"'),
    "bad-value: an origin of words that do not fit": _turned("transform-origin:top 5px"),
    "bad-value: a variable that is not there": S.format(' style="fill:var(--hive)"'),
    "bad-value: a variable without a name": S.format(' style="fill:var(hive)"'),
    "bad-value: a variable of a wrong attribute": '<line x1="var(--x)" x2="9"/>',
    "bad-value: a function that is not read": S.format(' style="stroke-width:round(3px, 2px)"'),
    "bad-value: an origin of a sheet without units": _turned("transform-origin:30 15"),
    "bad-value: a negative pathLength": _DASHED.format("9 9", 'pathLength="-1"'),
    "bad-value: a wrong length in a clip path": _clip('<rect width="9vw" height="9"/>' + S.format(""))
    + _ALL.format(' clip-path="url(#c)"'),
    "path-syntax: in a clip path": _clip('<path d="M0 0h9v9z L x"/>') + _ALL.format(' clip-path="url(#c)"'),
    "transform-ignored: a comma after the last function": S.format(' transform="translate(5 5),"'),
    "transform-ignored: units in the attribute": S.format(' transform="translate(5px 5px)"'),
    "transform-ignored: a function of sheets in the attribute": S.format(' transform="translateX(5)"'),
    "transform-ignored: a word of CSS in the attribute": S.format(' transform="inherit"'),
    "transform-ignored: depth": S.format(' style="transform:translate3d(1px,1px,1px)"'),
    "transform-ignored: shares of the box of a stroke": _turned("transform-box:stroke-box;translate:5%"),
    "bad-value: brackets without a function": S.format(' style="transform:translate((5px))"'),
    "transform-ignored: about the box of a copy": "<defs>"
    + S.format(' id="r"')
    + '</defs><use href="#r" style="transform-box:fill-box;transform:rotate(9deg)"/>',
    "transform-ignored: a turn about a line": S.format(' style="rotate:x 9deg"'),
    "transform-ignored: a scale with depth": S.format(' style="scale:1 1 2"'),
    "bad-value: a comma between scales": S.format(' style="scale:2,3"'),
    "transform-ignored: about the box of a stroke": _turned("transform-box:stroke-box"),
    "transform-ignored: in a clip path": _clip('<rect width="9" height="9" transform="oops(3)"/>')
    + _ALL.format(' clip-path="url(#c)"'),
    "css-ignored: a wrong rule within a rule": css(".g{..b{fill:#fff}}"),
    "programs-differ: a list of languages": css(":lang(fr, de){fill:#fff}", ' lang="de"'),
    "css-ignored: a sheet for some windows": f'<style media="(min-width:10px)">rect{{fill:#fff}}</style>{S.format("")}',
    "css-ignored: rules for some windows": css("@media (min-width:10px){.b{fill:#fff}}"),
    "css-ignored: links": css("a:link rect{fill:#fff}"),
    "css-ignored: a sheet of HTML": f'<style xmlns="http://www.w3.org/1999/xhtml">rect{{fill:#fff}}</style>{S.format("")}',
    "css-ignored: a line around a shape": S.format(' style="outline:3px solid"'),
    "css-ignored: a mask by its alpha": S.format(' style="mask-mode:alpha"'),
    "css-ignored: overflow one way": '<svg width="5" height="5" style="overflow-x:visible">' + S.format("") + "</svg>",
    "animation-ignored: within a shape": '<rect width="10" height="10"><set attributeName="fill" to="#fff"/></rect>',
    "shading-ends: a focus outside its circle": f'<radialGradient id="p" fx="3" fy=".5">{_STOPS}</radialGradient>'
    + S.format(' fill="url(#p)"'),
    "shading-ends: a gradient squeezed flat": f'<linearGradient id="p" gradientTransform="scale(0)">{_STOPS}</linearGradient>'
    + S.format(' fill="url(#p)"'),
    "programs-differ: a copy styled by what surrounds the original": "<style>.g rect{fill:#000}</style>"
    '<g class="g" fill="#fff"><rect id="r" width="9" height="9"/></g><use href="#r" x="20" fill="#fff"/>',
    "programs-differ: an inner svg sized by its style": '<svg style="width:20px;height:9px">' + S.format("") + "</svg>",
    "programs-differ: a symbol that is not displayed": '<symbol id="s" display="none">'
    + S.format("")
    + '</symbol><use href="#s"/>',
    "programs-differ: contents alone": '<g style="display:contents">' + S.format("") + "</g>",
    "programs-differ: numbers that end in a point": '<path d="M0. 0h10v10z"/>',
    "programs-differ: a mask with a clip": _clip(S.format(""))
    + '<mask id="k" clip-path="url(#c)"><rect width="60" height="40" fill="#fff"/></mask>'
    + S.format(' mask="url(#k)"'),
    "programs-differ: a clip on a placed inner svg": _clip(S.format(""))
    + '<svg x="5" y="5" width="30" height="30" clip-path="url(#c)">'
    + _ALL.format("")
    + "</svg>",
    "programs-differ: shares of a view that a clip path stands in": _clip('<rect width="50%" height="50%"/>')
    + '<svg width="20" height="20" viewBox="0 0 100 100">'
    + _ALL.format(' clip-path="url(#c)"')
    + "</svg>",
    "programs-differ: a clip path that is not displayed": _clip(S.format(""), 'display="none"')
    + _ALL.format(' clip-path="url(#c)"'),
    "programs-differ: a mask under a condition": '<mask id="k" systemLanguage="fr"><path fill="#fff" d="M0 0h9v9z"/></mask>'
    + S.format(' mask="url(#k)"'),
    "programs-differ: a marker in definitions that are not displayed": '<defs display="none"><marker id="m">'
    + S.format("")
    + f"</marker></defs>{_LINE}",
    "programs-differ: a gradient in an svg that is not displayed": f'<svg display="none"><linearGradient id="p">{_STOPS}'
    "</linearGradient></svg>" + S.format(' fill="url(#p)"'),
    "programs-differ: the height of a letter": '<rect width="2ex" height="9"/>',
    "programs-differ: the width of a digit by a style": S.format(' style="stroke-width:1ch"'),
    "programs-differ: a word for an image's aspect": '<svg viewBox="0 0 1 1" preserveAspectRatio="defer none"/>',
    "programs-differ: a size left open in an attribute": '<rect width="9" height="9" rx="3" ry="auto"/>',
    "programs-differ: a use sized by its style": '<symbol id="s"><path d="M0 0h9v9z"/></symbol>'
    '<use href="#s" style="width:20px"/>',
    "programs-differ: blanks around a reference": '<defs><rect id="r" width="9" height="9"/></defs><use href=" #r"/>',
    "programs-differ: dashes of a line without length": '<path d="M9 9h0" stroke="#000" stroke-linecap="round" stroke-dasharray="2 1"/>',
    "programs-differ: a marker on a point": '<marker id="m"><path d="M0 0h9v9z"/></marker><path d="M9 9" marker-end="url(#m)"/>',
    "programs-differ: a switch that begins with a title": f"<switch><title>Hive</title>{S.format('')}</switch>",
    "symbol-size: a size by a style": '<style>#s{width:9px}</style><symbol id="s" viewBox="0 0 9 9"><path d="M0 0h9v9z"/>'
    '</symbol><use href="#s"/>',
    "programs-differ: points after numbers of a transform": S.format(' transform="translate(5. 3.)"'),
    "programs-differ: a reference point as a word": '<marker id="m" viewBox="0 0 10 10" refX="right" refY="center">'
    + S.format("")
    + f"</marker>{_LINE}",
}

SILENT = {
    "a gradient in a group that is not displayed": f'<g display="none"><linearGradient id="p">{_STOPS}</linearGradient></g>'
    + S.format(' fill="url(#p)"'),
    "lines that are not drawn": S.format(' style="outline:none;outline:3px #000;border:3px solid #000;margin:9px"'),
    "a copy of what rules reach by itself": "<style>.b{fill:#000} g .b{stroke:none}</style>"
    '<g id="r"><rect class="b" width="9" height="9"/></g><use href="#r" x="20"/>',
    "rules for print": css("@media print{.b{fill:#fff}}"),
    "a focus within its circle": f'<radialGradient id="p" fx="40%" fy=".6" fr="5%">{_STOPS}</radialGradient>'
    + S.format(' fill="url(#p)"'),
}

# what is done to the page as a whole: the head of the drawing, its ink's box
PAGES = {
    "a style sheet's size goes before the attribute's": (
        'width="9mm" height="9mm" viewBox="0 0 60 40" style="width:60mm;height:40mm"',
        (0, 0, 10, 10),
        False,
    ),
    "a share of a window is no size": (
        'width="60mm" height="40mm" viewBox="0 0 60 40" style="width:100%;height:auto"',
        (0, 0, 10, 10),
        False,
    ),
    "a transform is done about the middle of the page": (
        'width="60mm" height="40mm" viewBox="0 0 60 40" transform="rotate(180)"',
        (50, 30, 60, 40),
        True,
    ),
    "lengths by the root's font": (
        'width="60mm" height="40mm" viewBox="-5 -5 60 40" font-size="5" style="stroke:#000;stroke-width:.8rem"',
        (3, 3, 17, 17),
        False,
    ),
    "an origin of its own": (
        'width="60mm" height="40mm" viewBox="0 0 60 40" style="transform:scale(2);transform-origin:0 0"',
        (0, 0, 20, 20),
        True,
    ),
}
