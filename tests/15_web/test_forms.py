"""Forms as they come over the wire: every part once, each read strictly, nothing on the disk."""

from __future__ import annotations

import tempfile

import pytest

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 20"><path d="M1 1h7v7H1z"/></svg>'
FILE = '; filename="m.svg"'
FORM = "multipart/form-data; boundary=b"


def written(*parts):
    """The bytes of a form (RFC 7578) of parts (name, further parameters, text)."""
    lines = [
        f'--b\r\nContent-Disposition: form-data; name="{name}"{more}\r\n\r\n{text}\r\n' for name, more, text in parts
    ]
    return ("".join(lines) + "--b--\r\n").encode()


def post(app, body, *, content_type=FORM):
    return app.test_client().post("/v1/reviews", data=body, content_type=content_type)


def part_said(media, name):
    """A form whose mark is an SVG under a type and a name."""
    head = f'Content-Disposition: form-data; name="mark"; filename="{name}"'
    head += f"\r\nContent-Type: {media}" if media else ""
    return f"--b\r\n{head}\r\n\r\n{SVG}\r\n--b--\r\n".encode()


# Media types by IANA's registry; names as programs give them
@pytest.mark.parametrize(
    ("media", "name"),
    [
        ("application/pdf", "m.svg"),
        ("image/svg+xml", "m.pdf"),
        ("image/png", "m"),
        ("application/octet-stream", "m.DXF"),
        ("", "m.jpg"),
    ],
)
def test_a_part_that_says_another_kind_is_read_by_its_content_and_told(app, media, name):
    answer = post(app, part_said(media, name))
    assert answer.status_code == 200
    assert [notice["code"] for notice in answer.get_json()["mark"]["repaired"]] == ["declared-otherwise"]


@pytest.mark.parametrize("media", ["image/svg+xml", "application/octet-stream", "", "text/plain", "text/xml"])
@pytest.mark.parametrize("name", ["m.svg", "m", "m.SVGZ", "m.xml"])
def test_a_part_that_contradicts_nothing_is_answered_like_the_same_job_in_json(app, media, name):
    answer = post(app, part_said(media, name)).get_json()
    assert answer["mark"]["repaired"] == []
    assert answer["digest"] == app.test_client().post("/v1/reviews", json={"mark": SVG}).get_json()["digest"]


WRONG = [  # parts, or bytes of a form → status, code, pointer
    (written(("mark", FILE, SVG), ("job", "", "{}"), ("job", "", "{}")), 400, "part-twice", "#/job"),
    (written(("mark", FILE, SVG), ("job", "", "{}"), ("job", FILE, "{}")), 400, "part-twice", "#/job"),
    (written(("job", "", "{}")), 400, "missing-mark", "#/mark"),
    (written(("mark", "", SVG)), 400, "wrong-type", "#/mark"),
    (written(("mark", FILE, SVG), ("job", "", "{")), 400, "broken-json", "#/job"),
    (written(("mark", FILE, SVG), ("job", "", '{"metal": "a", "metal": "b"}')), 400, "broken-json", "#/job"),
    (written(("mark", FILE, SVG), ("job", "", "3")), 422, "wrong-type", "#/job"),
    (written(("mark", FILE, SVG), *[("font", FILE, "x")] * 5), 422, "too-many-fonts", "#/font"),
    (written(("mark", FILE, SVG), ("font", "", "x")), 400, "wrong-type", "#/font"),
    (written(("mark", FILE, SVG), ("fonts", FILE, "x")), 422, "unknown-field", "#/fonts"),
    (written(("mark", FILE, SVG), ("a/b~", "", "x")), 422, "unknown-field", "#/a~1b~0"),
    (b"", 400, "missing-mark", "#/mark"),
    (b"--b\r\nContent-Disp", 400, "missing-mark", "#/mark"),
]


