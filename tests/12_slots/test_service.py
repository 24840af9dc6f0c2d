"""The real server with its slots, from outside: a process, a socket, a signal."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import requests

from stamped import MARKS


def until(what, *, within_s=20.0):
    limit = time.monotonic() + within_s
    while not what():
        assert time.monotonic() < limit
        time.sleep(0.01)


def below(pid):
    """The processes below `pid`, at any depth."""
    found = []
    for task in Path(f"/proc/{pid}/task").iterdir():
        for child in (task / "children").read_text().split():
            found += [int(child), *below(child)]
    return found


@pytest.fixture
def service():
    command = [sys.executable, "-m", "stampwright", "serve", "--port", "0"]
    environment = os.environ | {"STAMPWRIGHT_SLOTS": "2", "STAMPWRIGHT_LINGER_S": "0.1"}
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment) as process:  # noqa: S603  ours
        url = next(event["address"] for event in map(json.loads, process.stderr) if event["event"] == "listening")
        until(lambda: requests.get(f"{url}/readyz", timeout=5).ok)
        yield process, url
        process.kill()


def post(url):
    return requests.post(f"{url}/v1/stamps", files={"mark": MARKS["comb"].svg}, timeout=60).status_code


def test_a_stop_signal_lets_all_work_be_answered_and_leaves_no_process_behind(service):
    process, url = service
    with ThreadPoolExecutor(8) as clients:
        answers = [clients.submit(post, url) for _ in range(8)]
        until(lambda: len(below(process.pid)) == 4)  # two slots, each with a child at work
        time.sleep(0.2)  # the other six have been read by now
        processes = below(process.pid)
        process.send_signal(signal.SIGTERM)
        assert [answer.result() for answer in answers] == [200] * 8
    assert process.wait(timeout=30) == 0
    until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in processes), within_s=2)


def test_slots_killed_at_work_cost_no_request(service):
    process, url = service
    with ThreadPoolExecutor(4) as clients:
        answers = [clients.submit(post, url) for _ in range(2)]
        until(lambda: len(below(process.pid)) == 4)
        for pid in below(process.pid):
            os.kill(pid, signal.SIGKILL)
        assert [answer.result() for answer in answers] == [200] * 2


def test_slots_end_with_a_service_that_is_killed(service):
    process, _ = service
    processes = below(process.pid)
    process.kill()
    until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in processes), within_s=5)
