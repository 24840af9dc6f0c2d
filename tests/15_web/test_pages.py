"""The pages for people: all of the contract is on them, and no link of theirs leads nowhere."""

from __future__ import annotations

from html.parser import HTMLParser
from urllib.parse import urldefrag, urljoin

import pytest
import yaml

from house import ROOT
from stampwright.web.pages import kind_of
from stampwright.web.problems import PROBLEMS

CONTRACT = yaml.safe_load((ROOT / "openapi.yaml").read_text(encoding="utf-8"))
SCHEMAS = CONTRACT["components"]["schemas"]
PAGES = ["/docs", *(f"/problems/{slug}" for slug in PROBLEMS)]


class Read(HTMLParser):
    """What a page says, what it names, where its links lead."""

    def __init__(self, page):
        super().__init__()
        self.words, self.names, self.leads_to = [], set(), []
        self.feed(page)

    def handle_starttag(self, _tag, attributes):
        given = dict(attributes)
        self.names |= {given["id"]} if "id" in given else set()
        self.leads_to += [given["href"]] if "href" in given else []

    def handle_data(self, data):
        self.words += data.split()


@pytest.fixture(scope="module")
def pages(app):
    return {path: Read(app.test_client().get(path).get_data(as_text=True)) for path in PAGES}


def said(words):
    return " ".join(words.replace("`", " ").split())


def text_of(page):
    return " ".join(page.words)


def test_every_operation_with_all_it_can_answer_is_on_the_page(pages):
    text = text_of(pages["/docs"])
    for path, methods in CONTRACT["paths"].items():
        for method, operation in methods.items():
            assert operation["operationId"] in pages["/docs"].names
            assert f"{method.upper()} {path.replace('{', '<').replace('}', '>')}" in text
            assert all(media in text for media in operation["responses"]["200"].get("content", {}))


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_field_is_on_the_page_with_what_it_holds(pages, name):
    text = text_of(pages["/docs"]).replace(" .", ".").replace(" ,", ",").replace(" ;", ";").replace(" )", ")")
    assert name in pages["/docs"].names
    for field, schema in SCHEMAS[name]["properties"].items():
        assert f"{field} {said(schema['description'])}" in text


def test_every_link_of_every_page_leads_somewhere(app, pages):
    for path, page in pages.items():
        for link in page.leads_to:
            address, name = urldefrag(urljoin(path, link))
            assert app.test_client().get(address).status_code == 200, (path, link)
            assert not name or name in pages[address].names, (path, link)


@pytest.mark.parametrize("slug", PROBLEMS)
def test_a_kind_of_problem_has_a_page_with_its_remedy(pages, slug):
    problem, text = PROBLEMS[slug], text_of(pages[f"/problems/{slug}"])
    assert problem.title in text
    assert str(problem.status) in text
    assert said(problem.remedy) in text


@pytest.mark.parametrize(
    ("schema", "words"),
    [
        ({"type": "number", "exclusiveMinimum": 0.0, "maximum": 500.0}, "number above 0 to 500"),
        ({"type": ["integer", "null"]}, "whole number or null"),
        ({"enum": ["mm", "in", None], "type": "string"}, "mm, in, null"),
        ({"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}, "list of 2 of: number"),
        ({"anyOf": [{"$ref": "#/components/schemas/JobRates"}, {"type": "null"}]}, "JobRates or null"),
        ({"type": "object", "additionalProperties": {"type": "integer"}}, "object of: whole number"),
    ],
)
def test_a_kind_of_value_is_told_in_words(schema, words):
    assert "".join(piece.words for piece in kind_of(schema)) == words
