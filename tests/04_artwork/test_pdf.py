"""PDFs of one feature each against an independent renderer (pdfium), and what is told or refused by name."""

import pytest

from paper import codes, judge, read
from paper_mutants import lettered
from pdf_features import FEATURES, REFUSED, TOLD
from stampwright.base import StampwrightError


@pytest.mark.parametrize("name", FEATURES)
def test_a_feature_is_read_as_it_is_drawn(name):
    found = judge(FEATURES[name])
    assert (found.refused, found.notices, found.faults) == (None, (), ())
    assert found.matches(0.002), f"{found.mismatch_px} px differ of {found.ink_px}"


@pytest.mark.parametrize("page", lettered().values(), ids=lettered())
def test_letters_in_fonts_that_the_file_brings_along_are_read_as_they_are_drawn(page):
    """TrueType and Type 1, by code and by character."""
    found = judge(page)
    assert (found.refused, found.notices, found.faults) == (None, (), ())
    assert found.matches(), f"{found.mismatch_px} px differ of {found.ink_px}"


@pytest.mark.parametrize("name", TOLD)
def test_what_is_not_read_exactly_is_told(name):
    data, code = TOLD[name]
    assert codes(read(data)) == (code,)


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_read_is_refused_by_name(name):
    data, code = REFUSED[name]
    with pytest.raises(StampwrightError) as refusal:
        read(data)
    assert refusal.value.refusals[0].code == code


@pytest.mark.parametrize("code", ["raster-image", "soft-mask", "pattern-fill", "text-not-outlined"])
def test_what_refuses_can_be_ignored_by_name_and_is_told_with_its_place(code):
    data = next(data for data, refused in REFUSED.values() if refused == code)
    (notice,) = read(data, ignore={code}).left_out
    assert notice.code == code
    assert notice.element.startswith("/page[1]/")
    assert notice.bounds_mm is not None
