"""Who may ask, how often and from which pages; how an answer can be checked, kept, traced and watched."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import logging
import re

import pytest
from prometheus_client.parser import text_string_to_metric_families

from stamped import MARKS
from stampwright.web import Settings, create_app
from stampwright.web.tracing import trace_of

MARK = MARKS["comb"].svg.decode()
KEY = "a-key-of-the-association"
KEYS = f"hives:{hashlib.sha256(KEY.encode()).hexdigest()}, office:{hashlib.sha256(b'another').hexdigest()}"
PAGE = "https://hives.example"


def client_of(**given):
    return create_app(Settings(**given)).test_client()


def bearing(key):
    return {"Authorization": f"Bearer {key}"}


@pytest.mark.parametrize("headers", [{}, bearing("no"), bearing(""), {"Authorization": f"Basic {KEY}"}, bearing("é")])
def test_a_service_with_keys_turns_strangers_away(headers):
    answer = client_of(api_keys=KEYS).get("/v1/metals", headers=headers)
    assert (answer.status_code, answer.get_json()["type"]) == (401, "/problems/key-required")
    assert answer.headers["WWW-Authenticate"].startswith("Bearer")  # RFC 9110, section 15.5.2


@pytest.mark.parametrize("key", [KEY, "another"])
def test_a_service_with_keys_answers_each_of_them(key):
    assert client_of(api_keys=KEYS).get("/v1/metals", headers=bearing(key)).status_code == 200


@pytest.mark.parametrize("path", ["/healthz", "/readyz", "/openapi.yaml", "/problems/busy", "/metrics"])
def test_operations_ask_for_no_key(path):
    assert client_of(api_keys=KEYS).get(path).status_code == 200


def test_the_log_names_the_caller_and_never_the_key(caplog):
    with caplog.at_level(logging.INFO, logger="stampwright"):
        client_of(api_keys=KEYS).get("/v1/metals", headers=bearing(KEY))
    said = " ".join(str(vars(record)) for record in caplog.records)
    assert "'caller': 'hives'" in said
    assert KEY not in said


def test_each_key_has_a_rate_of_its_own():
    client = client_of(api_keys=KEYS, rate="2/hour")
    first = [client.get("/v1/metals", headers=bearing(KEY)) for _ in range(3)]
    assert [answer.status_code for answer in first] == [200, 200, 429]
    assert 1 <= int(first[-1].headers["Retry-After"]) <= 3600
    assert client.get("/v1/metals", headers=bearing("another")).status_code == 200


def test_without_keys_the_rate_is_that_of_an_address_and_spares_operations():
    client = client_of(rate="1/hour")
    asked = [client.get("/v1/metals", environ_base={"REMOTE_ADDR": address}) for address in ("10.0.0.1",) * 2]
    assert [answer.status_code for answer in asked] == [200, 429]
    assert client.get("/v1/metals", environ_base={"REMOTE_ADDR": "10.0.0.2"}).status_code == 200
    assert {client.get("/healthz").status_code for _ in range(5)} == {200}


@pytest.mark.parametrize("given", [{"api_keys": "hives:1234"}, {"api_keys": KEYS + "," + KEYS}, {"rate": "often"}])
def test_keys_and_rates_that_cannot_be_are_refused_by_name(given):
    with pytest.raises(ValueError, match=f"STAMPWRIGHT_{next(iter(given)).upper()}"):
        create_app(Settings(**given))


@pytest.mark.parametrize(("allowed", "told"), [(PAGE, PAGE), ("*", "*"), (f"https://a.example, {PAGE}", PAGE)])
def test_the_script_of_an_allowed_page_may_ask_first_and_read_the_answer(allowed, told):
    client = client_of(cors_origins=allowed)
    asks = {"Origin": PAGE, "Access-Control-Request-Method": "POST"}
    before = client.options("/v1/stamps", headers=asks)
    assert before.status_code == 200
    assert "POST" in before.headers["Access-Control-Allow-Methods"]
    assert "Authorization" in before.headers["Access-Control-Allow-Headers"]
    answer = client.get("/v1/metals", headers={"Origin": PAGE})
    assert answer.headers["Access-Control-Allow-Origin"] == told
    assert "Origin" in answer.headers["Vary"]


@pytest.mark.parametrize("allowed", ["", "https://other.example"])
def test_the_script_of_another_page_may_not(allowed):
    answer = client_of(cors_origins=allowed).get("/v1/metals", headers={"Origin": PAGE})
    assert "Access-Control-Allow-Origin" not in answer.headers
    assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"


def test_a_refusal_can_be_read_by_an_allowed_page_too():
    answer = client_of(cors_origins=PAGE, api_keys=KEYS).get("/v1/metals", headers={"Origin": PAGE})
    assert (answer.status_code, answer.headers["Access-Control-Allow-Origin"]) == (401, PAGE)


def test_the_policy_of_the_pages_can_be_set():
    assert (
        client_of(csp="default-src 'self'").get("/healthz").headers["Content-Security-Policy"] == "default-src 'self'"
    )


@pytest.mark.parametrize("accept", ["application/json", "application/zip"])
def test_an_artefact_carries_the_digest_of_its_bytes(app, accept):
    answer = app.test_client().post("/v1/stamps", json={"mark": MARK}, headers={"Accept": accept})
    seal = base64.b64encode(hashlib.sha256(answer.data).digest()).decode()
    assert answer.headers["Repr-Digest"] == f"sha-256=:{seal}:"  # RFC 9530, section 3
    assert re.fullmatch(r'"[0-9a-f]{32}"', answer.headers["ETag"])  # no W/: a strong one
    assert answer.headers["Cache-Control"].startswith("private")


@pytest.mark.parametrize("path", ["/v1/cutters", "/v1/threads", "/openapi.yaml", "/problems/busy"])
def test_what_is_in_hand_already_is_not_sent_again(app, path):
    client = app.test_client()
    first = client.get(path)
    again = client.get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    assert client.get(path, headers={"If-None-Match": '"other"'}).data == first.data


def test_what_a_caller_holds_does_not_keep_a_mark_from_being_worked_on(app):
    answer = app.test_client().post("/v1/solids", json={"mark": MARK}, headers={"If-None-Match": "*"})
    assert answer.status_code == 200


def test_the_time_of_each_stage_is_told(app):
    timing = app.test_client().post("/v1/stamps", json={"mark": MARK}).headers["Server-Timing"]
    spent = dict(re.findall(r"(\w+);dur=([\d.]+)(?:, |$)", timing))
    assert {"queue", "artwork", "layout", "plane", "review", "cutting", "solid", "heat", "documents", "total"} == set(
        spent
    )
    total = float(spent.pop("total"))
    assert 0 < sum(map(float, spent.values())) <= total + 1  # one after the other; rounded to 0.1 ms each


TRACE = "4bf92f3577b34da6a3ce929d0e0e4736"  # the example of W3C Trace Context, section 3.2.3


@pytest.mark.parametrize(
    ("header", "valid"),
    [
        (f"00-{TRACE}-00f067aa0ba902b7-01", True),
        (f"00-{'0' * 32}-00f067aa0ba902b7-01", False),
        (f"00-{TRACE}-{'0' * 16}-01", False),
        (f"ff-{TRACE}-00f067aa0ba902b7-01", False),
        (f"00-{TRACE.upper()}-00f067aa0ba902b7-01", False),
        (f"00-{TRACE}-00f067aa0ba902b7-01-more", False),
        (f"cc-{TRACE}-00f067aa0ba902b7-01-what-a-later-version-adds", True),
        ("", False),
    ],
)
def test_a_trace_is_taken_up_as_the_standard_has_it(header, valid):
    assert trace_of(header) == ({"trace_id": TRACE, "parent_id": "00f067aa0ba902b7"} if valid else {})


def test_the_log_holds_the_trace_of_the_caller(app, caplog):
    with caplog.at_level(logging.INFO, logger="stampwright"):
        app.test_client().get("/healthz", headers={"traceparent": f"00-{TRACE}-00f067aa0ba902b7-01"})
    assert any(getattr(record, "trace_id", "") == TRACE for record in caplog.records)


def counted(client):
    families = text_string_to_metric_families(client.get("/metrics").get_data(as_text=True))
    return {
        (sample.name, *dict(sorted(sample.labels.items())).values()): sample.value
        for family in families
        for sample in family.samples
    }


def test_metrics_count_jobs_by_outcome_and_requests_by_rule():
    client = client_of()
    client.post("/v1/solids", json={"mark": MARK})
    client.post("/v1/solids", json={"mark": "no drawing"})
    client.get("/v1/hives/orla-thackeray")
    found = counted(client)
    assert found["stampwright_jobs_total", "done", "solid"] == found["stampwright_jobs_total", "refused", "solid"] == 1
    assert found["stampwright_requests_total", "POST", "/v1/solids", "415"] == 1
    assert found["stampwright_requests_total", "GET", "none", "404"] == 1
    assert found["stampwright_stage_seconds_count", "artwork"] == 2
    assert not any("orla" in part for name in found for part in name)


def test_metrics_can_be_turned_off():
    assert client_of(metrics=0).get("/metrics").status_code == 404


def test_the_log_says_how_long_the_stages_took(app, caplog):
    with caplog.at_level(logging.INFO, logger="stampwright"):
        app.test_client().post("/v1/solids", data={"mark": (io.BytesIO(MARK.encode()), "m.svg")})
    (spent,) = [record.spent_ms for record in caplog.records if hasattr(record, "spent_ms")]
    assert json.dumps(spent)
    assert {"artwork", "solid"} <= set(spent)
