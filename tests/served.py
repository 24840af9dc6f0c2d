"""The real service as a process, seen from outside: its address, the processes below it, its health while it works."""

from __future__ import annotations

import contextlib
import json
import os
import socket
import subprocess
import sys
import threading
import time
from collections import deque
from pathlib import Path
from typing import NamedTuple

import requests

TESTS = str(Path(__file__).parent)
HOST = "127.0.0.1"
PLAIN = ("-m", "stampwright", "serve", "--port", "0")
_LINES_KEPT = 5000
HOSTILE = ("-m", "hostile_server")  # its solids do what the mark says: loop, stuck, hog, segfault, held FILE


class Held(NamedTuple):
    """The file that jobs of the task `held` wait for: its name is their mark, `mark` that of a hostile solid."""

    path: Path

    @property
    def name(self):
        return str(self.path).encode()

    @property
    def mark(self):
        return b"held " + self.name

    def let_go(self):
        self.path.touch()


class Served(NamedTuple):
    """A running service."""

    process: subprocess.Popen[str]
    url: str
    said: deque[dict]  # the last lines of its log

    def metric(self, name):
        lines = requests.get(f"{self.url}/metrics", timeout=20).text.splitlines()
        return sum(float(line.rpartition(" ")[2]) for line in lines if line.startswith(name))

    def faults(self):
        return [event for event in list(self.said) if event.get("event") == "fault"]

    def solid(self, mark, *, timeout=120):
        return requests.post(f"{self.url}/v1/solids", files={"mark": ("m.svg", mark)}, timeout=timeout)


@contextlib.contextmanager
def served(*program, wait_for_slots=2, become=(), preexec=None, **environment):
    """Start it, wait until its slots are up, yield it, end it."""
    environment = (
        os.environ | {"PYTHONPATH": TESTS, "STAMPWRIGHT_SLOTS": "2", "STAMPWRIGHT_LINGER_S": "0.1"} | environment
    )
    with subprocess.Popen(  # noqa: S603  ours
        [*become, sys.executable, *(program or PLAIN)],
        stderr=subprocess.PIPE,
        text=True,
        env=environment,
        preexec_fn=preexec,  # noqa: PLW1509  no thread of ours holds a lock that it would need
    ) as process:
        said = deque(maxlen=_LINES_KEPT)
        url = next(event["address"] for event in _read(process, said) if event.get("event") == "listening")
        reading = threading.Thread(target=list, args=(_read(process, said),), daemon=True)
        reading.start()
        found = Served(process, url, said)
        until(lambda: found.metric("stampwright_slots_up") == wait_for_slots)
        try:
            yield found
        finally:
            process.kill()
            reading.join(20)  # its slots end after it, and they speak on the same line


def _read(process, said):
    for line in process.stderr:
        try:
            said.append(json.loads(line))
        except ValueError:
            said.append({"no event": line})
        yield said[-1]


def kept_port():
    """A socket that keeps a port of this machine: nobody listens there, and only who is told of it may begin to."""
    keeper = socket.socket()
    keeper.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    keeper.bind((HOST, 0))
    return keeper


class Server:
    """The service on a port that stays its own when it is killed and begun again, until `with` ends."""

    def __init__(self, *, slots=2, linger_s=0.5):
        self._keeper = kept_port()
        self.port = self._keeper.getsockname()[1]
        self.url = f"http://{HOST}:{self.port}"
        self._slots, self._linger_s = slots, linger_s
        self.begin()

    def begin(self):
        self._running = contextlib.ExitStack()
        program = (*PLAIN[:-1], str(self.port))
        settings = {"STAMPWRIGHT_SLOTS": str(self._slots), "STAMPWRIGHT_LINGER_S": str(self._linger_s)}
        self.process = self._running.enter_context(served(*program, wait_for_slots=self._slots, **settings)).process

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.kill()
        self._keeper.close()

    def kill(self):
        self._running.close()

    def end(self):
        self.process.terminate()
        self.process.wait(60)
        self._running.close()


def until(what, *, within_s=60.0):
    limit = time.monotonic() + within_s
    while not what():
        assert time.monotonic() < limit, "it has not come about in time"
        time.sleep(0.01)


def listens(port):
    """Whether somebody takes connections on a port of this machine."""
    with socket.socket() as probe:
        return probe.connect_ex((HOST, port)) == 0


def below(pid):
    """The processes below `pid`, at any depth."""
    found = []
    for task in Path(f"/proc/{pid}/task").glob("*"):
        with contextlib.suppress(FileNotFoundError, ProcessLookupError):
            for child in (task / "children").read_text().split():
                found += [int(child), *below(child)]
    return found


def napping(pid):
    """The processes below `pid` that sleep in a task of `hostile_tasks`."""
    found = []
    for one in below(pid):
        with contextlib.suppress(FileNotFoundError, ProcessLookupError):
            found += [one] * (Path(f"/proc/{one}/comm").read_text() == "napping\n")
    return found


def is_there(pid):
    return Path(f"/proc/{pid}").exists()


class Pulse:
    """Asks /healthz all the time, each time on a connection of its own, and keeps how long the answers took [ms].

    `lost` counts those that did not come within a minute, or were none.
    """

    def __init__(self, url):
        self.url, self.took_ms, self.lost = url, [], 0
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._feel, daemon=True)

    def __enter__(self):
        self._thread.start()
        return self

    def __exit__(self, *_):
        self._over.set()
        self._thread.join()

    def _feel(self):
        while not self._over.wait(0.02):
            began = time.perf_counter()
            try:
                requests.get(f"{self.url}/healthz", timeout=60).raise_for_status()
            except requests.RequestException:
                self.lost += 1
            self.took_ms.append((time.perf_counter() - began) * 1000)

    @property
    def worst_ms(self):
        return max(self.took_ms)
