"""`python3 tests soak [--minutes 30]`: mixed load on the real service; its memory and descriptors must stay flat.

Good marks, refused ones, hostile ones, clients that hang up, a slot killed every minute; a line every ten seconds.
Ends with status 1 when a good request is lost, or memory or descriptors of the last third exceed those of the first.
"""

# ruff: noqa: T201  a report on the command line

import argparse
import itertools
import os
import signal
import statistics
import sys
import threading
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

import requests

from attacks import PATIENT
from hostile_swarm import swarm
from served import HOSTILE, Pulse, served
from stamped import MARKS
from stampwright_sdk import Client
from stampwright_sdk.errors import StampwrightError

EVERY_S = 10.0
GROWTH = 1.10  # of the last third over the first: flat, but for what the allocator keeps
KINDS = itertools.cycle(["good"] * 12 + ["review", "refused", "hostile", "hang up", "solid", "loop"])


def main():
    """Load, sample, judge."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--minutes", type=float, default=30.0)
    until_s = time.monotonic() + wanted.parse_args().minutes * 60
    counts, samples = Counter(), []
    with served(*HOSTILE, STAMPWRIGHT_JOB_DEADLINE_S="20") as service, Pulse(service.url) as pulse:
        with ThreadPoolExecutor(5) as pool:
            callers = [pool.submit(call, service, counts, until_s) for _ in range(4)]
            pool.submit(kill_now_and_then, service, until_s)
            while not all(caller.done() for caller in callers):
                time.sleep(EVERY_S)
                samples.append(sample(service))
                print(*samples[-1], dict(counts), f"worst health {pulse.worst_ms:.0f} ms", flush=True)
        for caller in callers:
            caller.result()
    return judged(samples, counts)


DRAWINGS = swarm(10**9, seed=2)
TURN = threading.Lock()


def call(service, counts, until_s):
    """One caller's endless round."""
    names = itertools.cycle(MARKS)
    with Client(service.url, **PATIENT) as client:
        while time.monotonic() < until_s:
            with TURN:
                kind = next(KINDS)
                drawing = next(DRAWINGS)[1] if kind == "hostile" else b""
            counts[ROUND[kind](service, client, MARKS[next(names)], drawing)] += 1


def _good(_service, client, mark, _drawing):
    return asked(client.make_stamp, mark.svg, mark.job)


def _review(_service, client, mark, _drawing):
    return asked(client.review_mark, mark.svg, mark.job)


def _whole(_service, client, mark, _drawing):
    return asked(client.make_solid, mark.svg, mark.job)


def asked(operation, mark, job):
    try:
        operation(mark, job=dict(job))
    except StampwrightError as error:
        print("LOST:", error, flush=True)
        return "lost"
    return "good"


def _refused(service, *_):
    return answered(service.solid(b"no drawing"), 415)


def _hostile(service, _client, _mark, drawing):
    return answered(service.solid(drawing), 200, 415, 422)


def _loop(service, *_):
    return answered(service.solid(b"loop"), 422)


def _hang_up(service, *_):
    try:
        service.solid(b"nap 2", timeout=0.3)
    except requests.RequestException:
        return "hung up"
    return "hung up too late"


def answered(answer, *expected):
    return "refused" if answer.status_code in expected else f"status {answer.status_code}"


ROUND = {
    "good": _good,
    "review": _review,
    "solid": _whole,
    "refused": _refused,
    "hostile": _hostile,
    "loop": _loop,
    "hang up": _hang_up,
}


def kill_now_and_then(service, until_s):
    while time.monotonic() < until_s - 60:
        time.sleep(60)
        os.kill(slots_of(service)[0], signal.SIGKILL)


def slots_of(service):
    found = []
    for task in Path(f"/proc/{service.process.pid}/task").iterdir():
        found += [int(child) for child in (task / "children").read_text().split()]
    return found


def sample(service):
    """Resident memory of the front [MiB], its descriptors, its threads, mean resident memory of the slots [MiB]."""
    folder = Path(f"/proc/{service.process.pid}")
    slots = [resident_mb(pid) for pid in slots_of(service)]
    return (
        resident_mb(service.process.pid),
        len(list((folder / "fd").iterdir())),
        len(list((folder / "task").iterdir())),
        round(statistics.mean(slots or [0])),
    )


def resident_mb(pid):
    try:
        return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") >> 20
    except FileNotFoundError:  # it has just been killed
        return 0


def judged(samples, counts):
    third = len(samples) // 3
    flat = True
    for name, column in zip(
        ("memory of the front", "descriptors", "threads", "memory of a slot"), zip(*samples, strict=True), strict=True
    ):
        first, last = statistics.median(column[:third]), statistics.median(column[-third:])
        flat &= last <= first * GROWTH + 2
        print(f"{name}: {first:g} in the first third, {last:g} in the last")
    odd = {kind: count for kind, count in counts.items() if kind not in {"good", "refused", "hung up"}}
    print(f"lost or odd: {odd or 'none'}; {sum(counts.values())} requests")
    return 0 if flat and not odd else 1


if __name__ == "__main__":
    sys.exit(main())
