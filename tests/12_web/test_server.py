"""The real server: a process, a socket, a signal."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import threading
import time

import pytest
import requests

from programs import python
from stamped import MARKS


@pytest.fixture
def server():
    command = [sys.executable, "-m", "stampwright", "serve", "--port", "0"]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as process:  # noqa: S603  our own program
        yield process
        process.kill()


def address_of(process):
    for line in process.stderr:
        event = json.loads(line)
        if event["event"] == "listening":
            return event["address"]
    raise AssertionError("it ended before it listened")


def test_a_mark_posted_to_the_real_server_comes_back_as_a_stamp(server):
    url = address_of(server)
    files = {"mark": ("comb.svg", MARKS["comb"].svg)}
    answer = requests.post(f"{url}/v1/stamps", files=files, data={"job": json.dumps(MARKS["comb"].job)}, timeout=60)
    assert answer.status_code == 200
    assert answer.json()["solid"]["watertight"]


def test_a_stop_signal_lets_work_in_hand_finish(server):
    url = address_of(server)
    answers = []

    def post():
        files = {"mark": ("skep.svg", MARKS["skep"].svg)}
        answers.append(requests.post(f"{url}/v1/stamps", files=files, timeout=60).status_code)

    threads = [threading.Thread(target=post) for _ in range(2)]
    for thread in threads:
        thread.start()
    time.sleep(0.3)
    server.send_signal(signal.SIGTERM)
    for thread in threads:
        thread.join()
    assert answers == [200, 200]
    assert server.wait(timeout=30) == 0


def test_an_address_that_is_taken_is_said_in_words(server):
    port = address_of(server).rsplit(":", 1)[1]
    second = python("-m", "stampwright", "serve", "--port", port)
    assert second.returncode == 2
    assert "stampwright: " in second.stderr
