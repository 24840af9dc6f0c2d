"""The shop sheet, opened by readers of other houses: pdfium measures and reads it, pikepdf looks at its fonts."""

import dataclasses
import io
import re
import unicodedata

import numpy as np
import pikepdf
import pypdfium2
import pytest
from fontTools.ttLib import TTFont

from odd_heads import HEADS, odd_stamp
from pdf_fonts import fonts_of, without_glyph
from stamped import NAMES, stamp_of
from stampwright.base import Finding
from stampwright.drawings import PAPERS, font_file, sheet_pdf, short_name
from stampwright.drawings.sheet import sheet_pages

MM_PER_POINT = 25.4 / 72  # ISO 32000-1, 8.3.2.3: default user space has 72 units an inch
TEXT, PATH = 1, 2  # FPDF_PAGEOBJ_TEXT and FPDF_PAGEOBJ_PATH of the reader's published header
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


@pytest.mark.parametrize("paper", PAPERS)
def test_every_font_is_embedded(name, paper):
    fonts = [font for font, _ in fonts_of(sheet_pdf(stamp_of(name), paper=paper))]
    assert fonts
    assert all(fonts)


def test_a_font_that_is_cut_down_says_so_by_its_name():
    """ISO 32000-1, 9.6.4: a tag of exactly six capitals and a plus sign."""
    with pikepdf.open(io.BytesIO(sheet_pdf(stamp_of("skep")))) as pdf:
        fonts = [font for page in pdf.pages for font in page.Resources.Font.values()]
        names = {str(part.BaseFont) for font in fonts for part in (font, *font.DescendantFonts)}
    assert names
    assert all(re.fullmatch(r"/[A-Z]{6}\+[\w-]+", name) for name in names)


def test_letters_are_set_as_wide_as_they_are_in_the_font():
    font = TTFont(font_file())  # read by fontTools; a PDF counts in thousandths of the size (ISO 32000-1, 9.2.4)
    order, per_em = font.getGlyphOrder(), font["head"].unitsPerEm
    with pikepdf.open(io.BytesIO(sheet_pdf(stamp_of("skep")))) as pdf:
        (letters,) = pdf.pages[0].Resources.Font["/F"].DescendantFonts
        said = {int(glyph): float(wide[0]) for glyph, wide in zip(letters.W[::2], letters.W[1::2], strict=True)}
    assert len(said) > 50
    assert all(abs(wide - 1000 * font["hmtx"][order[glyph]][0] / per_em) < 0.01 for glyph, wide in said.items())


def test_no_letter_is_without_a_glyph(name):
    pdf = sheet_pdf(stamp_of(name))
    assert without_glyph(pdf) == set()
    assert "\N{REPLACEMENT CHARACTER}" not in text_of(pdf)


def test_the_words_can_be_selected_and_say_it_all(name):
    stamp, text = stamp_of(name), " ".join(text_of(sheet_pdf(stamp_of(name))).split())
    assert stamp.digest in text
    assert all(step.cutter in text for step in stamp.plan.operations)
    assert stamp.review.verdict.upper() in text


def sides_of_paths(pdf):
    """Width and height [mm] of every path of the first page, as pdfium has them."""
    page = pypdfium2.PdfDocument(pdf)[0]
    boxes = np.array([part.get_bounds() for part in page.get_objects() if part.type == PATH]) * MM_PER_POINT
    return np.column_stack([boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]])


@pytest.mark.parametrize("paper", PAPERS)
def test_the_drawing_is_at_true_size(name, paper):
    sides = sides_of_paths(sheet_pdf(stamp_of(name), paper=paper))
    x0, y0, x1, y1 = stamp_of(name).face.ink.bounds  # the lands are filled without a line around them
    assert np.min(np.abs(sides - (x1 - x0, y1 - y0)).max(axis=1)) < 0.02
    assert np.min(np.abs(sides - (10.3, 1.2)).max(axis=1)) < 0.02  # the scale bar, a line of 0.15 on each side


@pytest.mark.parametrize("words", WORLD, ids=range(len(WORLD)))
def test_no_letter_of_any_name_is_without_a_glyph(words):
    pdf = sheet_pdf(named(words))
    assert without_glyph(pdf) == set()
    assert "\x00" not in text_of(pdf)


def test_letters_that_the_font_lacks_are_replaced_by_one_sign():
    assert "\N{REPLACEMENT CHARACTER}" * 3 in text_of(sheet_pdf(named("养蜂场")))


@pytest.mark.parametrize("words", ["דבורה", "العسل"])
def test_words_from_right_to_left_come_out_whole(words):
    assert words in unicodedata.normalize("NFKC", text_of(sheet_pdf(named(words))))


@pytest.mark.parametrize(("letters", "shown"), [(9, 9), (10, 10), (11, 10)])
def test_a_name_is_whole_as_long_as_it_may_be(letters, shown):
    name = short_name("m" * letters, letters=10)
    assert len(name) == shown
    assert name.endswith("…") == (letters > 10)


