"""The parts of the form as they are sent: small, kept, closed against strangers, every text in one place."""

from __future__ import annotations

import gzip
import html
import json
import re

import pytest

from house import ROOT, SERVICE
from stampwright.artwork.limits import LIMITS
from stampwright.web import Settings, create_app
from stampwright.web.form import FORM_PARTS, form_part

PARTS = SERVICE / "web/form/parts"
WORDS = json.loads((PARTS / "words.en.json").read_text(encoding="utf-8"))
SCRIPTS = {path.name: path.read_text(encoding="utf-8") for path in PARTS.glob("*.js")}
MOST_BYTES = 60_000
LISTS = ("cutters", "metals", "substrates", "threads")


def asked(app, path, **headers):
    return app.test_client().get(path, headers=headers)


def test_the_whole_page_with_all_its_parts_is_small(app):
    paths = ["/", *(f"/form/{name}" for name in FORM_PARTS), *(f"/v1/{name}" for name in LISTS)]
    sizes = {path: len(asked(app, path, **{"Accept-Encoding": "gzip"}).data) for path in paths}
    assert sum(sizes.values()) < MOST_BYTES, sizes
    of_form = sum(size for path, size in sizes.items() if not path.startswith("/v1/"))
    told = re.search(r"(\d+) kB packed, the example of a shop", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))
    assert of_form / 1000 == pytest.approx(float(told[1]), rel=0.1)


def test_every_file_of_the_form_is_a_part_and_every_part_a_file():
    assert {path.name for path in PARTS.iterdir()} == set(FORM_PARTS) - {"defaults.json"}


@pytest.mark.parametrize("name", FORM_PARTS)
def test_a_part_is_the_same_packed_and_plain(app, name):
    plain, packed = asked(app, f"/form/{name}"), asked(app, f"/form/{name}", **{"Accept-Encoding": "gzip, br"})
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(packed.data) == plain.data == form_part(name).plain
    assert "Accept-Encoding" in packed.headers["Vary"]
    assert plain.headers["ETag"] != packed.headers["ETag"]  # RFC 9110, section 8.8.3: strong ones tell codings apart


@pytest.mark.parametrize("path", ["/", "/form/iron-order.js", "/form/defaults.json"])
def test_a_part_in_hand_is_not_sent_again(app, path):
    tag = asked(app, path).headers["ETag"]
    assert asked(app, path, **{"If-None-Match": tag}).status_code == 304


@pytest.mark.parametrize("path", ["/form/", "/form/index.html", "/form/../app.py", "/form/nothing.js"])
def test_nothing_else_is_served(app, path):
    assert asked(app, path).status_code == 404


def test_the_policy_lets_in_nothing_from_outside_and_nothing_inline(app):
    policy = asked(app, "/").headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert not re.search(r"unsafe|https?:|\*|data:", policy)
    assert "Content-Security-Policy" in asked(app, "/form/shop.html").headers


def test_the_policy_of_the_form_can_be_set():
    client = create_app(Settings(form_csp="default-src 'self'")).test_client()
    assert client.get("/").headers["Content-Security-Policy"] == "default-src 'self'"
    assert client.get("/healthz").headers["Content-Security-Policy"] != "default-src 'self'"


@pytest.mark.parametrize("path", ["/", "/form/shop.html", "/docs", "/problems/busy"])
def test_a_page_has_no_script_and_no_style_in_its_text(app, path):
    page = asked(app, path).get_data(as_text=True)
    assert not re.search(r"<script(?![^>]* src=)|<style|\sstyle=|\son\w+=", page)


@pytest.mark.parametrize("name", SCRIPTS)
def test_a_script_never_writes_markup(name):
    assert not re.search(
        r"innerHTML|outerHTML|insertAdjacent|document\.write|eval\(|new Function|DOMParser", SCRIPTS[name]
    )


def test_the_empty_job_is_what_the_form_begins_with(app):
    mark = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M1 1h7v7z"/></svg>'
    jobs = [{}, json.loads(asked(app, "/form/defaults.json").data)]
    digests = {
        app.test_client().post("/v1/reviews", json={"mark": mark, "job": job}).get_json()["digest"] for job in jobs
    }
    assert len(digests) == 1


def said():
    """Every name of a text that the scripts write out."""
    for text in SCRIPTS.values():
        yield from re.findall(r"(?:say|sayOr)\(\"([a-z][\w.]+)\"", text)
        yield from (f"{name}.{form}" for name in re.findall(r"count\(\"([\w.]+)\"", text) for form in ("one", "many"))


def test_every_text_of_the_page_stands_on_it(app):
    page = html.unescape(asked(app, "/").get_data(as_text=True))
    assert [text for name, text in WORDS.items() if name.startswith("page.") and text not in page] == []


def test_every_text_of_the_form_stands_in_the_table():
    assert set(said()) - set(WORDS) == set()


def test_every_finding_and_every_field_has_its_plain_words():
    readme = (SERVICE.parent.parent / "README.md").read_text(encoding="utf-8").split("## What the report finds")[1]
    codes = re.findall(r"^\| `([a-z-]+)` \|", readme.split("\n## ")[0], re.MULTILINE)
    fields = re.findall(r'^  "?([a-z_.]+)"?: \{ kind:', SCRIPTS["fields.js"], re.MULTILINE)
    assert len(fields) > 15
    assert {f"finding.{code}" for code in codes} | set(fields) <= set(WORDS)


def test_the_size_it_asks_for_is_the_size_the_reader_takes():
    assert f"at most {LIMITS['bytes'].most / 1e6:.0f} MB" in WORDS["mark.hint"]
