"""The service over a loopback socket against the same call in process, two slots against one, and what starting costs.

Wants a quiet machine with two processors: what other programs take is taken from here.
"""

import json
import os
import statistics
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor

import requests
from jobs import document_for, marks, say, svg_of

from served import PLAIN, served
from stampwright.job import read_job
from stampwright.slots.tasks import TASKS

ROUNDS = 9
LOOPBACK, TWO, START_S, IMPORT_MS = 1.10, 1.85, 1.5, 150
"""Aims: at most over the call in process, at least over one slot; at most to the first answer; at most for the SDK."""
ALONE = "import sys; sys.modules['chardet'] = None"
"""As where nothing but the SDK is installed: `requests` takes chardet up where it finds it, and a program that writes
bills of materials has brought it here."""
MANY = 16  # marks that both ways of two against one take


def report(_marks):
    """A line for each aim; returns the figures."""
    found = {"loopback": {}}
    for name in ("200 vertices", "2,000 vertices"):
        ratio = found["loopback"][name] = over_loopback(name)
        say(f"loopback, whole job of {name}: {ratio:.2f} x the call in process, at most {LOOPBACK}")
    ratio = found["two slots"] = two_over_one()
    say(f"two slots do {ratio:.2f} x the work of one, at least {TWO}")
    seconds = found["first answer"] = statistics.median(first_answer() for _ in range(ROUNDS))
    say(f"cold start to the first answer: {seconds:.2f} s, at most {START_S}")
    ms = found["SDK"] = 1e3 * (starting(f"{ALONE}; import stampwright_sdk") - starting(ALONE))
    say(f"importing the SDK takes {ms:.0f} ms, at most {IMPORT_MS}")
    return found


def timed(work):
    """Seconds by the clock: what is waited for is done by other processes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def asked(name):
    """A mark, its job, and the body that asks for both."""
    svg, half = svg_of(marks()[name])
    job = document_for(half)
    return svg, read_job(job), {"mark": svg.decode(), "job": job}


def over_loopback(name):
    """Median of paired goes: a whole job by POST, over the same in this process."""
    svg, job, body = asked(name)
    with served(*PLAIN, STAMPWRIGHT_SLOTS="1", wait_for_slots=1) as service, requests.Session() as wire:

        def there():
            wire.post(f"{service.url}/v1/stamps", json=body, timeout=120).raise_for_status()

        def here():
            TASKS["stamp"](svg, job)

        pairs = [(timed(there), timed(here)) for _ in range(ROUNDS + 1)][1:]
    return statistics.median(over / bare for over, bare in pairs)


def two_over_one():
    """How much sooner two slots have done many jobs than one has."""
    *_, body = asked("2,000 vertices")

    def seconds(slots):
        with served(*PLAIN, STAMPWRIGHT_SLOTS=str(slots), wait_for_slots=slots) as service:

            def post(_):
                requests.post(f"{service.url}/v1/solids", json=body, timeout=120).raise_for_status()

            with ThreadPoolExecutor(2 * slots) as crowd:
                list(crowd.map(post, range(2 * slots)))
                return timed(lambda: list(crowd.map(post, range(MANY))))

    return statistics.median(seconds(1) / seconds(2) for _ in range(3))


def first_answer():
    """Seconds from starting the program to its first solid."""
    *_, body = asked("200 vertices")
    start = time.perf_counter()
    with subprocess.Popen(  # noqa: S603  ours
        [sys.executable, *PLAIN], stderr=subprocess.PIPE, text=True, env=os.environ | {"STAMPWRIGHT_SLOTS": "2"}
    ) as program:
        said = (json.loads(line) for line in program.stderr)
        url = next(event["address"] for event in said if event.get("event") == "listening")
        requests.post(f"{url}/v1/solids", json=body, timeout=60).raise_for_status()
        seconds = time.perf_counter() - start
        program.kill()
    return seconds


def starting(code):
    """Seconds of an interpreter that does so much."""
    return min(timed(lambda: subprocess.run([sys.executable, "-c", code], check=True)) for _ in range(ROUNDS))  # noqa: S603  ours
