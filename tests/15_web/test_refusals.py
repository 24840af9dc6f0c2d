"""Bad input: each a problem document (RFC 9457) that names the element or the field and says what to do."""

from __future__ import annotations

import gzip
import io
import json

import pytest

from stampwright.slots import Here
from stampwright.web import Settings, create_app
from stampwright.web.problems import PROBLEMS


def svg(body, *, head='width="30mm" height="20mm" viewBox="0 0 30 20"'):
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>'


DISC = svg('<circle cx="15" cy="10" r="8"/>')
BLANK_JOB = {}
BOMB = '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>' + DISC
OUTSIDE = '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>' + svg("<title>&a;</title>")
USES = svg(
    '<defs><path id="u0" d="M0 0h1v1z"/>'
    + "".join(f'<g id="u{i}">' + f'<use href="#u{i - 1}"/>' * 10 + "</g>" for i in range(1, 9))
    + '</defs><use href="#u8"/>'
)
SCRIBBLE = svg(
    '<path fill-rule="evenodd" d="M'
    + " ".join(f"{(i * 7919) % 3001 / 100} {(i * 104729) % 2003 / 100}" for i in range(3000))
    + 'z"/>'
)

BAD_MARKS = {  # mark → code, where
    "": ("empty-file", "#/mark"),
    "%PDF-1.7": ("broken-pdf", "#/mark"),
    "<svg": ("not-xml", "#/mark"),
    '<svg xmlns="http://www.w3.org/2000/svg"><g>': ("not-xml", "#/mark"),
    "<svg><path d='M0 0h9v9z'/></svg>": ("not-svg", "#/mark"),
    svg(""): ("no-ink", "#/mark"),
    svg('<rect width="9" height="9" fill="#eee"/>'): ("no-ink", "#/mark"),
    svg('<text x="2" y="9">Apis</text>'): ("text-not-outlined", "/svg/text[1]"),
    svg('<g><image width="9" height="9" href="x.png"/></g>'): ("raster-image", "/svg/g[1]/image[1]"),
    svg('<circle r="9"/>', head='width="0" height="10" viewBox="0 0 9 9"'): ("page-size", "/svg"),
    svg('<path d="M0 0H1e308V1e308z"/>'): ("coordinate-range", "/svg/path[1]"),
    svg("<g>" * 80 + "</g>" * 80): ("too-deep", "#/mark"),
    svg('<path stroke="#000" stroke-dasharray="1e-6" d="M0 0h30"/>'): ("too-many-dashes", "#/mark"),
    BOMB: ("entity", "#/mark"),
    OUTSIDE: ("entity", "#/mark"),
    USES: ("too-many-elements", "#/mark"),
    SCRIBBLE: ("too-tangled", "#/mark"),
}


OTHER_FILES = ("hello", "<html><body/></html>", "%!PS-Adobe-3.0 EPSF-3.0", "AC1032")


def end_mill(**changed):
    """A rack of one flat cutter of our own."""
    sound = {"key": "mine", "shape": "flat", "diameter": 1, "flutes": 2, "length_of_cut": 3, "shank": 3, "overhang": 12}
    return {"cutters": [sound | changed]}


BAD_JOBS = [  # job → code, pointer
    ({"hed": 1}, "unknown-field", "#/job/hed"),
    ({"head": {"witdh": 1}}, "unknown-field", "#/job/head/witdh"),
    ({"head": {"width": "40"}}, "wrong-type", "#/job/head/width"),
    ({"head": {"width": 3}}, "contradiction", "#/job/placement/margin"),
    ({"metal": "gold"}, "unknown-metal", "#/job/metal"),
    ({"substrate": "glass"}, "unknown-substrate", "#/job/substrate"),
    ({"cutters": ["flat-9"]}, "unknown-cutter", "#/job/cutters/0"),
    ({"machine": {"max_rpm": 0.05}}, "out-of-range", "#/job/machine/max_rpm"),
    ({"machine": {"max_feed": 0}}, "out-of-range", "#/job/machine/max_feed"),
    ({"machine": {"rapid": 1}}, "out-of-range", "#/job/machine/rapid"),
    ({"machine": {"lift_rate": 1}}, "out-of-range", "#/job/machine/lift_rate"),
    ({"limits": {"land": 0}}, "out-of-range", "#/job/limits/land"),
    ({"limits": {"gap": -0.5}}, "out-of-range", "#/job/limits/gap"),
    ({"limits": {"deviation": 0}}, "out-of-range", "#/job/limits/deviation"),
    ({"limits": {"faithful": -1}}, "out-of-range", "#/job/limits/faithful"),
    ({"cutters": []}, "out-of-range", "#/job/cutters"),
    (end_mill(diameter=0), "out-of-range", "#/job/cutters/0/diameter"),
    (end_mill(flutes=0), "out-of-range", "#/job/cutters/0/flutes"),
    (end_mill(length_of_cut=0), "out-of-range", "#/job/cutters/0/length_of_cut"),
    (end_mill(diameter=40, shank=20), "cutter-too-large", "#/job/cutters"),
    (end_mill(length_of_cut=1), "relief-out-of-reach", "#/job/cutters"),
    ({"thread": {"size": "7/16"}}, "unknown-thread", "#/job/thread/size"),
    ({"relief": {"height": 19}}, "contradiction", "#/job/relief/height"),
    ({"head": {"thickness": 6}}, "hole-too-deep", "#/job/head/thickness"),
    ({"relief": {"thicken": True}, "limits": {"land": 12}}, "least-land-too-wide", "#/job/limits/land"),
]


