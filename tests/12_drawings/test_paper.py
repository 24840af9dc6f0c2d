"""The shop sheet, opened by readers of other houses: pdfium measures and reads it, pikepdf looks at its fonts."""

import dataclasses
import io
import unicodedata

import numpy as np
import pikepdf
import pypdfium2
import pytest

from stamped import NAMES, stamp_of
from stampwright.base import Finding
from stampwright.drawings import PAPERS, sheet_pdf

MM_PER_POINT = 25.4 / 72  # ISO 32000-1, 8.3.2.3: default user space has 72 units an inch
PATH = 2  # FPDF_PAGEOBJ_PATH of the reader's published header
HOSTILE = "<script>alert(1)</script>&\x00\x07\u202e מארק (x) Tj \\ " + "m" * 120
WORLD = ["Orla's hive – Größe", "Пасека Ольги", "דבורה 12", "العسل النقي", "养蜂场 🐝", HOSTILE]


@pytest.fixture(params=NAMES)
def name(request):
    return request.param


def named(words, mark="skep"):
    stamp = stamp_of(mark)
    return dataclasses.replace(stamp, job=dataclasses.replace(stamp.job, name=words))


def text_of(pdf):
    document = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_range() for page in document)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_page_has_the_size_of_its_paper(paper):
    sizes = [page.get_size() for page in pypdfium2.PdfDocument(sheet_pdf(stamp_of("skep"), paper=paper))]
    assert 1 <= len(sizes) <= 2
    assert np.allclose(np.array(sizes) * MM_PER_POINT, PAPERS[paper], atol=0.05)


def test_a_sheet_has_one_or_two_pages(name):
    assert 1 <= len(pypdfium2.PdfDocument(sheet_pdf(stamp_of(name)))) <= 2


def test_every_font_used_is_embedded(name):
    with pikepdf.open(io.BytesIO(sheet_pdf(stamp_of(name)))) as pdf:
        fonts = [font for page in pdf.pages for font in page.Resources.Font.values()]
        shown = [font for font in fonts if "/FontDescriptor" in font]
        assert shown
        assert all("/FontFile2" in font.FontDescriptor for font in shown)


def test_the_words_can_be_selected_and_say_it_all(name):
    stamp, text = stamp_of(name), " ".join(text_of(sheet_pdf(stamp_of(name))).split())
    assert stamp.digest in text
    assert all(step.cutter in text for step in stamp.plan.operations)
    assert stamp.review.verdict.upper() in text


def test_the_drawing_is_at_true_size(name):
    stamp = stamp_of(name)
    page = pypdfium2.PdfDocument(sheet_pdf(stamp))[0]
    boxes = np.array([part.get_bounds() for part in page.get_objects() if part.type == PATH]) * MM_PER_POINT
    sides = np.column_stack([boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]])
    x0, y0, x1, y1 = stamp.face.ink.bounds  # the lands are filled without a line around them
    assert np.min(np.abs(sides - (x1 - x0, y1 - y0)).max(axis=1)) < 0.1


@pytest.mark.parametrize("words", WORLD, ids=range(len(WORLD)))
def test_no_letter_of_any_name_is_without_a_glyph(words):
    with pikepdf.open(io.BytesIO(sheet_pdf(named(words)))) as pdf:
        fonts = [font for page in pdf.pages for font in page.Resources.Font.values() if "/ToUnicode" in font]
        assert fonts
    assert "\x00" not in text_of(sheet_pdf(named(words)))


def test_letters_that_the_font_lacks_are_replaced_by_one_sign():
    assert "\N{REPLACEMENT CHARACTER}" * 3 in text_of(sheet_pdf(named("养蜂场")))


@pytest.mark.parametrize("words", ["דבורה", "العسل"])
def test_words_from_right_to_left_come_out_whole(words):
    assert words in unicodedata.normalize("NFKC", text_of(sheet_pdf(named(words))))


def test_a_long_name_is_shortened():
    assert "m" * 40 not in text_of(sheet_pdf(named("m" * 200))).replace("m" * 55, "")


def test_hostile_findings_stay_words():
    stamp = stamp_of("skep")
    finding = Finding("thin-land", "stop", HOSTILE, HOSTILE, at_mm=(0.0, 0.0))
    review = dataclasses.replace(stamp.review, findings=(finding,))
    with pikepdf.open(io.BytesIO(sheet_pdf(dataclasses.replace(stamp, review=review)))) as pdf:
        assert "/OpenAction" not in pdf.Root
        assert "/JavaScript" not in (pdf.Root.get("/Names") or {})


def test_the_same_stamp_gives_the_same_sheet():
    assert sheet_pdf(stamp_of("comb")) == sheet_pdf(stamp_of("comb"))
