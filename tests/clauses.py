"""Clauses of the standards, each as a drawing whose ink has a round area by hand [mm²]: squares of 10 x 10 mm.

SVG: Scalable Vector Graphics 2; cascade: CSS Cascading and Inheritance 4; selectors: Selectors 4; colour: CSS Color 4;
values: CSS Values and Units 4; transforms: CSS Transforms 1; masking: CSS Masking 1.
"""

from squares import AT, BLACK, WHITE, S, css

CASCADE = {
    "a later rule of the same weight wins": (css(".b{fill:#fff}.b{fill:#000}"), BLACK),
    "an id outweighs classes": (css("#a{fill:#fff}.b.c.b{fill:#000}"), WHITE),
    "a class outweighs elements": (css(".b{fill:#fff}svg g rect{fill:#000}"), WHITE),
    "an attribute selector weighs as a class": (css(".b{fill:#000}[width]{fill:#fff} rect{fill:#000}"), 0.0),
    "importance outweighs an id": (css("rect.b{fill:#fff!important}#a{fill:#000}"), WHITE),
    "importance in a style attribute wins over a sheet's": (
        css(".b{fill:#000!important}", ' style="fill:#fff!important"'),
        WHITE,
    ),
    "a presentation attribute yields to any rule": (css("*{fill:#000}", ' fill="#fff"'), BLACK),
    "importance has no place in a presentation attribute": (css("", ' fill="#fff!important"'), BLACK),
    "inherit takes the parent's": (css("g{fill:#fff}.b{fill:inherit}"), WHITE),
    "initial takes the first value of all": (css("g{fill:#fff}.b{fill:initial}"), BLACK),
    "unset inherits what inherits": (css("g{fill:#fff}.b{fill:unset}"), WHITE),
    "unset resets what does not inherit": (css("g{opacity:1}.b{opacity:.1;opacity:unset}"), BLACK),
    "opacity is not inherited": (css("g{opacity:.99}.b{opacity:inherit}"), BLACK),
    "property names know no case": (css(".b{FILL:#fff}"), WHITE),
    "keywords know no case": (css("g{fill:#fff}.b{fill:INHERIT}"), WHITE),
    "a broken declaration leaves the next alone": (css(".b{fill:#000 #111;stroke:;fill:#fff}"), WHITE),
    "a broken rule leaves the next alone": (css("rect..b{fill:#000}.b{fill:#fff}"), WHITE),
    "one wrong selector spoils its list": (css(".b,rect..x{fill:#fff}"), BLACK),
    "comments are nothing": (css("/*.b{}*/.b{/*x*/fill:/*y*/#fff}"), WHITE),
    "escapes in names": (css(r".\62 {fill:#fff}"), WHITE),
    "a sheet in CDATA": (css("<![CDATA[.g>.b{fill:#fff}]]>"), WHITE),
    "a sheet for the screen": (css("@media screen{.b{fill:#fff}}"), WHITE),
    "a sheet for all": (css("@media all{.b{fill:#fff}}"), WHITE),
    "a sheet for the screen among others": (css("@media print, screen{.b{fill:#fff}}"), WHITE),
    "a part that is made up is no element": (css(".b::before{fill:#fff}"), BLACK),
    "two sheets in order": (css(".b{fill:#000}") + "<style>.b{fill:#fff}</style>", WHITE),
    "a sheet of another language is none": ('<style type="text/x-hive">rect{fill:#fff}</style>' + S.format(""), 100.0),
}

SELECTORS = {
    "every element": (css("*{fill:#fff}"), 0.0),
    "a child": (css("g>rect{fill:#fff}"), WHITE),
    "not a grandchild": (css("svg>rect{fill:#fff}"), 100.0),
    "a descendant": (css("svg .b{fill:#fff}"), WHITE),
    "the next sibling": (css("g+rect{fill:#fff}"), 100.0),
    "a later sibling": (css("style~rect{fill:#fff}"), 100.0),
    "two classes": (css(".c.b{fill:#fff}"), WHITE),
    "an attribute's value": (css('[class="b c"]{fill:#fff}'), WHITE),
    "a word of an attribute": (css("[class~=c]{fill:#fff}"), WHITE),
    "the start of an attribute": (css('[class^="b "]{fill:#fff}'), WHITE),
    "the first child": (css("rect:first-child{fill:#fff}"), WHITE),
    "the last child": (css("svg>:last-child{fill:#fff}"), 100.0),
    "every odd child": (css("g>:nth-child(odd){fill:#fff}"), WHITE),
    "all but": (css("rect:not(.b){fill:#fff}"), 100.0),
    "a class is told by its case": (css(".B{fill:#fff}"), BLACK),
    "a language": (css(":lang(de){fill:#fff}", ' xml:lang="de-AT"'), WHITE),
    "a language by the plain attribute": (css(":lang(de){fill:#fff}", ' lang="de-AT"'), WHITE),  # SVG 2, 5.12
    "a language of XML goes first": (css(":lang(de){fill:#fff}", ' lang="de" xml:lang="fr"'), BLACK),
}

