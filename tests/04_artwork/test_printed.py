"""The demo's marks printed to PDF by three programs: as pdfium draws them, and the same mark as the SVG is."""

import functools
from pathlib import Path

import pytest
import shapely

from paper import judge, read
from paper_producers import by_chromium, by_fpdf2, by_reportlab
from stampwright import demo

MARKS = {path.stem: path.read_bytes() for path in sorted((Path(demo.__file__).parent / "marks").glob("*.svg"))}


@functools.cache
def printed_by_chromium():
    return dict(zip(MARKS, by_chromium(list(MARKS.values())), strict=True))


def printed(name, producer):
    if producer == "chromium":
        return printed_by_chromium()[name]
    return {"reportlab": by_reportlab, "fpdf2": by_fpdf2}[producer](MARKS[name])


def shape_of(mark):
    return len(mark.ink.geoms), int(shapely.get_num_interior_rings(mark.ink.geoms).sum())


@pytest.mark.parametrize("producer", ["reportlab", "fpdf2", "chromium"])
@pytest.mark.parametrize("name", MARKS)
def test_a_printed_mark_is_read_as_pdfium_draws_it(name, producer):
    data = printed(name, producer)
    found = judge(data)
    assert (found.refused, found.notices, found.faults) == (None, (), ())
    assert found.matches(), f"{found.mismatch_px} px differ of {found.ink_px}"
    assert shape_of(read(data)) == shape_of(read(MARKS[name]))


@pytest.mark.parametrize("name", MARKS)
def test_a_mark_is_the_same_as_svg_and_as_pdf(name):
    as_svg, as_pdf = (read(data, chord_mm=0.0005) for data in (MARKS[name], by_reportlab(MARKS[name])))
    assert as_pdf.source == "pdf"
    assert as_pdf.page_mm == pytest.approx(as_svg.page_mm, rel=1e-5)
    assert shape_of(as_pdf) == shape_of(as_svg)
    assert as_pdf.ink.area == pytest.approx(as_svg.ink.area, rel=1e-4)