@pytest.mark.parametrize(("body", "status", "code", "pointer"), WRONG)
def test_a_form_that_is_wrong_is_told_where(app, body, status, code, pointer):
    answer = post(app, body)
    error = answer.get_json()["errors"][0]
    assert (answer.status_code, error["code"], error["pointer"]) == (status, code, pointer)


def test_a_form_without_a_boundary_is_malformed(app):
    answer = post(app, b"x", content_type="multipart/form-data")
    assert (answer.status_code, answer.get_json()["errors"][0]["code"]) == (400, "no-boundary")


def test_a_job_may_come_as_text_or_as_a_file(app):
    as_text = post(app, written(("mark", FILE, SVG), ("job", "", '{"substrate": "pine-white"}')))
    as_file = post(app, written(("mark", FILE, SVG), ("job", '; filename="job.json"', '{"substrate": "pine-white"}')))
    assert as_text.status_code == 200
    assert as_text.data == as_file.data


def test_a_job_beyond_its_own_limit_is_too_large(app):
    answer = post(app, written(("mark", FILE, SVG), ("job", "", " " * 300_000)))
    assert (answer.status_code, answer.get_json()["type"]) == (413, "/problems/too-large")


def test_an_upload_of_megabytes_needs_no_writable_disk(app, monkeypatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "there-is-no-such-folder"))
    answer = post(app, written(("mark", FILE, SVG + "\n" * 1_200_000)))
    assert answer.status_code == 200


NESTED = b'{"a":' * 900 + b"1" + b"}" * 900


@pytest.mark.parametrize(
    ("body", "status", "code", "pointer"),
    [
        (b'{"mark": "x", "job": ' + NESTED + b"}", 422, "unknown-field", "#/job/a"),
        (b'{"mark": "x", "job": {"head": {"width": ' + b"9" * 5000 + b"}}}", 400, "broken-json", "#"),
        (b'{"mark": "x", "job": {"head": {"width": 1e999}}}', 422, "not-finite", "#/job/head/width"),
        (b'{"mark": "x", "job": {"metal": "\\udfff"}}', 400, "lone-surrogate", "#"),
        (b'{"mark": "x", "mark_base64": "eA=="}', 400, "missing-mark", "#/mark"),
        (b'{"mark_base64": "\xc3\xa9"}', 400, "not-base64", "#/mark_base64"),
        (b'{"mark": "x", "\\u00e9": 1}', 422, "unknown-field", "#/%C3%A9"),  # RFC 6901, section 6: UTF-8, then %
        (b'{"mark": "x", "job": null}', 422, "wrong-type", "#/job"),
        (b'{"mark": "x", "fonts_base64": "eA=="}', 400, "wrong-type", "#/fonts_base64"),
        (b'{"mark": "x", "fonts_base64": ["eA==", "?"]}', 400, "not-base64", "#/fonts_base64/1"),
        (b'{"mark": "x", "fonts_base64": ["", "", "", "", ""]}', 422, "too-many-fonts", "#/fonts_base64"),
    ],
)
def test_json_that_a_parser_lets_pass_is_told_where(app, body, status, code, pointer):
    answer = post(app, body, content_type="application/json")
    error = answer.get_json()["errors"][0]
    assert (answer.status_code, error["code"], error["pointer"]) == (status, code, pointer)


@pytest.mark.parametrize("asked", ["model/obj", "text/html", "audio/*"])
def test_a_type_that_is_not_offered_is_refused_with_those_that_are(app, asked):
    answer = app.test_client().post("/v1/solids", json={"mark": SVG}, headers={"Accept": asked})
    assert answer.status_code == 406
    assert "model/stl" in answer.get_json()["detail"]


def test_a_wrong_type_or_method_is_told_what_would_do(app):
    assert post(app, b"x", content_type="text/plain").headers["Accept"] == "application/json, multipart/form-data"
    assert "POST" in app.test_client().put("/v1/stamps").headers["Allow"]
