"""Whatever the grammar of SVG can write is read, or refused in words; what is read can be told as JSON."""

from __future__ import annotations

import dataclasses
import json

from hypothesis import given, settings
from hypothesis import strategies as st

from any_svg import any_svg
from lettered import dejavu
from stampwright.artwork import faults, read_artwork
from stampwright.base import StampwrightError
from stampwright.job import ArtworkChoice

IGNORED = frozenset(
    {"text-not-outlined", "glyph-missing", "raster-image", "foreign-object", "pattern-fill", "soft-mask"}
)


def told(seed, ink):
    """What is told of the drawing: notices, or the reasons of the refusal."""
    choice = ArtworkChoice(ink=ink, ignore=IGNORED)
    try:
        mark = read_artwork(any_svg(seed).encode(), choice, scale_of=lambda _box: 1.0, fonts=(dejavu(),))
    except StampwrightError as refusal:
        return refusal.refusals
    assert faults(mark) == []
    return (*mark.repaired, *mark.left_out, *mark.hints)


@settings(deadline=None)
@given(seed=st.integers(0, 2**32 - 1), ink=st.sampled_from(["dark", "painted"]))
def test_any_drawing_is_read_or_refused(seed, ink):
    for each in told(seed, ink):
        assert each.code
        json.dumps(dataclasses.asdict(each), allow_nan=False)
