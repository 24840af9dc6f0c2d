"""Drawings and papers over HTTP: what comes is what was asked for, opened by programs of other houses."""

import io
from xml.etree import ElementTree as ET

import pypdfium2
import pytest
from PIL import Image

from stamped import MARKS
from stampwright_sdk import MalformedRequest

MM = 72 / 25.4
MARK = MARKS["clover"]
VIEWS = ("print", "face", "cutting", "plain")


@pytest.mark.parametrize("view", VIEWS)
def test_each_view_comes_as_svg_at_true_size(client, view):
    root = ET.fromstring(client.draw_proof(MARK.svg, MARK.job, view=view).body)  # noqa: S314  our own
    _, _, width, height = map(float, root.get("viewBox").split())
    assert (root.get("width"), root.get("height")) == (f"{width:g}mm", f"{height:g}mm")


@pytest.mark.parametrize("view", VIEWS)
def test_each_view_comes_as_png_of_the_same_shape(client, view):
    root = ET.fromstring(client.draw_proof(MARK.svg, MARK.job, view=view).body)  # noqa: S314  our own
    _, _, width, height = map(float, root.get("viewBox").split())
    with Image.open(io.BytesIO(client.draw_proof(MARK.svg, MARK.job, view=view, accept="png").body)) as picture:
        picture.load()
        assert picture.width / picture.height == pytest.approx(width / height, rel=0.01)
        assert len(picture.convert("L").getcolors(256) or []) > 8  # it shows something


@pytest.mark.parametrize(("paper", "size_mm"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_the_sheet_comes_on_the_paper_asked_for(client, paper, size_mm):
    """ISO 216 A4; ANSI/ASME Y14.1 A, 8.5 by 11 in."""
    document = pypdfium2.PdfDocument(client.write_sheet(MARK.svg, MARK.job, paper=paper).body)
    assert 1 <= len(document) <= 2
    for page in document:
        assert page.get_size() == pytest.approx([side * MM for side in size_mm], abs=0.1)
    assert "Cautions" in "".join(page.get_textpage().get_text_range() for page in document)


def test_the_solid_comes_as_a_picture_that_names_its_digest(client):
    with Image.open(io.BytesIO(client.make_solid(MARK.svg, MARK.job, accept="png").body)) as picture:
        picture.load()
        assert client.review_mark(MARK.svg, MARK.job).digest[:16] in "".join(map(str, picture.info.values()))


@pytest.mark.parametrize("call", [("draw_proof", {"view": "side"}), ("write_sheet", {"paper": "a3"})])
def test_what_is_not_offered_is_refused_by_name(client, call):
    method, wrong = call
    with pytest.raises(MalformedRequest, match="must be given once, as one of"):
        getattr(client, method)(MARK.svg, **wrong)