@pytest.mark.parametrize("letter", "mW畑")
@pytest.mark.parametrize("paper", PAPERS)
def test_a_long_name_is_shortened_and_keeps_off_the_verdict(letter, paper):
    page = pypdfium2.PdfDocument(sheet_pdf(named(200 * letter), paper=paper))[0]
    title, verdict = [part.get_bounds() for part in page.get_objects() if part.type == TEXT][:2]
    assert title[2] < verdict[0]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("head", HEADS)
def test_an_odd_head_has_a_sheet_that_holds_everything(head, paper):
    stamp = odd_stamp(head)
    pdf = sheet_pdf(stamp, paper=paper)
    text = re.sub(r"\d of 2 · \S+ · stampwright \S+ ", "", " ".join(text_of(pdf).split()))  # what may part a sentence
    assert len(pypdfium2.PdfDocument(pdf)) <= 2
    assert "more lines" not in text
    assert all(" ".join(caution.says.split()) in text for caution in (*stamp.plan.cautions, *stamp.use.cautions))
    assert without_glyph(pdf) == set()


@pytest.mark.parametrize(
    ("head", "over"), [("wide", 1), ("tall", 1), ("tiny", 1), ("tiny round", 1), ("huge", 2), ("taller", 2)]
)
def test_the_face_is_drawn_at_true_size_where_the_paper_holds_it_and_the_sheet_says_so(head, over):
    stamp = odd_stamp(head)
    pdf = sheet_pdf(stamp)
    x0, y0, x1, y1 = stamp.face.ink.bounds
    assert np.min(np.abs(sides_of_paths(pdf) - np.array((x1 - x0, y1 - y0)) / over).max(axis=1)) < 0.02
    text = text_of(pdf)
    assert f"1:{over}; cross: zero" in text
    assert f"{10 * over} mm" in text


def test_a_round_head_is_told_by_its_diameter():
    text = text_of(sheet_pdf(odd_stamp("tiny round")))
    assert "Head Ø 8 × 12 mm" in text
    assert "Saw Ø 9.0 × 13.0 mm" in text


def test_a_head_without_thread_has_no_rod_to_try():
    assert "thread on the rod" not in text_of(sheet_pdf(odd_stamp("tiny")))
    assert "thread on the rod" in text_of(sheet_pdf(odd_stamp("wide")))


def test_the_cross_at_zero_is_seen_on_a_dark_land():
    page = pypdfium2.PdfDocument(sheet_pdf(stamp_of("dandelion")))[0]  # its stem stands on the middle of the head
    px = 300 / 25.4
    grey = np.asarray(page.render(scale=px * MM_PER_POINT).to_pil().convert("L"), float)
    y1 = stamp_of("dandelion").face.head.bounds[3]
    column, row = 105 * px, (30 + y1 + 1) * px  # below the heading, in the middle of the page
    near = grey[int(row - 2.5 * px) : int(row + 2.5 * px), int(column - 2.5 * px) : int(column + 2.5 * px)]
    arm = grey[int(row - 1.5 * px), int(column - 0.3 * px) : int(column + 0.3 * px)]
    assert arm.max() - arm.min() > 120  # dark line in a white rim
    assert near.min() < 60


@pytest.mark.parametrize("paper", PAPERS)
def test_no_letter_on_paper_is_smaller_than_two_millimetres(name, paper):
    sizes = [
        float(text.get("font-size")) for page in sheet_pages(stamp_of(name), paper=paper) for text in page.iter("text")
    ]
    assert min(sizes) >= 2.0


def test_a_second_page_says_whose_it_is():
    stamp = named("Orla's hive", mark="queen")
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(sheet_pdf(stamp))]
    assert len(pages) == 2
    assert all("Orla's hive" in page and stamp.digest in page for page in pages)


@pytest.mark.parametrize("words", [HOSTILE, "/OpenAction<</S/JavaScript/JS(app.alert(1))>>) Tj ET endstream endobj"])
def test_hostile_names_stay_words(words):
    with pikepdf.open(io.BytesIO(sheet_pdf(named(words)))) as pdf:
        assert not pdf.check_pdf_syntax()
        assert "/OpenAction" not in pdf.Root
        assert not any(page.get("/Annots") or page.get("/AA") for page in pdf.pages)
        assert len(pdf.pages) <= 2


def test_hostile_findings_stay_words():
    stamp = stamp_of("skep")
    finding = Finding("thin-land", "stop", HOSTILE, HOSTILE, at_mm=(0.0, 0.0))
    review = dataclasses.replace(stamp.review, findings=(finding,))
    with pikepdf.open(io.BytesIO(sheet_pdf(dataclasses.replace(stamp, review=review)))) as pdf:
        assert "/OpenAction" not in pdf.Root
        assert "/JavaScript" not in (pdf.Root.get("/Names") or {})


def test_the_same_stamp_gives_the_same_sheet():
    assert sheet_pdf(stamp_of("comb")) == sheet_pdf(stamp_of("comb"))
