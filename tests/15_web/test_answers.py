"""What is answered: by Accept, the same bytes for the same request, from a form or from JSON."""

from __future__ import annotations

import io
import logging
import struct
import xml.etree.ElementTree as ET
import zipfile

import pytest

from stamped import MARKS
from stampwright.web import Settings, create_app

MARK = MARKS["comb"].svg.decode()


@pytest.fixture
def client(app):
    return app.test_client()


def test_json_is_the_default_and_a_bundle_comes_on_request(client):
    plain = client.post("/v1/stamps", json={"mark": MARK})
    bundle = client.post("/v1/stamps", json={"mark": MARK}, headers={"Accept": "application/zip"})
    assert plain.mimetype == "application/json"
    assert plain.headers["Vary"] == "Accept"
    with zipfile.ZipFile(io.BytesIO(bundle.data)) as files:
        assert files.read("stamp.json") == plain.data
        assert {"face.stl", "proof.svg"} <= set(files.namelist())


def test_the_solid_is_binary_stl_of_as_many_triangles_as_the_stamp_says(client):
    stl = client.post("/v1/solids", json={"mark": MARK})
    (count,) = struct.unpack_from("<I", stl.data, 80)
    assert stl.mimetype == "model/stl"
    assert len(stl.data) == 84 + 50 * count
    assert client.post("/v1/stamps", json={"mark": MARK}).get_json()["solid"]["triangles"] == count


@pytest.mark.parametrize("path", ["/v1/stamps", "/v1/solids", "/v1/reviews"])
def test_the_same_request_gives_the_same_bytes(client, path):
    assert client.post(path, json={"mark": MARK}).data == client.post(path, json={"mark": MARK}).data


def test_a_form_says_the_same_as_json(client):
    form = {"mark": (io.BytesIO(MARK.encode()), "hive.svg"), "job": '{"substrate": "pine-white"}'}
    by_form = client.post("/v1/reviews", data=form)
    assert by_form.data == client.post("/v1/reviews", json={"mark": MARK, "job": {"substrate": "pine-white"}}).data


def test_a_part_that_stands_twice_is_refused(client):
    form = {"mark": [(io.BytesIO(MARK.encode()), "a.svg"), (io.BytesIO(MARK.encode()), "b.svg")]}
    answer = client.post("/v1/reviews", data=form)
    assert (answer.status_code, answer.get_json()["errors"][0]["code"]) == (400, "part-twice")


@pytest.mark.parametrize("name", ["cutters", "metals", "substrates", "threads"])
def test_every_row_of_a_catalogue_names_its_source(client, name):
    rows = client.get(f"/v1/{name}").get_json()
    assert rows
    assert all(row["source"] for row in rows)


@pytest.mark.parametrize(("given", "kept"), [("hive-7.a_B", True), ("a b", False), ("x" * 65, False)])
def test_a_request_keeps_its_id_when_it_can_be_logged_as_it_is(client, given, kept):
    assert (client.get("/healthz", headers={"X-Request-Id": given}).headers["X-Request-Id"] == given) is kept


def test_browsers_are_told_to_guess_nothing_and_to_run_nothing(client):
    headers = client.get("/healthz").headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "default-src 'none'" in headers["Content-Security-Policy"]


def test_the_log_holds_nothing_of_the_mark(client, caplog):
    with caplog.at_level(logging.DEBUG, logger="stampwright"):
        form = {"mark": (io.BytesIO(MARK.encode()), "orla-thackeray.svg")}
        client.post("/v1/reviews", data=form)
        client.post("/v1/reviews", json={"mark": '<svg xmlns="http://www.w3.org/2000/svg"><text>Orla</text></svg>'})
    said = " ".join(str(vars(record)) for record in caplog.records)
    assert "answered" in said
    assert "rla" not in said


def test_readiness_ends_when_the_service_stops():
    app = create_app()
    assert app.test_client().get("/readyz").status_code == 200
    app.extensions["stopping"].set()
    assert app.test_client().get("/readyz").status_code == 503
    assert app.test_client().get("/healthz").status_code == 200


def test_settings_come_from_the_environment():
    assert Settings.from_environment({"STAMPWRIGHT_PORT": "9", "PORT": "1"}).port == 9


@pytest.mark.parametrize(
    "given",
    [{"PORT": "x"}, {"PORT": "70000"}, {"THREADS": "-1"}, {"MAX_JOB_BYTES": "10"}, {"GRACE_S": "inf"}, {"SLOTS": ""}],
)
def test_a_setting_that_cannot_be_is_refused_by_name(given):
    with pytest.raises(ValueError, match="(?i)" + next(iter(given))):
        Settings.from_environment({f"STAMPWRIGHT_{name}": text for name, text in given.items()})


def test_the_solid_as_3mf_has_the_triangles_of_the_stl(client):
    threemf = client.post("/v1/solids", json={"mark": MARK}, headers={"Accept": "model/3mf"})
    (count,) = struct.unpack_from("<I", client.post("/v1/solids", json={"mark": MARK}).data, 80)
    assert threemf.mimetype == "model/3mf"
    with zipfile.ZipFile(io.BytesIO(threemf.data)) as package:
        model = ET.fromstring(package.read("3D/3dmodel.model"))  # noqa: S314  our own bytes
    assert sum(element.tag.endswith("}triangle") for element in model.iter()) == count
