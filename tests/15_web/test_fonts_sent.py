"""Fonts that come with a mark: as parts of a form or as base64, each with its place, all of them in the digest."""

from __future__ import annotations

import base64

import pytest
from hypothesis import given
from hypothesis import strategies as st
from urllib3 import encode_multipart_formdata

from lettered import dejavu
from stampwright.job import read_job
from stampwright.pipeline import digest_of

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 20"><path d="M1 1h7v7H1z"/></svg>'
JOB = read_job({})


def as_form(app, fonts, *, mark=SVG):
    parts = [("mark", ("m.svg", mark)), *[("font", ("f.ttf", font)) for font in fonts]]
    body, kind = encode_multipart_formdata(parts)
    return app.test_client().post("/v1/reviews", data=body, content_type=kind)


def as_json(app, fonts, *, mark=SVG):
    body = {"mark": mark.decode(), "fonts_base64": [base64.b64encode(font).decode() for font in fonts]}
    return app.test_client().post("/v1/reviews", json=body)


@pytest.mark.parametrize("fonts", [[], [b"one"], [b"one", b"two", b"", b"two"]])
def test_a_form_and_json_carry_the_same_fonts(app, fonts):
    asked = as_form(app, fonts)
    assert asked.status_code == 200
    assert asked.data == as_json(app, fonts).data
    assert asked.get_json()["digest"] == digest_of(SVG, JOB, fonts=fonts)


@pytest.mark.parametrize(("send", "pointer"), [(as_form, "#/font/1"), (as_json, "#/fonts_base64/1")])
def test_a_font_beyond_the_limit_is_refused_by_its_place_in_the_request(app, send, pointer):
    answer = send(app, [b"small", bytes(4_000_001)])
    (error,) = answer.get_json()["errors"]
    assert (answer.status_code, error["code"], error["pointer"]) == (422, "font-too-large", pointer)


LETTERED = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 240" font-family="DejaVu Sans">%s</svg>'
HIVE = LETTERED % b'<text x="20" y="150" font-size="120">Hive</text>'


@pytest.mark.parametrize("send", [as_form, as_json])
def test_the_letters_of_a_mark_are_its_lands(app, send):
    mark = send(app, [dejavu()], mark=HIVE).get_json()["mark"]
    assert (mark["lands"], mark["counters"], mark["repaired"], mark["left_out"]) == (5, 1, [], [])  # H, i of two, v, e


@pytest.mark.parametrize(("send", "pointer"), [(as_form, "#/font/1"), (as_json, "#/fonts_base64/1")])
def test_a_font_that_cannot_be_read_is_refused_by_its_place_in_the_request(app, send, pointer):
    answer = send(app, [dejavu(), b"no font"], mark=HIVE)
    (error,) = answer.get_json()["errors"]
    assert (answer.status_code, error["code"], error["pointer"]) == (422, "font-unreadable", pointer)


def test_a_family_that_was_not_sent_is_refused_by_its_name_and_element(app):
    answer = as_form(app, [dejavu()], mark=HIVE.replace(b"DejaVu Sans", b"Lora"))
    (error,) = answer.get_json()["errors"]
    assert (answer.status_code, error["code"], error["element"]) == (422, "text-not-outlined", "/svg/text[1]")
    assert "Lora" in error["detail"]
    assert "DejaVu Sans" in error["detail"]


PARTS = st.lists(st.binary(max_size=3), min_size=1, max_size=5)


@given(PARTS, PARTS)
def test_two_requests_have_one_digest_only_if_all_their_parts_are_the_same(one, other):
    first, second = (digest_of(mark, JOB, fonts=fonts) for mark, *fonts in (one, other))
    assert (first == second) == (one == other)
