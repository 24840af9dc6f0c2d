"""Shadings: the mean of five samples decides, and what cannot be told by it is said (ISO 32000-1, 8.7.4.5)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright.artwork.paint import HALF

from .colour import Space, Tone, space_of
from .functions import function_of
from .objects import entry, items, numbers, whole

if TYPE_CHECKING:
    from .functions import Function

_SAMPLES = (0.0, 0.25, 0.5, 0.75, 1.0)
_ALONG = (2, 3)  # along a line, between circles: the other types run in the plane or over a mesh


def shading_tone(shading: object, spaces: object) -> Tone:
    """The tone that a shading is taken for; without luma when its colours are not read."""
    space = space_of(entry(shading, "/ColorSpace"), spaces)
    way = function_of(entry(shading, "/Function"))
    kind = whole(entry(shading, "/ShadingType"))
    if space is None or way is None or kind not in _ALONG:
        return Tone(None, "shading-skipped", f"type {kind}")
    lumas = _lumas(shading, space, way)
    if not lumas:
        return Tone(None, "shading-skipped", "no colours")
    mean = sum(lumas) / len(lumas)
    if min(lumas) < HALF <= max(lumas):
        return Tone(mean, "gradient-crosses-threshold")
    extends = [bool(each) for each in items(entry(shading, "/Extend"))]
    return Tone(mean, "" if extends == [True, True] else "shading-ends", "")


def _lumas(shading: object, space: Space, way: Function) -> list[float]:
    domain = numbers(entry(shading, "/Domain"))
    low, high = domain if len(domain) == 2 else (0.0, 1.0)
    tones = []
    for share in _SAMPLES:
        values = way([low + share * (high - low)])
        if len(values) >= len(space.initial):
            tones.append(space.tone(values).luma)
    return [luma for luma in tones if luma is not None]