COLOURS = {
    colour: (f'<rect width="10" height="10" style="fill:{colour}"/>', area)
    for colour, area in {
        "#000": 100.0,
        "#0008": 100.0,  # 0.47 black over white is grey of 0.53: light; 8/15 is 0.53 black: dark
        "#0007": 0.0,
        "#000000ff": 100.0,
        "#ffffff": 0.0,
        "black": 100.0,
        "REBECCAPURPLE": 100.0,
        "transparent": 0.0,
        "rgb(0,0,0)": 100.0,
        "rgb(0 0 0)": 100.0,
        "rgb(0 0 0 / 60%)": 100.0,
        "rgba(0,0,0,.4)": 0.0,
        "rgb(10% 10% 10%)": 100.0,
        "rgb(300,300,300)": 0.0,  # beyond the range is clipped
        "hsl(0,100%,25%)": 100.0,
        "hsl(0deg 0% 90%)": 0.0,
        "hsl(.5turn 100% 10%)": 100.0,
        "hsla(120,100%,50%,1)": 0.0,  # lime
        "hwb(0 0% 100%)": 100.0,
        "hwb(0 100% 0%)": 0.0,
        "currentColor": 100.0,
        "none": 0.0,
        # lightness at either side of a coded grey of one half: L* of #808080 is 53.585, OKLab's L is 0.5999
        "lab(53% 0 0)": 100.0,
        "lab(54% 0 0)": 0.0,
        "lch(53% 0 0)": 100.0,
        "oklab(59% 0 0)": 100.0,
        "oklab(61% 0 0)": 0.0,
        "oklch(.59 0 0)": 100.0,
        "color(srgb .49 .49 .49)": 100.0,
        "color(srgb-linear .21 .21 .21)": 100.0,  # 0.2140 linear is 0.5 coded (IEC 61966-2-1)
        "color(srgb-linear .22 .22 .22)": 0.0,
        "color(display-p3 .49 .49 .49)": 100.0,  # greys and curve are those of sRGB
        "color(display-p3 .51 .51 .51)": 0.0,
        "color(xyz .2 .21 .228)": 100.0,
        "color(rec2020 1 1 1)": 0.0,
        "color(prophoto-rgb 0 0 0)": 100.0,
        "color(a98-rgb 1 1 1)": 0.0,
    }.items()
}

LENGTHS = {
    unit: (f'<rect width="{value}{unit}" height="10"/>', area)
    for unit, (value, area) in {
        "px": (10, 100.0),
        "mm": (1, 10 * 96 / 25.4),
        "cm": (0.1, 10 * 96 / 25.4),
        "Q": (4, 10 * 96 / 25.4),
        "in": (0.1, 96.0),
        "pt": (7.5, 100.0),
        "pc": (1, 160.0),
        "em": (1, 160.0),  # the font's size is 16 px unless said otherwise
        "rem": (1, 160.0),
        "%": (10, 60.0),
    }.items()
}

