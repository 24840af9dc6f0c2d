"""Drawings with markers, one rule of SVG 2 (Painting, Markers) or of its directionality of paths each."""

_ARROW = '<path d="M0 0L10 5 0 10 3 5z"/>'
_FRAME = 'viewBox="0 0 10 10" refX="5" refY="5" markerWidth="6" markerHeight="6"'
_LINE = 'fill="none" stroke="black" stroke-width="1.5"'


def _marker(attributes=f'{_FRAME} orient="auto"', content=_ARROW, name="m"):
    return f'<marker id="{name}" {attributes}>{content}</marker>'


def _on(data, *, which="marker", width=1.5, **marker):
    """A path with markers at every vertex unless `which` says otherwise."""
    pen = f'fill="none" stroke="black" stroke-width="{width}"'
    return _marker(**marker) + f'<path d="{data}" {pen} style="{which}:url(#m)"/>'


_ZIGZAG = "M8 30L20 8 32 30 50 12"

BODIES = {
    "at the start alone": _on(_ZIGZAG, which="marker-start"),
    "at the middles alone": _on(_ZIGZAG, which="marker-mid"),
    "at the end alone": _on(_ZIGZAG, which="marker-end"),
    "at every vertex": _on(_ZIGZAG),
    "only the first vertex of all starts": _on("M8 8H20V20M30 8L50 12 40 30", which="marker-start"),
    "only the last vertex of all ends": _on("M8 8H20V20M30 8L50 12 40 30", which="marker-end"),
    "inner ends and starts are middles": _on("M8 8H20V20M30 8L50 12 40 30", which="marker-mid"),
    "along cubics": _on("M8 30C8 5 28 5 28 20S50 35 52 10"),
    "along quadratics": _on("M8 30Q15 2 30 20T52 12"),
    "a cubic whose last control point is its end": _on("M8 30C20 2 52 25 52 25"),
    "a line back on itself": _on("M10 20H40H25"),
    "turned by a fixed angle": _on(_ZIGZAG, attributes=f'{_FRAME} orient="40"'),
    "turned by degrees": _on(_ZIGZAG, attributes=f'{_FRAME} orient="-70deg"'),
    "turned by gradians": _on(_ZIGZAG, attributes=f'{_FRAME} orient="50grad"'),
    "not turned unless asked": _on(_ZIGZAG, attributes=_FRAME),
    "reversed at the start": _on(_ZIGZAG, attributes=f'{_FRAME} orient="auto-start-reverse"'),
    "sized by the stroke": _on("M12 28L28 12 44 26", width=2.5),
    "sized by the space of the path": _on(_ZIGZAG, attributes=f'{_FRAME} orient="auto" markerUnits="userSpaceOnUse"'),
    "three by three without a size": _on(
        _ZIGZAG, attributes='refX="1.5" refY="1.5"', content='<path d="M0 0H9V9z"/>', width=3
    ),
    "cut to its view": _on(_ZIGZAG, content='<circle cx="5" cy="5" r="7"/>'),
    "not cut when it overflows": _on(
        _ZIGZAG, attributes=f'{_FRAME} overflow="visible"', content='<circle cx="5" cy="5" r="7"/>'
    ),
    "not cut when it overflows by style": _on(
        _ZIGZAG, attributes=f'{_FRAME} style="overflow:visible"', content='<circle cx="5" cy="5" r="7"/>'
    ),
    "a view box wider than the marker": _on(
        _ZIGZAG, attributes='viewBox="0 0 20 10" refX="10" refY="5" markerWidth="8" markerHeight="8"'
    ),
    "aligned in its view": _on(
        _ZIGZAG,
        attributes='viewBox="0 0 10 10" markerWidth="10" markerHeight="5" preserveAspectRatio="xMaxYMid"',
    ),
    "stretched to its view": _on(
        _ZIGZAG,
        attributes='viewBox="0 0 10 10" refX="5" refY="5" markerWidth="9" markerHeight="4" preserveAspectRatio="none"',
    ),
    "a view box with an origin": _on(
        _ZIGZAG,
        attributes='viewBox="-5 -5 10 10" markerWidth="6" markerHeight="6" orient="auto"',
        content='<path d="M-5-5L5 0-5 5z"/>',
    ),
    "no reference point is the corner": _on(_ZIGZAG, attributes='viewBox="0 0 10 10" markerWidth="5" markerHeight="5"'),
    "without width there is none": _on(_ZIGZAG, attributes=f'{_FRAME.replace("6", "0")} orient="auto"'),
    "on a line": _marker()
    + f'<line x1="10" y1="30" x2="48" y2="12" {_LINE} marker-start="url(#m)" marker-end="url(#m)"/>',
    "on a polyline": _marker() + f'<polyline points="10,30 30,6 50,26" {_LINE} style="marker:url(#m)"/>',
    "inherited from a group": _marker() + f'<g style="marker-end:url(#m)"><path d="{_ZIGZAG}" {_LINE}/></g>',
    "styled where it stands, not where it is used": _marker(content='<rect width="9" height="9" fill="inherit"/>')
    + f'<g fill="white"><path d="{_ZIGZAG}" fill="white" stroke="black" style="marker:url(#m)"/></g>',
    "inherits from its own parents": f'<g fill="white" stroke="black">{_marker()}</g>'
    f'<path d="{_ZIGZAG}" stroke-width="1.5" fill="none" stroke="black" style="marker:url(#m)"/>',
    "paint of the shape": _marker(
        content='<rect x="1" y="1" width="8" height="8" fill="context-stroke" stroke="none"/>'
    )
    + f'<path d="{_ZIGZAG}" fill="none" stroke="black" stroke-width="2" style="marker:url(#m)"/>',
    "fill of the shape": _marker(
        content='<path d="M0 0H10V10H0z"/><rect x="2" y="2" width="6" height="6" fill="context-fill"/>'
    )
    + f'<path d="{_ZIGZAG}" fill="white" stroke="black" style="marker:url(#m)"/>',
    "below the stroke when asked": _marker(content='<circle cx="5" cy="5" r="5" fill="white"/>')
    + f'<path d="{_ZIGZAG}" fill="none" stroke="black" stroke-width="3" paint-order="markers" style="marker:url(#m)"/>',
    "above the stroke": _marker(content='<circle cx="5" cy="5" r="2" fill="white"/>')
    + f'<path d="{_ZIGZAG}" fill="none" stroke="black" stroke-width="3" style="marker:url(#m)"/>',
    "none in a clip path": _marker()
    + '<clipPath id="c"><path d="M8 8H50V30z" style="marker:url(#m)"/></clipPath>'
    + '<rect width="60" height="40" clip-path="url(#c)"/>',
    "in a mask they show": _marker(content='<rect width="10" height="10" fill="white"/>')
    + f'<mask id="k"><path d="{_ZIGZAG}" fill="none" stroke="white" stroke-width="2" style="marker:url(#m)"/></mask>'
    + '<rect width="60" height="40" mask="url(#k)"/>',
    "cut with their shape": _marker()
    + '<clipPath id="c"><rect width="30" height="40"/></clipPath>'
    + f'<path d="{_ZIGZAG}" {_LINE} style="marker:url(#m)" clip-path="url(#c)"/>',
    "a hidden shape has none": _marker()
    + f'<path d="{_ZIGZAG}" {_LINE} style="marker:url(#m);visibility:hidden"/><rect width="9" height="9"/>',
    "under a transform": '<g transform="translate(4 6) scale(.9 .7) skewX(10)">' + _on(_ZIGZAG) + "</g>",
    "without a stroke they are drawn too": _marker(attributes=f'{_FRAME} markerUnits="userSpaceOnUse"')
    + f'<path d="{_ZIGZAG}" fill="none" style="marker:url(#m)"/>',
    "no marker of that name": '<path d="M5 20H50" stroke="black" stroke-width="4" marker-end="none"/>',
}
