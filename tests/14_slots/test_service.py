"""The real server with its slots, from outside: a process, a socket, a signal."""

from __future__ import annotations

import os
import signal
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection

import pytest
import requests

from served import HOSTILE, below, is_there, napping, served, until
from stampwright.job import read_job
from stampwright.pipeline import digest_of


@pytest.fixture(scope="module")
def service():
    with served(*HOSTILE) as service:
        yield service


@pytest.fixture
def mortal():
    """A service of its own for a test that ends it."""
    with served(*HOSTILE) as service:
        yield service


@pytest.fixture
def clients():
    with ThreadPoolExecutor(8) as clients:
        yield clients


def at_work(service):
    """The processes of the two slots and of the two jobs in them, once all four are there."""
    until(lambda: len(napping(service.process.pid)) == 2)
    return below(service.process.pid)


def test_a_stop_signal_lets_all_work_be_answered_and_leaves_no_process_behind(mortal, clients, held):
    answers = [clients.submit(mortal.solid, held.mark) for _ in range(8)]
    processes = at_work(mortal)
    until(lambda: mortal.metric("stampwright_jobs_waiting") == 6)
    with requests.Session() as open_before:  # its connection outlives the door
        open_before.get(f"{mortal.url}/healthz", timeout=20)
        mortal.process.send_signal(signal.SIGTERM)
        until(lambda: open_before.get(f"{mortal.url}/readyz", timeout=20).status_code == 503)
    held.let_go()
    assert [answer.result().status_code for answer in answers] == [200] * 8
    assert mortal.process.wait(timeout=30) == 0
    until(lambda: not any(map(is_there, processes)))


def test_all_processes_killed_at_work_cost_no_request(service, clients, held):
    answers = [clients.submit(service.solid, held.mark) for _ in range(2)]
    for pid in at_work(service):
        os.kill(pid, signal.SIGKILL)
    held.let_go()
    assert [answer.result().status_code for answer in answers] == [200] * 2


@pytest.mark.parametrize("which", range(4))
def test_any_process_killed_at_work_costs_no_request(service, clients, held, which):
    answers = [clients.submit(service.solid, held.mark) for _ in range(4)]
    os.kill(at_work(service)[which], signal.SIGKILL)
    held.let_go()
    assert [answer.result().status_code for answer in answers] == [200] * 4


def test_slots_end_with_a_service_that_is_killed(mortal):
    processes = below(mortal.process.pid)
    mortal.process.kill()
    until(lambda: not any(map(is_there, processes)))


def test_a_solid_that_fails_its_own_check_is_not_sent_and_is_logged_by_its_digest(service):
    answer, digest = service.solid(b"torn"), digest_of(b"torn", read_job({}))
    (error,) = answer.json()["errors"]
    assert (answer.status_code, answer.headers["Content-Type"]) == (500, "application/problem+json")
    assert error["code"] == "open-solid"
    assert digest in error["detail"]
    until(service.faults)  # the line is written before the answer, but read here by another thread
    assert [(event["codes"], event["digest"]) for event in service.faults()] == [(["open-solid"], digest)]


def test_a_client_that_hangs_up_frees_its_slot(service, held):
    host, port = service.url.removeprefix("http://").split(":")
    asked = requests.Request("POST", f"{service.url}/v1/solids", files={"mark": held.mark}).prepare()
    client = HTTPConnection(host, int(port), timeout=20)
    client.request("POST", "/v1/solids", body=asked.body, headers=asked.headers)
    until(lambda: napping(service.process.pid))
    client.close()
    until(lambda: not napping(service.process.pid))  # which nobody has let go
