"""Drawings of one feature of SVG each, after the clauses of SVG 2, CSS Cascading 4, CSS Masking 1 and CSS Color 4."""

_FRAME = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '


def svg(body, *, head='width="60mm" height="40mm" viewBox="0 0 60 40"'):
    """A drawing of 60 x 40 mm, one unit a millimetre, unless `head` says otherwise."""
    return f"{_FRAME}{head}>{body}</svg>".encode()


_RECT = '<rect x="10" y="10" width="20" height="12"/>'
_STAR = "M30 3 L42 38 L12 16 L48 16 L18 38Z"

BODIES = {
    "rect": _RECT,
    "rect rounded by one radius": '<rect x="5" y="5" width="40" height="20" rx="6"/>',
    "rect whose radius is more than its half": '<rect x="5" y="5" width="20" height="30" rx="99" ry="4"/>',
    "rect rounded by two percentages": '<rect x="5" y="5" width="40" height="20" rx="10%" ry="20%"/>',
    "circle in percentages": '<circle cx="50%" cy="50%" r="20%"/>',
    "ellipse": '<ellipse cx="30" cy="20" rx="25" ry="9" transform="rotate(20 30 20)"/>',
    "ellipse with one radius auto": '<ellipse cx="30" cy="20" rx="12"/>',
    "line with round caps": '<line x1="8" y1="8" x2="50" y2="30" stroke="black" stroke-width="5" stroke-linecap="round"/>',
    "polyline filled": '<polyline points="5,5 55,10 30,35"/>',
    "polygon of odd coordinates ends before": '<polygon points="5 5 55 10 30 35"/>',
    "star nonzero": f'<path d="{_STAR}"/>',
    "star evenodd": f'<path d="{_STAR}" fill-rule="evenodd"/>',
    "winding against the ring": '<path d="M5 5h30v30h-30z M12 12v16h16v-16z"/>',
    "winding with the ring": '<path d="M5 5h30v30h-30z M12 12h16v16h-16z"/>',
    "smooth cubics": '<path d="M5 20C5 5 20 5 20 20S35 35 35 20s15-15 15 0v15H5z"/>',
    "smooth after a line reflects nothing": '<path d="M5 20L20 5S45 5 50 35z"/>',
    "smooth quadratics": '<path d="M5 20Q12 2 20 20T35 20t15 0V38H5z"/>',
    "arcs of all four kinds": '<path d="M8 20a12 8 20 0 0 14 6a12 8 20 0 1 14-6a9 6 0 1 1 14 2L40 38H8z"/>',
    "arc flags without separators": '<path d="M10 20a10 10 0 0110-10 10 10 0 1130 8z"/>',
    "arc whose radius is too small": '<path d="M10 20A3 2 0 0 1 50 20z"/>',
    "numbers run together": '<path d="M5.5.5 50-0L.5e1+35.5.5.5z"/>',
    "repeated move is a line": '<path d="M5 5 50 8 30 35z m8 4 20 1 -8 10"/>',
    "subpath after close begins at its start": '<path d="M30 20h20v10z l-20 5 v-20z"/>',
    "nested transforms": f'<g transform="translate(5 3) scale(.8 1.2)"><g transform="skewX(15)">{_RECT}</g></g>',
    "rotate about a point": f'<g transform="rotate(30,20,16)">{_RECT}</g>',
    "matrix": f'<g transform="matrix(.8 .3 -.2 1 6 -4)">{_RECT}</g>',
    "css transform with units": f'<g style="transform: translate(5px, 3px) rotate(0.05turn)">{_RECT}</g>',
    "transform origin": '<rect x="20" y="10" width="20" height="12" style="transform-origin:30px 16px;transform:rotate(40deg)"/>',
    "viewBox of an inner svg": '<svg x="5" y="5" width="50" height="20" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5"/></svg>',
    "slice cuts": '<svg x="5" y="5" width="40" height="10" viewBox="0 0 10 10" preserveAspectRatio="xMinYMax slice">'
    '<circle cx="5" cy="5" r="5"/></svg>',
    "no aspect kept": '<svg x="5" y="5" width="50" height="20" viewBox="0 0 10 10" preserveAspectRatio="none">'
    '<circle cx="5" cy="5" r="5"/></svg>',
    "inner svg overflows when asked": '<svg x="5" y="5" width="20" height="20" overflow="visible"><rect width="30" height="9"/></svg>',
    "inner svg cuts": '<svg x="5" y="5" width="20" height="20"><rect width="30" height="9"/></svg>',
    "use of a shape": '<defs><rect id="a" width="9" height="9"/></defs><use href="#a" x="5" y="6"/><use xlink:href="#a" x="30"/>',
    "use of a symbol": '<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5"/></symbol>'
    '<use href="#s" x="4" y="4" width="30" height="20"/>',
    "use of a later element inherits from its use": '<g fill="white"><use href="#l" x="3"/></g>'
    '<g fill="black"><use href="#l" y="20"/></g><defs><rect id="l" width="12" height="9"/></defs>',
    "symbol outside defs is not painted": '<symbol id="s"><rect width="60" height="40"/></symbol>' + _RECT,
    "switch takes the first that holds": '<switch><rect requiredExtensions="http://example.test/x" width="60" height="40"/>'
    + _RECT
    + '<circle cx="45" cy="30" r="5"/></switch>',
    "display none": '<g display="none"><circle cx="20" cy="20" r="18"/></g>' + _RECT,
    "hidden, and visible again inside": '<g visibility="hidden"><circle cx="40" cy="20" r="9"/>'
    '<rect visibility="visible" width="9" height="9"/></g>',
    "light over dark removes": _RECT + '<circle cx="20" cy="16" r="5" fill="#ffc"/>',
    "dark over light over dark": _RECT
    + '<circle cx="20" cy="16" r="5" fill="white"/><circle cx="20" cy="16" r="3" fill="#222"/>',
    "grey at either side of one half": '<rect width="20" height="20" fill="#7f7f7f"/><rect x="30" width="20" height="20" fill="#808080"/>',
    "hsl colour": '<rect width="20" height="20" fill="hsl(240 100% 30%)"/><rect x="30" width="20" height="20" fill="hsl(60,100%,50%)"/>',
    "colour names and rgb percentages": '<rect width="20" height="20" fill="DarkSlateGray"/>'
    '<rect x="25" width="20" height="20" fill="rgb(100%,95%,80%)"/><rect x="30" y="25" width="20" height="9" fill="rgb(20 30 40)"/>',
    "currentColor through a group": '<g color="white" fill="currentColor"><rect width="20" height="20"/>'
    '<rect x="25" width="20" height="20" color="black" fill="currentColor"/></g>',
    "style sheet after its use": '<rect class="w" width="20" height="20"/>' + _RECT + "<style>.w{fill:white}</style>",
    "descendant, child and class selectors": "<style>g .a{fill:#fff} g>rect{fill:#000} .b.c{fill:#000}</style>"
    '<g><g><circle class="a" cx="12" cy="12" r="9"/></g><rect class="a" x="25" width="9" height="9"/></g>'
    '<rect class="b c" fill="white" y="25" width="9" height="9"/>',
    "important beats the style attribute": "<style>rect{fill:black!important}</style>"
    '<rect style="fill:white" x="5" y="5" width="20" height="9"/>',
    "style attribute beats the sheet, the sheet beats the attribute": "<style>rect{fill:black}</style>"
    '<rect fill="white" width="9" height="9"/><rect style="fill:white" x="20" width="9" height="9"/>',
    "invalid value falls back": '<g fill="white"><rect style="fill:black;fill:nonsense()" width="20" height="9"/></g>',
    "inherit keyword": '<g stroke="black" opacity="1"><rect fill="none" stroke="inherit" stroke-width="3" x="5" y="5" width="20" height="9"/></g>',
    "stroke over fill": '<rect x="10" y="10" width="30" height="15" fill="white" stroke="black" stroke-width="4"/>',
    "fill over stroke": '<rect x="10" y="10" width="30" height="15" fill="white" stroke="black" stroke-width="6" paint-order="stroke"/>',
    "mitre join": '<path d="M5 35L20 8 35 35 50 8" fill="none" stroke="black" stroke-width="6"/>',
    "mitre past its limit is a bevel": '<path d="M10 35L20 5 30 35" fill="none" stroke="black" stroke-width="6" stroke-miterlimit="2"/>',
    "round join": '<path d="M10 35L20 10 30 35" fill="none" stroke="black" stroke-width="8" stroke-linejoin="round"/>',
    "bevel join": '<path d="M10 35L20 10 30 35" fill="none" stroke="black" stroke-width="8" stroke-linejoin="bevel"/>',
    "square caps": '<path d="M10 10H40" stroke="black" stroke-width="8" stroke-linecap="square"/>',
    "round cap of a line without length": '<path d="M10 10h0M30 20z" stroke="black" stroke-width="9" stroke-linecap="round"/>',
    "butt cap of a line without length": _RECT + '<path d="M40 30h0" stroke="black" stroke-width="9"/>',
    "dashes with offset": '<path d="M5 10H55" stroke="black" stroke-width="5" stroke-dasharray="9 3 2" stroke-dashoffset="4"/>',
    "dashes with negative offset and round caps": '<path d="M5 20Q30-10 55 20" fill="none" stroke="black" stroke-width="3" '
    'stroke-dasharray="6 5" stroke-dashoffset="-2" stroke-linecap="round"/>',
    "dash through the start of a closed path": '<rect x="10" y="10" width="30" height="20" fill="none" stroke="black" '
    'stroke-width="5" stroke-dasharray="17 8" stroke-dashoffset="6"/>',
    "dashed circle": '<circle cx="30" cy="20" r="14" fill="none" stroke="black" stroke-width="4" stroke-dasharray="5"/>',
    "stroke under a skew": '<g transform="scale(3 1) skewX(20)"><path d="M5 10L10 30 15 8" fill="none" stroke="black" stroke-width="3"/></g>',
    "stroke width in percent": '<path d="M5 10H55" stroke="black" stroke-width="10%"/>',
    "stroke width in em": '<g font-size="8"><path d="M5 10H55" stroke="black" stroke-width=".5em"/></g>',
    "em is inherited as a length": '<g font-size="8" stroke-width=".5em"><path font-size="1" d="M5 10H55" stroke="black"/></g>',
    "stroke of a tight curve": '<path d="M15 35C15-25 25-25 25 35" fill="none" stroke="black" stroke-width="12"/>',
    "cusp": '<path d="M10 30C50 5 10 5 50 30" fill="none" stroke="black" stroke-width="5"/>',
    "clip path": '<clipPath id="c"><circle cx="20" cy="16" r="8"/></clipPath><g clip-path="url(#c)">' + _RECT + "</g>",
    "clip path defined later, used under a transform": '<g transform="translate(9 4) rotate(10)"><rect width="40" height="25" '
    'clip-path="url(#c)"/></g><defs><clipPath id="c"><circle cx="15" cy="12" r="11"/></clipPath></defs>',
    "clip path in the box of its object": '<clipPath id="c" clipPathUnits="objectBoundingBox"><circle cx=".5" cy=".5" r=".5"/></clipPath>'
    '<rect x="10" y="5" width="40" height="20" clip-path="url(#c)"/>',
    "clip path with its own clip and rule": '<clipPath id="d"><rect x="5" y="5" width="25" height="40"/></clipPath>'
    f'<clipPath id="c" clip-path="url(#d)"><path clip-rule="evenodd" d="{_STAR}"/></clipPath>'
    '<rect width="60" height="40" clip-path="url(#c)"/>',
    "clip path by use": '<clipPath id="c"><use href="#r" x="4"/></clipPath><defs><rect id="r" x="10" y="10" width="9" height="22"/></defs>'
    '<circle cx="20" cy="20" r="15" clip-path="url(#c)"/>',
    "empty clip path hides": _RECT + '<clipPath id="c"/><circle cx="45" cy="30" r="8" clip-path="url(#c)"/>',
    "mask by luminance": '<mask id="m"><rect width="60" height="40" fill="white"/><circle cx="20" cy="16" r="5"/></mask>'
    '<g mask="url(#m)">' + _RECT + "</g>",
    "mask in the box of its object": '<mask id="m" maskContentUnits="objectBoundingBox"><circle cx=".5" cy=".5" r=".5" fill="#fff"/></mask>'
    '<rect x="10" y="5" width="40" height="20" mask="url(#m)"/>',
    "mask by alpha": '<mask id="m" style="mask-type:alpha"><circle cx="20" cy="16" r="9"/></mask><g mask="url(#m)">'
    + _RECT
    + "</g>",
    "gradient on the dark side": '<linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#444"/></linearGradient>'
    '<rect x="5" y="5" width="30" height="20" fill="url(#g)"/>',
    "fallback of a lost paint": '<rect x="5" y="5" width="30" height="20" fill="url(#lost) black"/>',
    "marker at the end": '<marker id="m" markerWidth="4" markerHeight="4" refX="5" refY="5" viewBox="0 0 10 10" orient="auto">'
    '<path d="M0 0L10 5 0 10z"/></marker><path d="M8 30L40 12" stroke="black" stroke-width="3" marker-end="url(#m)"/>',
    "markers along a path": '<marker id="m" markerWidth="6" markerHeight="6" refX="3" refY="3" markerUnits="userSpaceOnUse" orient="30">'
    '<rect width="6" height="6"/></marker><polyline points="8,30 20,8 32,30 50,12" fill="none" stroke="black" marker-mid="url(#m)" '
    'marker-start="url(#m)"/>',
    "marker turned at the start": '<marker id="m" markerWidth="5" markerHeight="5" refX="1" refY="2" orient="auto-start-reverse">'
    '<path d="M0 0L5 2 0 4z"/></marker><path d="M15 30Q20 5 45 12" fill="none" stroke="black" stroke-width="2" '
    'style="marker:url(#m)"/>',
    "script prefix named like an attribute": '<g xmlns:x="http://example.test/3.0/" xmlns:r="urn:r">' + _RECT + "</g>",
    "foreign elements are no drawing": '<q:view xmlns:q="urn:q"><rect width="60" height="40"/></q:view>' + _RECT,
    "non-scaling stroke": '<g transform="scale(4 1)"><path d="M3 10L12 10 7 30" fill="none" stroke="black" stroke-width="4" '
    'vector-effect="non-scaling-stroke"/></g>',
    "clip path on a use moves with it": '<clipPath id="c"><circle r="9"/></clipPath><defs><rect id="r" width="30" height="30"/></defs>'
    '<use href="#r" x="10" y="5" clip-path="url(#c)"/>',
    "clip path on a use within a clip path": '<defs><rect id="r" width="9" height="22"/></defs><clipPath id="d"><circle r="9"/></clipPath>'
    '<clipPath id="c"><use href="#r" x="14" y="8" clip-path="url(#d)"/></clipPath><rect width="60" height="40" clip-path="url(#c)"/>',
    "mask on a use moves with it": '<mask id="m" maskUnits="userSpaceOnUse" x="0" y="0" width="10" height="10"><rect width="60" height="40" '
    'fill="white"/></mask><defs><rect id="r" width="30" height="30"/></defs><use href="#r" x="10" y="5" mask="url(#m)"/>',
    "clip path in the box of a group": '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>'
    '<g transform="rotate(10)" clip-path="url(#c)"><rect x="5" y="5" width="10" height="10"/><rect x="40" y="15" width="10" height="15"/></g>',
    "the box of a group holds what is not painted": '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>'
    '<g clip-path="url(#c)"><rect x="5" y="5" width="10" height="10"/><rect x="40" y="15" width="10" height="15" fill="none"/></g>',
    "the region of a mask holds what is not painted": '<mask id="m"><rect width="60" height="40" fill="white"/></mask><g mask="url(#m)">'
    '<rect x="20" y="5" width="10" height="10" stroke="black" stroke-width="9"/><rect width="60" height="40" fill="none"/></g>',
    "the box of a group does not hold a mask within it": '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>'
    '<mask id="m"><rect width="60" height="40" fill="white"/></mask><g clip-path="url(#c)"><rect x="5" y="5" width="20" height="10" mask="url(#m)"/></g>',
    "clip path on an inner svg lies inside": '<clipPath id="c"><circle cx="15" cy="15" r="8"/></clipPath>'
    '<svg x="8" y="8" width="30" height="20" clip-path="url(#c)"><rect width="30" height="30"/></svg>',
    "clip path on a symbol lies inside": '<symbol id="s" viewBox="0 0 10 10" clip-path="url(#c)"><rect width="10" height="10"/></symbol>'
    '<clipPath id="c"><circle cx="5" cy="5" r="3"/></clipPath><use href="#s" width="30" height="30"/>',
    "a gradient by the box of a straight line paints nothing": _RECT
    + '<linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#333"/></linearGradient>'
    '<path d="M5 30H50" stroke="url(#g)" stroke-width="5"/>',
    "a gradient by the space of a straight line paints it": '<linearGradient id="g" href="#h"/><linearGradient id="h" '
    'gradientUnits="userSpaceOnUse" x2="60"><stop stop-color="#000"/><stop offset="1" stop-color="#333"/></linearGradient>'
    '<path d="M5 30H50" stroke="url(#g)" stroke-width="5"/>',
    "a line back on itself": '<path d="M10 20H50H30" fill="none" stroke="black" stroke-width="6"/>',
    "a line without length amid others": '<path d="M10 20H30h0V35" fill="none" stroke="black" stroke-width="6"/>',
    "dashes without length have round caps": '<path d="M5 20H55" stroke="black" stroke-width="4" stroke-dasharray="0 8" stroke-linecap="round"/>',
    "dashes keep the joins within them": '<path d="M10 30L20 8 30 30 40 8" fill="none" stroke="black" stroke-width="4" stroke-dasharray="30 5"/>',
    "dashes begin again with each subpath": '<path d="M5 10H30M5 30H50" stroke="black" stroke-width="4" stroke-dasharray="9 4"/>',
    "round caps under a skew": '<g transform="matrix(1 .4 -.6 .8 15 0)"><path d="M10 10H40" stroke="black" stroke-width="8" stroke-linecap="round"/></g>',
    "a symbol's aspect": '<symbol id="s" viewBox="0 0 10 10" preserveAspectRatio="xMaxYMax slice"><circle cx="5" cy="5" r="5"/></symbol>'
    '<use href="#s" x="5" y="5" width="40" height="20"/>',
    "a symbol that overflows": '<symbol id="s" viewBox="0 0 10 10" overflow="visible"><circle cx="5" cy="5" r="8"/></symbol>'
    '<use href="#s" x="20" y="10" width="10" height="10"/>',
    "a view in a view in percentages": '<svg x="10%" y="10%" width="50%" height="50%"><rect width="100%" height="100%"/></svg>',
    "the first of two of a name": '<rect id="a" width="5" height="5"/><rect id="a" x="9" width="20" height="20"/><use href="#a" y="20"/>',
    "href outweighs the old one": '<defs><rect id="a" width="9" height="9"/><rect id="b" width="30" height="30"/></defs><use href="#a" xlink:href="#b"/>',
    "strokes and opacity in a clip path count for nothing": '<clipPath id="c"><circle cx="15" cy="15" r="9" fill="none" stroke="black" '
    'stroke-width="6" opacity="0"/></clipPath><rect width="60" height="40" clip-path="url(#c)"/>',
    "groups in a clip path are no part of it": '<clipPath id="c"><g><circle cx="15" cy="15" r="9"/></g><rect x="30" width="9" height="9"/></clipPath>'
    '<rect width="60" height="40" clip-path="url(#c)"/>',
    "a mask of a mask": '<mask id="n"><rect width="15" height="40" fill="white"/></mask><mask id="m" mask="url(#n)"><rect width="60" height="40" '
    'fill="white"/></mask><rect width="60" height="40" mask="url(#m)"/>',
    "an empty mask hides": _RECT + '<mask id="m"/><rect x="40" y="20" width="15" height="15" mask="url(#m)"/>',
}

FRAMES = {
    "points": 'width="100pt" height="80pt" viewBox="0 0 50 40"',
    "inches, wider than the viewBox": 'width="2in" height="1in" viewBox="0 0 50 40"',
    "aspect from the viewBox": 'viewBox="-5 -5 60 40"',
    "aligned left, sliced": 'width="200" height="100" viewBox="0 0 50 40" preserveAspectRatio="xMinYMid slice"',
    "no viewBox": 'width="50" height="40"',
    "percentages": 'width="100%" height="100%" viewBox="0 0 50 40"',
}