# CSS Custom Properties 1; what a fallback refers to is asked for only where it is needed: CSS Values 5
VARIABLES = {
    "of the root": (css(":root{--x:#fff}.b{fill:var(--x)}"), WHITE),
    "in an attribute": (css("g{--x:#fff}", ' fill="var(--x)"'), WHITE),
    "in an attribute of size": ('<rect style="--w:20px" width="var(--w)" height="10"/>', 200.0),
    "the strongest counts": (css(".b{--x:#fff!important;fill:var(--x)}#a{--x:#000}"), WHITE),
    "names are told by their case": (css(".b{--X:#fff;--x:#000;fill:var(--X)}"), WHITE),
    "names are told by their case in a plain style": (css("", ' style="--X:#fff;--x:#000;fill:var(--X)"'), WHITE),
    "a part of a value": (css(".b{--n:255;fill:rgb(var(--n),var(--n), var( --n ))}"), WHITE),
    "nothing as a value": (css(".b{--x:;fill:#fff var(--x)}"), WHITE),
    "a fallback": (css(".b{fill:var(--y,#fff)}"), WHITE),
    "a fallback of a fallback": (css(".b{fill:var(--y,var(--z,#fff))}"), WHITE),
    "a fallback that inherits": (css("g{fill:#fff}.b{fill:#000;fill:var(--y,inherit)}"), WHITE),
    "without a fallback as if unset": (css("g{fill:#fff}.b{fill:#000;fill:var(--y)}"), WHITE),
    "a wrong value as if unset": (css("g{fill:#fff}.b{--x:oops;fill:#000;fill:var(--x)}"), WHITE),
    "a circle is none": (css(".b{--x:var(--y);--y:var(--x);fill:var(--x,#fff)}"), WHITE),
    "a circle hides what is handed down": (css("g{--x:#000}.b{--x:var(--x,#000);fill:var(--x,#fff)}"), WHITE),
    "a fallback that is not needed makes no circle": (css(".b{--x:var(--y,var(--x));--y:#fff;fill:var(--x)}"), WHITE),
    "initial is none": (css("g{--x:#000}.b{--x:initial;fill:var(--x,#fff)}"), WHITE),
    "inherit is what is handed down": (css("g{--x:#fff}.b{--x:inherit;fill:var(--x,#000)}"), WHITE),
    "numbers and units are not glued": (
        css(".b{--w:8;stroke:#000;stroke-width:4px;stroke-width:var(--w)px}"),
        100 + 10.5**2,  # a pen of 1, which shows on two sides
    ),
    "a copy takes those of its use": (
        '<defs><rect id="r" width="10" height="10" style="fill:var(--x,#000)"/></defs><use href="#r" style="--x:#fff"/>'
        + AT.format(20, ""),
        100.0,
    ),
}

# CSS Values 4, 10: what mathematical functions come to
FUNCTIONS = {
    "calc(10px + 5px)": 15,
    "calc(50% - 5px)": 25,
    "calc(2 * (3px + 4px) / 2)": 7,
    "calc(calc(5px) + (3px))": 8,
    "calc(10px - -5px)": 15,
    "CALC(10PX + .5em)": 18,
    "calc((50% - 5px) * -1 + 60px)": 35,
    "calc(1px - 5px)": 0,
    "min(50%, 20px, 2em)": 20,
    "max(5%, 20px)": 20,
    "calc(-1 * min(5%, 20px) + 10px)": 7,
    "clamp(5px, 50%, 20px)": 20,
    "clamp(25px, 5%, 20px)": 25,
    # not by its grammar: as if it were not there
    "calc(10px+5px)": 0,
    "calc(10px + 5)": 0,
    "calc(10px * 5px)": 0,
    "calc(5px + )": 0,
    "min(5px, 3)": 0,
    "calc(10px / 0)": 0,
    "calc" + "(" * 40_000 + "1px" + ")" * 40_000: 0,
}
FUNCTIONS = {
    **{
        text: (f'<rect width="{text}" height="10"/><path d="M0 30h10v10h-10z"/>', w * 10 + 100.0)
        for text, w in FUNCTIONS.items()
    },
    "of a style": ('<rect height="10" style="width:calc(50% - 5px)"/>', 250.0),
    "of an opacity": (S.format(' style="opacity:calc(.2 * 2)"') + AT.format(20, ""), 100.0),
    "of a pen, by the font where it is declared": (
        '<g style="font-size:4px;stroke-width:calc(1em + 2px)"><path d="M5 9h20" stroke="#000" font-size="9"/></g>',
        20 * 6.0,
    ),
    "of a pen, of shares": (
        '<svg width="30" height="30"><path d="M5 9h20" stroke="#000" style="stroke-width:calc(10% + 2px)"/></svg>',
        20 * 5.0,
    ),
    "of a font": (
        '<g font-size="4"><g style="font-size:calc(100% + 1em)"><rect width="1em" height="9"/></g></g>',
        72.0,
    ),
    "of dashes": (
        '<path d="M0 9h30" stroke="#000" style="stroke-width:4;stroke-dasharray:calc(2px + 3px), 5px"/>',
        15 * 4.0,
    ),
    "of a line": ('<line x1="calc(5px + 5px)" x2="30" y1="9" y2="9" stroke="#000" stroke-width="2"/>', 40.0),
    "of a variable": ('<rect height="10" style="--w:4px;width:calc(var(--w) * 3)"/>', 120.0),
}

