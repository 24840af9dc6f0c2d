"""Hostile drawings and bodies: refused as what they are, never a fault of ours."""

from __future__ import annotations

import base64
import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hostile_marks import BEYOND, HOSTILE
from hostile_swarm import swarm
from stamped import MARKS
from stampwright.slots import Limits, Slots
from stampwright.web import create_app

DEADLINE_S = 5.0
REFUSED = {415, 422}  # what is no drawing, and a drawing that cannot be used


@pytest.fixture(scope="module")
def client():
    """The service as it is run: work in a slot, with a deadline."""
    slots = Slots(1, limits=Limits(deadline_s=DEADLINE_S))
    yield create_app(compute=slots).test_client()
    slots.stop()


def review(client, mark):
    return client.post("/v1/reviews", json={"mark_base64": base64.b64encode(mark).decode()})


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_drawing_is_refused_with_its_place_and_a_way_out(client, name):
    answer = review(client, HOSTILE[name])
    (error,) = answer.get_json()["errors"]
    assert answer.status_code in REFUSED
    assert error.get("element") or error.get("pointer") == "#/mark"
    assert len(error["detail"]) > 20
    assert "Traceback" not in answer.get_data(as_text=True)


def test_no_drawing_reads_a_file_of_the_server(client):
    answer = review(client, HOSTILE["a file of the server"])
    assert "root:" not in answer.get_data(as_text=True)


def test_a_swarm_of_hostile_drawings_is_read_or_refused(client):  # `python3 tests siege` sends a thousand
    assert {review(client, drawing).status_code for _, drawing in swarm(26, seed=3)} <= {200, *REFUSED}


def test_a_pointed_cutter_wider_than_every_gap_is_planned_within_a_deadline(client):  # took minutes: lines at once
    job = {
        "artwork": {"chord": 0.0005},
        "placement": {"fit": {"width": 18}},
        "relief": {"height": 2.5},
        "cutters": ["flat-3.175", "pointed-60"],
    }
    mark = MARKS["flight"].svg.decode()
    answer = client.post("/v1/stamps", json={"mark": mark, "job": job})
    assert answer.status_code == 200
    assert "pointed-60" in {operation["cutter"] for operation in answer.get_json()["plan"]["operations"]}


NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")
ODD_NUMBERS = ["0", "-7.25", "1e-9", "1e5", "1e308", "-1e308", "NaN", "inf", "1e-320", "100%", "", BEYOND]
ODD_PARTS = [
    *("<g>", "</g>", "<!--", "]]>", "&#0;", '<use href="#a"/>', "<text>Apis</text>", "<style>*{fill:none}</style>"),
    *('transform="scale(0)"', 'transform="skewX(90)"', 'stroke="#000" stroke-width="0.01"', 'fill-rule="evenodd"'),
    *('stroke-linejoin="miter" stroke-miterlimit="1e9"', 'display="none"', 'clip-path="url(#a)"', 'viewBox="0 0 0 0"'),
]


@st.composite
def damaged_marks(draw):
    """A mark of the demo, with some numbers and places of it replaced by odd ones."""
    mark = MARKS[draw(st.sampled_from(sorted(MARKS)))].svg
    for _ in range(draw(st.integers(1, 4))):
        if draw(st.booleans()):
            found = draw(st.sampled_from(list(NUMBER.finditer(mark))))
            mark = mark[: found.start()] + draw(st.sampled_from(ODD_NUMBERS)).encode() + mark[found.end() :]
        else:
            at = draw(st.sampled_from([place.start() for place in re.finditer(rb"[ <]", mark)]))
            mark = mark[:at] + b" " + draw(st.sampled_from(ODD_PARTS)).encode() + mark[at:]
    return mark


@pytest.fixture(scope="module")
def answer_to(client):
    return lambda mark: review(client, mark)


@settings(max_examples=80)
@given(mark=damaged_marks())
def test_a_damaged_drawing_is_read_or_refused(answer_to, mark):
    answer = answer_to(mark)
    assert answer.status_code in {200, *REFUSED}, answer.get_json()


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=9),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=9), inner, max_size=3),
    max_leaves=8,
)
FIELDS = ["units", "artwork", "head", "placement", "relief", "limits", "thread", "metal", "cutters", "machine", "use"]
BODIES = st.dictionaries(st.sampled_from(["mark", "mark_base64", "job", "more"]), VALUES, max_size=4) | VALUES


@given(body=BODIES)
def test_any_json_is_answered_by_a_refusal(app, body):  # NaN and the infinities are among it
    answer = app.test_client().post("/v1/stamps", data=json.dumps(body), content_type="application/json")
    assert answer.status_code in {400, *REFUSED}
    assert answer.get_json()["errors"]


@given(job=st.dictionaries(st.sampled_from(FIELDS), VALUES, min_size=1, max_size=3))
def test_any_job_is_taken_or_refused_by_its_field(app, job):
    body = {"mark": HOSTILE["another root"].decode(), "job": job}  # which is refused after the job
    answer = app.test_client().post("/v1/reviews", data=json.dumps(body), content_type="application/json")
    assert answer.status_code in {400, *REFUSED}
    assert all(error["pointer"].startswith("#") for error in answer.get_json()["errors"])


LENGTHS = st.floats(0.05, 120, allow_nan=False) | st.sampled_from([0, -1, 1e-9, 19, 38, 1e6])
CROSSED = st.fixed_dictionaries(
    {},
    optional={
        "units": st.sampled_from(["mm", "in"]),
        "head": st.fixed_dictionaries(
            {},
            optional=dict.fromkeys(("width", "height", "thickness", "corner_radius", "edge_break", "diameter"), LENGTHS)
            | {"shape": st.sampled_from(["rectangle", "round"])},
        ),
        "placement": st.fixed_dictionaries(
            {}, optional={"margin": LENGTHS, "turn_deg": st.floats(-400, 400), "fit": st.builds(dict, width=LENGTHS)}
        ),
        "relief": st.fixed_dictionaries({}, optional={"height": LENGTHS, "draft_deg": st.floats(-5, 90)}),
        "limits": st.fixed_dictionaries({}, optional={"land": LENGTHS, "gap": LENGTHS, "deviation": LENGTHS}),
        "thread": st.none() | st.fixed_dictionaries({}, optional={"size": st.sampled_from(["1/4-20 UNC", "M6"])}),
    },
)


@settings(max_examples=60)
@given(job=CROSSED)
def test_fields_that_contradict_each_other_are_refused_with_their_place(client, job):
    answer = client.post("/v1/reviews", json={"mark": MARKS["comb"].svg.decode(), "job": job})
    assert answer.status_code in {200, 422}
    for error in answer.get_json().get("errors", []):
        assert error.get("element") or error["pointer"].startswith(("#/job", "#/mark"))


@given(body=st.binary(max_size=60))
@pytest.mark.parametrize("media", ["application/json", "multipart/form-data; boundary=x", "text/plain", ""])
def test_any_bytes_are_answered_by_a_refusal(app, media, body):
    answer = app.test_client().post("/v1/stamps", data=body, content_type=media)
    assert answer.status_code in {400, 415, 422}
    assert answer.content_type == "application/problem+json"
