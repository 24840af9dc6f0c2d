"""Single features against an independent renderer (resvg): what is read without notice is what it draws."""

import pytest

from corpora.compare import compare
from features import BODIES, FRAMES, svg

# resvg reads no px in a CSS transform and knows no non-scaling stroke; test_geometry.py has these by the standard
BY_THE_STANDARD = {
    "css transform with units",
    "transform origin",
    "non-scaling stroke",
}


@pytest.mark.parametrize("name", sorted(set(BODIES) - BY_THE_STANDARD))
def test_a_feature_is_read_as_it_is_drawn(name):
    found = compare(svg(BODIES[name]))
    assert found.refused is None
    assert found.matches, f"{found.mismatch_px} px differ of {found.ink_px}"
    assert not found.faults


@pytest.mark.parametrize("name", sorted(FRAMES))
def test_the_page_is_framed_as_it_is_drawn(name):
    found = compare(svg(BODIES["star evenodd"] + BODIES["use of a symbol"], head=FRAMES[name]))
    assert found.refused is None
    assert found.matches, f"{found.mismatch_px} px differ of {found.ink_px}"