PLACES = {
    "translate by one number": ('<g transform="translate(5)">' + S.format("") + "</g>", (5, 0, 15, 10)),
    "a list is done from the right": (
        '<g transform="translate(10 5),scale(2)">' + S.format("") + "</g>",
        (10, 5, 30, 25),
    ),
    "rotate about a point": ('<g transform="rotate(90 10 10)">' + S.format("") + "</g>", (10, 0, 20, 10)),
    "skewY": ('<g transform="skewY(45)">' + S.format("") + "</g>", (0, 0, 10, 20)),
    "scale by one number": ('<g transform="scale(1.5)">' + S.format("") + "</g>", (0, 0, 15, 15)),
    "a style's transform beats the attribute": (
        '<g transform="scale(3)" style="transform:scale(2)">' + S.format("") + "</g>",
        (0, 0, 20, 20),
    ),
    "translateX and translateY": (
        '<g style="transform:translateX(3px) translateY(4px)">' + S.format("") + "</g>",
        (3, 4, 13, 14),
    ),
    "a turn as a unit of angle": (
        '<g style="transform:translate(10px,0) rotate(.25turn)">' + S.format("") + "</g>",
        (0, 0, 10, 10),
    ),
    "use adds x and y after its transform": (
        '<defs><rect id="r" width="5" height="5"/></defs><use href="#r" x="2" y="3" transform="scale(2)"/>',
        (4, 6, 14, 16),
    ),
    "use sizes a symbol": (
        '<symbol id="s" viewBox="0 0 1 1"><rect width="1" height="1"/></symbol><use href="#s" x="1" width="8" height="6"/>',
        (2, 0, 8, 6),
    ),
    "a symbol has its own width": (
        '<symbol id="s" viewBox="0 0 1 1" width="7" height="7"><rect width="1" height="1"/></symbol><use href="#s"/>',
        (0, 0, 7, 7),
    ),
    "use of an inner svg gives it its size": (
        (
            '<defs><svg id="s" viewBox="0 0 1 1" width="3" height="3"><rect width="1" height="1"/></svg></defs>'
            '<use href="#s" width="9" height="9"/>'
        ),
        (0, 0, 9, 9),
    ),
    "percentages are of the nearest view": (
        '<svg x="10" width="20" height="10"><rect width="50%" height="100%"/></svg>',
        (10, 0, 20, 10),
    ),
    "percentages are of the view box": (
        '<svg width="20" height="20" viewBox="0 0 100 100"><rect width="50%" height="50"/></svg>',
        (0, 0, 10, 10),
    ),
    "style gives a shape its size": ('<rect style="x:3px;y:4px;width:5px;height:6px"/>', (3, 4, 8, 10)),
    "style gives a circle its radius": ('<circle style="cx:10px;cy:10px;r:4px"/>', (6, 6, 14, 14)),
    "style gives a path its data": ("<path style=\"d:path('M1 2h3v4h-3z')\"/>", (1, 2, 4, 6)),
}

_SMALL = {"Min": (5, 15), "Mid": (10, 20), "Max": (15, 25)}  # a square of 10 along a view from 5 to 25
_CUT = {"Min": (14, 15), "Mid": (9, 11), "Max": (5, 6)}  # the bar at 9 to 11 of a square of 20 in a view from 5 to 15


def _kept(align, size, mark):
    head = f'x="5" y="5" {size} viewBox="0 0 1 1" preserveAspectRatio="{align}"'
    return f"<svg {head}><rect {mark}/></svg>"


_WIDE, _TALL, _ALL = 'width="20" height="10"', 'width="10" height="20"', 'width="1" height="1"'
_BAR, _POST = 'x=".1" y=".45" width=".8" height=".1"', 'x=".45" y=".1" width=".1" height=".8"'
_WORDS = [(x, y) for x in _SMALL for y in _SMALL]

