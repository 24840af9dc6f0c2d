"""The real server: a process, a socket, a signal."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
from http.client import HTTPResponse

import pytest
import requests

from programs import python, run
from served import until
from stamped import MARKS

LINGERS = {"STAMPWRIGHT_LINGER_S": "600"}  # longer than any test waits for anything


@pytest.fixture(scope="module")
def begin():
    """Starts servers; each ends with the module at the latest."""
    begun = []

    def start(**environment):
        command = [sys.executable, "-m", "stampwright", "serve", "--port", "0"]
        process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=os.environ | environment)  # noqa: S603  ours
        begun.append(process)
        url = next(event["address"] for event in map(json.loads, process.stderr) if event["event"] == "listening")
        return process, url

    yield start
    for process in begun:
        process.kill()
        process.communicate()


@pytest.fixture(scope="module")
def url(begin):
    return begin()[1]


def post(url, name):
    files, job = {"mark": (f"{name}.svg", MARKS[name].svg)}, {"job": json.dumps(MARKS[name].job)}
    return requests.post(f"{url}/v1/stamps", files=files, data=job, timeout=60)


def sent(url, request):
    """The answer to bytes that no client library would send."""
    host, port = url.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), timeout=20) as end:
        end.sendall(request)
        answer = HTTPResponse(end)
        answer.begin()
        return answer, json.loads(answer.read())


def test_a_mark_posted_to_the_real_server_comes_back_as_a_stamp(url):
    answer = post(url, "comb")
    assert answer.status_code == 200
    assert answer.json()["solid"]["watertight"]


def test_an_address_that_is_taken_is_said_in_words(url):
    second = python("-m", "stampwright", "serve", "--port", url.rsplit(":", 1)[1])
    assert second.returncode == 2
    assert "stampwright: " in second.stderr


@pytest.mark.parametrize("given", [{"STAMPWRIGHT_LOG_LEVEL": "loud"}, {"STAMPWRIGHT_PORT": "a hive"}])
def test_a_setting_that_cannot_be_ends_it_at_once_in_one_line(given):
    ended = run(sys.executable, "-m", "stampwright", "serve", **given)
    assert ended.returncode == 2
    assert len(ended.stderr.splitlines()) == 1
    assert next(iter(given.values())) in ended.stderr.lower()


@pytest.mark.parametrize(
    ("request_head", "status", "slug"),
    [
        (b"\x16\x03\x01\r\n\r\n", 400, "malformed-request"),  # somebody speaks TLS to it
        (b"POST /v1/stamps HTTP/1.1\r\nContent-Length: many\r\n\r\n", 400, "malformed-request"),
        (b"POST /v1/stamps HTTP/1.1\r\nTransfer-Encoding: gzip\r\n\r\n", 501, "malformed-request"),
        (b"POST /v1/stamps HTTP/1.1\r\nContent-Length: 99999999\r\n\r\n", 413, "too-large"),
        (b"GET /healthz HTTP/1.1\r\nX-Long: " + b"x" * 262_144, 431, "too-large"),
    ],
)
def test_what_is_no_request_is_refused_as_a_problem_too(url, request_head, status, slug):
    answer, problem = sent(url, request_head)
    assert answer.getheader("Content-Type") == "application/problem+json"
    assert answer.getheader("X-Request-Id") == problem["instance"]
    assert (answer.status, problem["status"], problem["type"]) == (status, status, f"/problems/{slug}")


def test_after_a_stop_signal_it_lets_balancers_in_and_tells_them_so(begin):
    process, url = begin(**LINGERS)
    until(lambda: requests.get(f"{url}/readyz", timeout=20).status_code == 200)
    process.send_signal(signal.SIGTERM)
    until(lambda: requests.get(f"{url}/readyz", timeout=20).status_code == 503)
    assert requests.get(f"{url}/readyz", timeout=20).json()["errors"][0]["code"] == "stopping"
    assert post(url, "comb").status_code == 200