@pytest.fixture(scope="module")
def post(app):
    client = app.test_client()
    return lambda mark, job=BLANK_JOB, path="/v1/stamps": client.post(path, json={"mark": mark, "job": job})


def problem_in(answer):
    """The problem document of an answer, held to the standard's members."""
    assert answer.content_type == "application/problem+json"
    problem = answer.get_json()
    assert problem["status"] == answer.status_code
    assert problem["type"].removeprefix("/problems/") in PROBLEMS
    assert problem["instance"] == answer.headers["X-Request-Id"]
    assert problem["title"]
    assert "Traceback" not in answer.get_data(as_text=True)
    return problem


@pytest.mark.parametrize("mark", BAD_MARKS, ids=[f"{code}-{i}" for i, (code, _) in enumerate(BAD_MARKS.values())])
def test_a_mark_that_cannot_be_used_is_refused_by_its_element(post, mark):
    code, where = BAD_MARKS[mark]
    answer = post(mark)
    error = problem_in(answer)["errors"][0]
    assert (answer.status_code, error["code"], error.get("element") or error["pointer"]) == (422, code, where)
    assert len(error["detail"]) > 20


@pytest.mark.parametrize("mark", OTHER_FILES)
def test_a_file_of_another_kind_is_an_unsupported_media_type(post, mark):
    answer = post(mark)
    error = problem_in(answer)["errors"][0]
    assert (answer.status_code, error["code"], error["pointer"]) == (415, "unread-format", "#/mark")


@pytest.mark.parametrize(("job", "code", "pointer"), BAD_JOBS)
def test_a_job_that_cannot_be_taken_is_refused_by_its_field(post, job, code, pointer):
    answer = post(DISC, job)
    error = problem_in(answer)["errors"][0]
    assert (answer.status_code, error["code"], error["pointer"]) == (422, code, pointer)


def test_all_faults_of_a_job_are_told_at_once(post):
    errors = problem_in(post(DISC, {"hed": 1, "metal": "gold", "head": {"width": -1}}))["errors"]
    assert {error["pointer"] for error in errors} == {"#/job/hed", "#/job/metal", "#/job/head/width"}


def test_a_missing_ink_rule_names_the_rules_that_would_do(post):
    detail = problem_in(post(svg('<rect width="9" height="9" fill="#eee"/>')))["detail"]
    assert '"dark"' in detail
    assert '"painted" or "light"' in detail


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (b"{", "broken-json"),
        (b'{"mark": NaN}', "broken-json"),
        (b'{"mark": "a", "mark": "b"}', "broken-json"),
        (b"[" * 100_000, "too-deep"),
        (b'{"mark": "\\ud800"}', "lone-surrogate"),
        (b"\xff\xfe", "not-utf-8"),
        (b"[]", "wrong-type"),
        (b"{}", "missing-mark"),
        (b'{"mark": 1}', "wrong-type"),
        (b'{"mark_base64": "?"}', "not-base64"),
    ],
)
def test_a_body_that_is_not_what_it_says_is_malformed(app, body, code):
    answer = app.test_client().post("/v1/stamps", data=body, content_type="application/json")
    assert answer.status_code == 400
    assert problem_in(answer)["errors"][0]["code"] == code


@pytest.mark.parametrize("path", ["", "//v1//metals", "/../v1/metals"])
def test_no_address_is_redirected_to_where_the_caller_says(app, path):
    answer = app.test_client().open(path="/x", environ_overrides={"PATH_INFO": path, "HTTP_HOST": "elsewhere.example"})
    assert answer.status_code == (404 if path else 200)
    assert "Location" not in answer.headers


@pytest.mark.parametrize(
    ("method", "path", "headers", "status"),
    [
        ("GET", "/v1/nothing", {}, 404),
        ("GET", "/problems/nothing", {}, 404),
        ("GET", "/v1/stamps", {}, 405),
        ("GET", "/v1//metals", {}, 404),
        ("GET", "/v1/metals/", {}, 404),
        ("DELETE", "/v1/metals", {}, 405),
        ("GET", "/v1/metals", {"Accept": "text/csv"}, 406),
        ("POST", "/v1/stamps", {"Content-Type": "text/plain"}, 415),
        ("POST", "/v1/stamps", {"Content-Type": "application/json", "Content-Encoding": "gzip"}, 415),
    ],
)
def test_what_is_not_offered_is_said_by_status(app, method, path, headers, status):
    answer = app.test_client().open(path, method=method, headers=headers)
    assert answer.status_code == status
    problem_in(answer)


def test_a_body_beyond_the_limit_is_too_large():
    client = create_app(Settings(max_body_bytes=200_000)).test_client()
    answer = client.post("/v1/stamps", json={"mark": DISC + " " * 300_000})
    assert answer.status_code == 413
    problem_in(answer)


def test_a_gzip_bomb_is_refused_by_what_it_would_unpack_to(app):
    packed = gzip.compress(b"<svg>" + b" " * 50_000_000)
    form = {"mark": (io.BytesIO(packed), "bomb.svgz")}
    answer = app.test_client().post("/v1/stamps", data=form)
    assert (answer.status_code, problem_in(answer)["errors"][0]["code"]) == (422, "too-large")


def test_a_defect_of_ours_tells_the_caller_nothing_of_the_inside(caplog):
    class Broken(Here):
        def do(self, *_a, **_k):
            raise ZeroDivisionError("the secret drawing")

    answer = create_app(compute=Broken()).test_client().post("/v1/stamps", json={"mark": DISC})
    assert answer.status_code == 500
    assert "secret" not in json.dumps(problem_in(answer)) + caplog.text
