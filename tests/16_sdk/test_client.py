"""The client against the real application, in process: marks go in, typed answers come out, refusals are classes."""

from __future__ import annotations

import dataclasses
import json

import pytest
import trimesh
from werkzeug import Response

from in_process import ADDRESS, session_of
from stampwright_sdk import Client, InvalidJob, MalformedRequest, NotOffered, UnusableInput, UnusableMark

F = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 20" width="30mm" height="20mm">'
    '<path d="M5 2h18v5H11v2h9v4h-9v5H5z"/></svg>'
)
SMALL = {"head": {"width": 30, "height": 20}, "cutters": ["flat-1.588"]}


@pytest.fixture
def f_file(tmp_path):
    path = tmp_path / "f.svg"
    path.write_text(F)
    return path


def test_a_stamp_comes_typed_and_raw(client):
    stamp = client.make_stamp(F, SMALL)
    assert stamp.verdict in {"ready", "compromised", "unmakeable"}
    assert stamp.raw["digest"] == stamp.digest
    assert stamp.plan.operations[0].step == 1
    assert stamp.solid.watertight


def test_nothing_of_an_answer_is_lost_in_the_records(client):
    stamp = client.make_stamp(F, SMALL)
    own = {"raw", "body", "request_id"}
    read = {name: value for name, value in dataclasses.asdict(stamp).items() if name not in own}
    assert json.loads(json.dumps(read)) == stamp.raw


def test_a_mark_may_be_text_bytes_or_a_path(client, f_file):
    digests = {client.review_mark(mark, SMALL).digest for mark in (F, F.encode(), f_file, str(f_file))}
    assert len(digests) == 1


def test_a_job_may_be_a_mapping_or_a_path(client, tmp_path):
    (tmp_path / "job.json").write_text(json.dumps(SMALL))
    assert client.review_mark(F, SMALL).digest == client.review_mark(F, tmp_path / "job.json").digest


def test_the_quick_answer_says_what_the_whole_says(client):
    reviewed, stamp = client.review_mark(F, SMALL), client.make_stamp(F, SMALL)
    assert (reviewed.verdict, reviewed.review, reviewed.face) == (stamp.verdict, stamp.review, stamp.face)


def test_a_solid_is_an_stl_that_other_programs_read(client, tmp_path):
    path = client.make_solid(F, SMALL).save(tmp_path / "f.stl")
    mesh = trimesh.load_mesh(path)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(client.make_stamp(F, SMALL).solid.volume_mm3, rel=1e-5)


def test_a_solid_comes_as_3mf_on_request(client):
    solid = client.make_solid(F, SMALL, accept="3mf")
    assert solid.media_type == "model/3mf"
    assert solid.body.startswith(b"PK")


def test_the_outlines_alone_are_those_of_the_bundle(client, tmp_path):
    outlines = client.make_stamp(F, SMALL, accept="dxf")
    assert outlines.media_type == "image/vnd.dxf"
    assert (
        outlines.save(tmp_path / "f.dxf").read_bytes() == client.make_stamp(F, SMALL, accept="bundle").files["face.dxf"]
    )


def test_a_bundle_holds_the_same_stamp_and_is_saved_whole(client, tmp_path):
    bundle = client.make_stamp(F, SMALL, accept="bundle")
    saved = bundle.save(tmp_path / "out")
    assert bundle.stamp == client.make_stamp(F, SMALL)
    assert {path.name: path.read_bytes() for path in saved} == dict(bundle.files)
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(bundle.files)


def test_a_stamp_is_saved_byte_for_byte(client, tmp_path):
    stamp = client.make_stamp(F, SMALL)
    (path,) = stamp.save(tmp_path)
    assert path.read_bytes() == stamp.body


@pytest.mark.parametrize(
    ("name", "key"), [("cutters", "flat-1.588"), ("metals", "brass-c36000"), ("substrates", "oak-white")]
)
def test_a_catalogue_lists_what_a_job_can_name(client, name, key):
    rows = getattr(client, f"list_{name}")()
    assert key in {row.key for row in rows}
    assert all(row.source for row in rows)


def test_threads_are_listed_by_size(client):
    assert "1/4-20 UNC" in {thread.size for thread in client.list_threads()}


def test_health_readiness_and_contract_are_asked_for(client):
    assert client.get_health()
    assert client.get_readiness()
    assert client.get_contract().startswith("components:")
    assert "stampwright_requests_total" in client.get_metrics()


def test_a_kind_of_problem_explains_itself(client):
    assert "busy" in client.explain_problem("busy")
    with pytest.raises(NotOffered):
        client.explain_problem("../bu sy?")


def test_an_unknown_field_of_the_job_is_named(client):
    with pytest.raises(InvalidJob) as caught:
        client.make_stamp(F, {"head": {"wdith": 30}})
    assert "/job/head/wdith" in caught.value.place
    assert all(word in str(caught.value) for word in (caught.value.code, caught.value.place, caught.value.request_id))


def test_every_reason_comes_at_once(client):
    with pytest.raises(InvalidJob) as caught:
        client.review_mark(F, {"metal": "cheese", "substrate": "water"})
    assert {reason.place for reason in caught.value.reasons} == {"#/job/metal", "#/job/substrate"}


def test_a_mark_without_ink_is_an_unusable_mark(client):
    with pytest.raises(UnusableMark) as caught:
        client.review_mark('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 20"/>')
    assert caught.value.status == 422


def test_an_error_is_also_what_a_python_caller_would_guess(client):
    with pytest.raises(ValueError, match="request "):
        client.review_mark(b"\x00\x01 no drawing")


def test_a_mark_nobody_can_read_is_not_sent(client, tmp_path):
    with pytest.raises(UnusableInput, match=r"missing\.svg cannot be read"):
        client.review_mark(tmp_path / "missing.svg")


@pytest.mark.parametrize("job", [{"head": {"width": float("nan")}}, {"head": object()}, {"cutters": {1, 2}}])
def test_a_job_that_is_no_json_is_not_sent(client, job):
    with pytest.raises(UnusableInput, match="cannot be written as JSON"):
        client.review_mark(F, job)


@pytest.mark.parametrize(("text", "words"), [("{", "is no JSON"), ("[]", "is no JSON object"), ('{"a": NaN}', "JSON")])
def test_a_job_file_that_is_no_job_is_not_sent(client, tmp_path, text, words):
    (tmp_path / "job.json").write_text(text)
    with pytest.raises((UnusableInput, MalformedRequest), match=words):
        client.review_mark(F, tmp_path / "job.json")


def test_half_a_character_is_not_sent(client):
    with pytest.raises(UnusableInput, match="half a character"):
        client.review_mark("<svg>\ud800</svg>")


def test_a_client_needs_an_address():
    with pytest.raises(UnusableInput, match="STAMPWRIGHT_URL"):
        Client()


def test_the_address_may_come_from_the_environment(monkeypatch):
    monkeypatch.setenv("STAMPWRIGHT_URL", "http://bench.test:8080/")
    with Client() as client:
        assert client.base_url == "http://bench.test:8080"


def test_a_key_goes_along_as_a_bearer_token(monkeypatch):
    heard = []

    def listening(environ, start_response):
        heard.append(environ.get("HTTP_AUTHORIZATION"))
        return Response("[]", 200, content_type="application/json")(environ, start_response)

    Client(ADDRESS, session=session_of(listening), api_key="of-the-hive").list_metals()
    monkeypatch.setenv("STAMPWRIGHT_API_KEY", "of-the-shop")
    Client(ADDRESS, session=session_of(listening)).list_metals()
    assert heard == ["Bearer of-the-hive", "Bearer of-the-shop"]
