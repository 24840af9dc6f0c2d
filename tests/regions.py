"""Shapes by which style sheets clip (CSS Shapes 1, 3; CSS Masking 1, 5.1), each with the area [mm²] it leaves.

Each was held against Chromium 156 where it was written; no other program at hand reads them.
"""

from math import asin, pi, sqrt

from squares import AT, K, S

SAID = '<rect x="10" y="10" width="20" height="10" style="clip-path:{}"/>' + K
K_MM2 = 100

_CORNER = 1 - pi / 4  # what a corner rounded by one lacks

REGIONS = {  # of a rectangle of 20 x 10 mm at (10, 10)
    "inset(2px 3px)": 14 * 6,
    "inset(10% 20% 30% 40%)": 8 * 6,
    "inset(1px 2px 3px)": 16 * 6,
    "inset(80% 0)": 0,
    "inset(0 round 5px)": 200 - 4 * _CORNER * 25,
    "inset(0 round 4px 2px 0 1px)": 200 - _CORNER * (16 + 4 + 1),
    "inset(0 round 4px / 2px)": 200 - 4 * _CORNER * 4 * 2,
    "inset(0 round 30px)": 200 - 4 * _CORNER * 25,
    "INSET(calc(10% + 1px))": 14 * 6,
    "circle()": pi * 25,
    "circle(4px)": pi * 16,
    "circle(10%)": pi * 0.1**2 * (20**2 + 10**2) / 2,
    "circle(3px at right 5px bottom 4px)": pi * 9,
    "circle(4px at 0 0)": pi * 16 / 4,
    "circle(4px at bottom left)": pi * 16 / 4,
    "circle(4px at top)": pi * 16 / 2,
    "circle(closest-side at 25% 60%)": pi * 16,
    "circle(farthest-side)": 2 * (5 * sqrt(75) + 100 * asin(0.5)),
    "ellipse()": pi * 10 * 5,
    "ellipse(25% 4px at 50% 50%)": pi * 5 * 4,
    "ellipse(closest-side farthest-side at 5px 5px)": pi * 5 * 5,
    "polygon(0 0, 100% 0, 100% 100%)": 100,
    "polygon(evenodd, 0 0, 20px 0, 20px 10px, 0 10px, 0 0, 5px 2px, 15px 2px, 15px 8px, 5px 8px, 5px 2px)": 140,
    "path('M0 0h8v8h-8z')": 64,
    "path(evenodd, 'M0 0h8v8h-8zM2 2h4v4h-4z')": 64 - 16,
    "rect(2px 15px 8px auto)": 15 * 6,
    "rect(8px 1px 2px 15px)": 0,
    "xywh(2px 1px 10px 5px round 2px)": 50 - 4 * _CORNER * 4,
    "fill-box": 200,
    "inset(2px) content-box": 16 * 6,
    "view-box inset(12px 30px 0 0)": 20 * 8,
    "circle(50px at 10px 10px) view-box": 200,
}

DRAWN = {
    "by an attribute": (S.format(' clip-path="inset(2)"') + K, 36 + K_MM2),
    "of a group, whose box holds what is not painted": (
        (
            '<g style="clip-path:inset(25%)"><rect x="5" y="5" width="10" height="10"/>'
            '<rect x="25" y="15" width="10" height="10" fill="none"/></g>'
        ),
        2.5 * 5,
    ),
    "of a copy": (
        "<defs>" + S.format(' id="r"') + '</defs><use href="#r" x="9" style="clip-path:circle(3px)"/>',
        pi * 9,
    ),
    "of a clip path's child": (
        (
            '<clipPath id="c"><rect width="20" height="10" style="clip-path:inset(2px)"/></clipPath>'
            '<rect width="60" height="40" clip-path="url(#c)"/>'
        ),
        96,
    ),
    "in the box of the fill, whatever the pen": (
        '<rect x="9" y="9" width="20" height="10" stroke="#000" style="clip-path:inset(2px) fill-box"/>',
        96,
    ),
    "by the font's size": (S.format(' font-size="4" style="clip-path:inset(.5em)"'), 36),
}

TOLD = [
    *("inset(oops)", "inset(1px 1px 1px 1px 1px)", "inset(1px round -1px)", "inset(1px round)", "circle(-5px)"),
    *(
        "circle(closest-corner)",
        "circle(5px at top 5px)",
        "circle(5px at left 5px top)",
        "circle(3px 3px)",
        "hexagon(3px)",
    ),
    *(
        "circle(5px at left right)",
        "circle(5px at left 1px right 1px)",
        "ellipse(5px)",
        "polygon(0 0, 5px)",
        "polygon()",
    ),
    *(
        "path('M0 0h8v8h-8z L')",
        "path(M0 0)",
        "rect(1px 2px)",
        "xywh(1px 1px -9px 9px)",
        "fill-box view-box",
        "inset(1px) hive-box",
    ),
    *("shape(from 0 0, line to 9px 9px, line to 0 9px)", "url(#c) fill-box", "inset(1px), inset(2px)"),
]

WITHOUT_A_BOX = {
    "a pen": S.format(' stroke="#000" style="clip-path:inset(2px)"'),
    "a pen within a group": '<g style="clip-path:inset(2px)">' + S.format(' stroke="#000"') + "</g>",
    "a clip path": '<clipPath id="c" style="clip-path:inset(2px)">'
    + S.format("")
    + "</clipPath>"
    + AT.format(0, ' clip-path="url(#c)"'),
    "an inner svg": '<svg style="clip-path:inset(2px)">' + S.format("") + "</svg>",
}
