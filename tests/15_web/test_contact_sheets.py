"""The contact sheet over HTTP: read back by pdfium and a parser; what is wrong about a mark is said of that one."""

from xml.etree import ElementTree as ET

import pypdfium2
import pytest

from stamped import MARKS
from stampwright_sdk import InvalidJob, MalformedRequest

MM = 72 / 25.4
SMALL = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M1 1h7v7h-7z"/></svg>'
NAME = 'Wabe <b>№7</b> "&" \u202egnp.exe'


def entry(name, job=None):
    return name, MARKS[name].svg, job or MARKS[name].job


@pytest.fixture(scope="module")
def three():
    return [entry("skep"), entry("frost"), ("no mark", "<svg/>", None)]


def words_of(pdf):
    return pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_range()


def test_each_mark_stands_there_with_its_name_and_verdict(client, three):
    told = words_of(client.draw_contact_sheet(three).body)
    assert "3 marks: 1 ready, 1 unmakeable, 1 refused" in told
    assert all(words in told for words in ("skep", "frost", "ready", "unmakeable", "The root is <svg>"))


def test_the_verdicts_are_those_of_the_reviews(client):
    marks = [entry(name) for name in ("skep", "flight", "frost")]
    told = words_of(client.draw_contact_sheet(marks).body)
    for _, mark, job in marks:
        assert client.review_mark(mark, job).verdict in told


@pytest.mark.parametrize(("paper", "size_mm"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_it_is_one_page_of_the_paper_asked_for(client, three, paper, size_mm):
    """ISO 216 A4; ANSI/ASME Y14.1 A, 8.5 by 11 in."""
    document = pypdfium2.PdfDocument(client.draw_contact_sheet(three, paper=paper).body)
    assert len(document) == 1
    assert document[0].get_size() == pytest.approx([side * MM for side in size_mm], abs=0.1)


def test_forty_fit_on_it_and_all_are_inside(client):
    page = pypdfium2.PdfDocument(client.draw_contact_sheet([("x", SMALL, None)] * 40).body)[0]
    told = page.get_textpage().get_text_range()
    assert told.count("ready") == 41  # forty verdicts and their sum
    boxes = [found.get_bounds() for found in page.get_objects()]
    width, height = page.get_size()
    assert all(x0 >= 0 and y0 >= 0 and x1 <= width and y1 <= height for x0, y0, x1, y1 in boxes[1:])


def test_the_forty_first_is_told_to_go_on_another_page(client):
    with pytest.raises(InvalidJob, match="41 marks were sent; a page holds 40"):
        client.draw_contact_sheet([("x", SMALL, None)] * 41)


def test_a_name_is_words_and_never_markup(client):
    drawing = client.draw_contact_sheet([(NAME, SMALL, None)], accept="svg").body
    root = ET.fromstring(drawing)  # noqa: S314  our own
    texts = [text.text for text in root.iter("{http://www.w3.org/2000/svg}text")]
    assert any(text.startswith("Wabe <b>№7</b>") for text in texts)
    assert not any("\u202e" in text for text in texts)
    assert not list(root.iter("{http://www.w3.org/2000/svg}b"))


def test_a_wrong_job_is_named_by_its_mark_and_field(client):
    with pytest.raises(InvalidJob) as caught:
        client.draw_contact_sheet([entry("skep"), ("two", SMALL, {"head": {"width": -1}})])
    assert caught.value.place == "#/marks/1/job/head/width"


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ([], ""),
        ({}, "#/marks"),
        ({"marks": []}, "#/marks"),
        ({"marks": [3]}, "#/marks/0"),
        ({"marks": [{"mark": SMALL, "mark_base64": ""}]}, "#/marks/0/mark"),
        ({"marks": [{"mark": SMALL}, {"mark": SMALL, "name": "x" * 201}]}, "#/marks/1/name"),
        ({"marks": [{"mark_base64": "?"}]}, "#/marks/0/mark_base64"),
    ],
)
def test_a_body_of_another_shape_is_named_by_its_place(app, body, pointer):
    answer = app.test_client().post("/v1/contact-sheets", json=body)
    assert answer.status_code == 400
    assert answer.json["errors"][0].get("pointer", "") == (pointer or "#")


def test_the_same_marks_give_the_same_bytes(client, three):
    assert client.draw_contact_sheet(three).body == client.draw_contact_sheet(three).body


def test_a_malformed_query_is_refused(client, three):
    with pytest.raises(MalformedRequest):
        client.draw_contact_sheet(three, paper="a3")
