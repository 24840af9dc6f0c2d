"""Where a line of text sits: its baselines by the metrics of its font (CSS Inline 3, 4.2), and shifts from them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import uharfbuzz as hb

from stampwright.artwork.svg.lengths import Length, in_units
from stampwright.artwork.svg.values import Unread
from stampwright.artwork.svg.viewport import font_units

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from stampwright.artwork.svg.cascade import Style
    from stampwright.artwork.svg.walk import Walk

    from .choice import Chosen

_SUPER_EM, _SUB_EM = 1 / 3, 1 / 5  # CSS Inline 3, 4.3.2: what may be taken where a font is not asked
_USUAL = frozenset({"auto", "alphabetic", "baseline", "use-script", "no-change", "reset-size"})
_HANGING = 0.8  # of the ascent; what browsers take where a font has no table of baselines


def rise_px(walk: Walk, element: Element, style: Style) -> float:
    """How far `baseline-shift` lifts an element over its parent."""
    shift = style["baseline-shift"]
    if isinstance(shift, Length):
        return in_units(shift, font_units(style.font_px, style.root_font_px) | {"%": style.font_px / 100}).value
    if isinstance(shift, Unread):
        walk.log.note("bad-value", element, what=f"baseline-shift: {shift.text[:40]}")
    if shift not in {"super", "sub"}:
        return 0.0
    walk.log.note("baseline-approximate", element, what=f"baseline-shift: {shift}")
    return style.font_px * (_SUPER_EM if shift == "super" else -_SUB_EM)


def drop_em(chosen: Chosen, keyword: str) -> float | None:
    """How far a baseline named by keyword lies over the alphabetic one [em]; None for one that is not known."""
    if keyword in _USUAL:
        return 0.0
    font, em = chosen.font, chosen.face.units_per_em
    ascent, descent = _extents(font)
    found = {
        "middle": _x_height(font) / 2,
        "central": (ascent + descent) / 2,
        "hanging": ascent * _HANGING,
        "mathematical": ascent / 2,
        **dict.fromkeys(("text-before-edge", "text-top", "before-edge"), ascent),
        **dict.fromkeys(("text-after-edge", "text-bottom", "after-edge", "ideographic"), descent),
    }.get(keyword)
    return None if found is None else found / em


def cell_em(chosen: Chosen) -> tuple[float, float]:
    """Top and bottom of a letter's cell over its baseline [em]: what the box of a text is made of (SVG 2, 8.10)."""
    ascent, descent = _extents(chosen.font)
    return ascent / chosen.face.units_per_em, descent / chosen.face.units_per_em


def _extents(font: Any) -> tuple[float, float]:  # noqa: ANN401  an hb.Font
    """Ascent, and descent as a negative number, in units of the font."""
    found = font.get_font_extents("ltr")
    return float(found.ascender), float(found.descender)


def x_height_em(chosen: Chosen) -> float:
    """Height of the small x [em]."""
    return _x_height(chosen.font) / chosen.face.units_per_em


def _x_height(font: Any) -> float:  # noqa: ANN401  an hb.Font
    """Height of the small x: what the font says, or else that of its outline."""
    said = font.get_metric_position(hb.OTMetricsTag.X_HEIGHT)
    if said:
        return float(said)
    glyph = font.get_nominal_glyph(ord("x"))
    box = font.get_glyph_extents(glyph) if glyph else None
    return float(box.y_bearing) if box else _extents(font)[0] / 2