KEPT = {  # where the unit square, or a bar in it, comes to lie (SVG 2, 8.8)
    "none": (_kept("none", _WIDE, _ALL), (5, 5, 25, 15)),
    "meet is meant": (_kept("xMinYMax", _WIDE, _ALL), (5, 5, 15, 15)),
    "no such word": (_kept("oops", _WIDE, _ALL), (10, 5, 20, 15)),
    **{
        f"x{x}Y{y} meet, wide": (_kept(f"x{x}Y{y} meet", _WIDE, _ALL), (_SMALL[x][0], 5, _SMALL[x][1], 15))
        for x, y in _WORDS
    },
    **{
        f"x{x}Y{y} meet, tall": (_kept(f"x{x}Y{y} meet", _TALL, _ALL), (5, _SMALL[y][0], 15, _SMALL[y][1]))
        for x, y in _WORDS
    },
    **{
        f"x{x}Y{y} slice, wide": (_kept(f"x{x}Y{y} slice", _WIDE, _BAR), (7, _CUT[y][0], 23, _CUT[y][1]))
        for x, y in _WORDS
    },
    **{
        f"x{x}Y{y} slice, tall": (_kept(f"x{x}Y{y} slice", _TALL, _POST), (_CUT[x][0], 7, _CUT[x][1], 23))
        for x, y in _WORDS
    },
}

CONDITIONS = {
    "a language asked for": (S.format(' systemLanguage="en"'), 100.0),
    "a language of a list": (S.format(' systemLanguage="fr, en-GB"'), 100.0),
    "a language not asked for": (S.format("") + AT.format(20, ' systemLanguage="fr"'), 100.0),
    "no language at all": (S.format("") + AT.format(20, ' systemLanguage=""'), 100.0),
    "an extension nobody has": (S.format("") + AT.format(20, ' requiredExtensions="urn:x"'), 100.0),
    "switch takes one": (f"<switch>{AT.format(20, '')}{S.format('')}</switch>", 100.0),
    "display none hides what is used": (
        f'<g display="none"><rect id="r" width="10" height="10"/></g><use href="#r"/>{AT.format(20, "")}',
        200.0,
    ),
    "visibility collapse hides": (S.format("") + AT.format(20, ' visibility="collapse"'), 100.0),
    "an empty reference hides that of XLink": (  # SVG 2, 16.1.5
        '<defs><rect id="r" width="10" height="10"/></defs><use href="" xlink:href="#r"/>' + AT.format(20, ""),
        100.0,
    ),
    "a link is a group": (f'<a href="x.html">{S.format("")}</a>', 100.0),
    "definitions are not painted": (f"<defs>{AT.format(20, '')}</defs>{S.format('')}", 100.0),
    "a width of nothing is not painted": ('<rect width="0" height="9" stroke="#000"/>' + S.format(""), 100.0),
    "a negative width is not painted": ('<rect width="-5" height="9"/>' + S.format(""), 100.0),
    "fill none": (S.format("") + AT.format(20, ' fill="none"'), 100.0),
    "a miter limit below one is no value": (
        '<path d="M5 5h10v10" fill="none" stroke="#000" stroke-width="2" stroke-miterlimit=".5"/>',
        2 * 20.0,
    ),
    "a negative width of a pen is no value": (
        '<g stroke-width="2"><path d="M5 5h10" stroke="#000" stroke-width="-3"/></g>',
        20.0,
    ),
    "no dash of a negative list": ('<path d="M5 5h10" stroke="#000" stroke-width="2" stroke-dasharray="3 -1"/>', 20.0),
    "no dash of zeros": ('<path d="M5 5h10" stroke="#000" stroke-width="2" stroke-dasharray="0 0"/>', 20.0),
    "clip paths cut": (
        '<clipPath id="c"><rect width="10" height="5"/></clipPath><rect width="10" height="10" clip-path="url(#c)"/>',
        50.0,
    ),
    "a clip path's children unite": (
        (
            '<clipPath id="c"><rect width="5" height="10"/><rect x="3" width="5" height="10"/></clipPath>'
            '<rect width="10" height="10" clip-path="url(#c)"/>'
        ),
        80.0,
    ),
    "a quoted reference": (
        (
            '<clipPath id="c"><rect width="10" height="5"/></clipPath>'
            '<rect width="10" height="10" style="clip-path:url(\'#c\')"/>'
        ),
        50.0,
    ),
    "a mask is cut to its own box": (
        (
            '<mask id="m" maskUnits="userSpaceOnUse" x="0" y="0" width="10" height="5"><rect width="60" height="40" fill="#fff"/></mask>'
            '<rect width="10" height="10" mask="url(#m)"/>'
        ),
        50.0,
    ),
    "black in a mask hides": (
        (
            '<mask id="m"><rect width="60" height="40" fill="#fff"/><rect width="5" height="10"/></mask>'
            '<rect width="10" height="10" mask="url(#m)"/>'
        ),
        50.0,
    ),
}
