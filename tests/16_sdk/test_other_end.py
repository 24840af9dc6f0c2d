"""What else may be at the other end: nothing, a stranger, a service that is busy for a while, a newer one."""

from __future__ import annotations

import json
import socket

import pytest
import requests
from werkzeug import Request, Response

from in_process import ADDRESS, session_of
from served import kept_port
from stampwright_sdk import Busy, Client, ConnectionFailed, ProblemError, ServiceFault, UnexpectedAnswer
from stampwright_sdk.embedded import loopback_session

SVG = "<svg/>"
REASONS = [{"code": "of-tomorrow", "detail": "not today", "pointer": "#/job"}]


def problem(slug, status, **headers):
    body = {"type": f"/problems/{slug}", "title": "No", "status": status, "detail": "no", "errors": REASONS}
    return Response(json.dumps(body), status, headers, content_type="application/problem+json")


def client_of(answer, **options):
    """A client of a service that gives `answer` to everything."""
    return Client(ADDRESS, session=session_of(answer), **options)


class BusyFor:
    """Stands before the real application and lets nothing through for the first `times` requests."""

    def __init__(self, app, times):
        self.app, self.times, self.ids = app, times, []

    def __call__(self, environ, start_response):
        self.ids.append(Request(environ).headers["X-Request-Id"])
        turned_away = problem("busy", 503, **{"Retry-After": "0"})
        return (turned_away if len(self.ids) <= self.times else self.app)(environ, start_response)


def test_a_busy_service_is_asked_again_with_the_same_request_id(app):
    busy = BusyFor(app, 3)
    assert client_of(busy).list_metals()
    assert len(busy.ids) == 4
    assert len(set(busy.ids)) == 1


def test_two_calls_have_two_request_ids(app):
    free = BusyFor(app, 0)
    client = client_of(free)
    assert client.list_metals() == client.list_metals()
    assert len(set(free.ids)) == 2


def test_patience_has_an_end(app):
    busy = BusyFor(app, 99)
    with pytest.raises(Busy) as caught:
        client_of(busy, retries=2).list_metals()
    assert (len(busy.ids), caught.value.retry_after_s) == (3, 0.0)


def test_a_longer_wait_than_agreed_is_not_begun():
    with pytest.raises(Busy) as caught:
        client_of(problem("busy", 503, **{"Retry-After": "3600"})).list_metals()
    assert caught.value.retry_after_s == 3600.0


def test_a_service_that_is_not_ready_says_no_at_once():
    assert not client_of(problem("busy", 503)).get_readiness()


def test_a_page_that_is_answered_to_everything_is_no_health():
    stranger = client_of(Response("<h1>Log in</h1>", 200, content_type="text/html"))
    assert not stranger.get_health()
    assert not stranger.get_readiness()


def test_a_kind_of_problem_of_tomorrow_is_still_a_problem():
    with pytest.raises(ProblemError, match=r"not today \[of-tomorrow at #/job\] \(status 422, request \w+\)") as caught:
        client_of(problem("out-of-brass", 422)).make_stamp(SVG)
    assert type(caught.value) is ProblemError
    assert caught.value.slug == "out-of-brass"


def test_a_defect_is_a_fault_of_the_service_and_not_asked_again():
    with pytest.raises(ServiceFault):
        client_of(problem("internal-fault", 500)).make_stamp(SVG)


@pytest.mark.parametrize(
    "stranger",
    [
        Response("<h1>Log in</h1>", 200, content_type="text/html"),
        Response("<h1>Forbidden</h1>", 403, content_type="text/html"),
        Response("", 302, {"Location": "https://elsewhere.test/"}),
        Response("null", 200, content_type="application/json"),
        Response("{", 200, content_type="application/json"),
        Response("{}", 200, content_type="application/json"),
        Response("not found", 404),
        Response("[]", 500, content_type="application/problem+json"),
    ],
    ids=lambda response: f"{response.status_code} {response.content_type} {response.get_data(as_text=True)[:4]}",
)
def test_a_stranger_is_told_apart_from_the_service(stranger):
    with pytest.raises(UnexpectedAnswer, match="request"):
        client_of(stranger).make_stamp(SVG)


@pytest.mark.parametrize("content", [b"", b"PK", b"<html>"])
def test_a_bundle_that_is_none_is_said(content):
    with pytest.raises(UnexpectedAnswer, match="bundle"):
        client_of(Response(content, 200, content_type="application/zip")).make_stamp(SVG, accept="bundle")


def test_nobody_there_is_a_failed_connection_with_the_address():
    with (
        kept_port() as nobody,
        loopback_session() as session,
        pytest.raises(ConnectionFailed, match=f"127.0.0.1:{nobody.getsockname()[1]}.*[Rr]efused") as caught,
    ):
        Client(f"http://127.0.0.1:{nobody.getsockname()[1]}", session=session, retries=1).list_metals()
    assert isinstance(caught.value, ConnectionError)


def test_one_who_never_answers_is_a_failed_connection():
    with socket.create_server(("127.0.0.1", 0)) as silent, loopback_session() as session:
        url = f"http://127.0.0.1:{silent.getsockname()[1]}"
        with pytest.raises(ConnectionFailed, match="timed out"):
            Client(url, session=session, timeout=(1.0, 0.1), retries=0).list_metals()


@pytest.mark.parametrize("url", ["no-scheme:8080", "http://", "ftp://there.test", "not an address"])
def test_an_address_that_is_none_is_said(url):
    with pytest.raises(UnexpectedAnswer, match="cannot be asked") as caught:
        Client(url, retries=0).list_metals()
    assert not isinstance(caught.value, requests.RequestException)
