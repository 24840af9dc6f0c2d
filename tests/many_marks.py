"""Many small marks that are all different: a member's cell of a comb each, and a server to be killed between them."""

from __future__ import annotations

import contextlib
import socket
import subprocess
import sys
import time
from pathlib import Path

import requests

HOST = "127.0.0.1"


def cell(number):
    """A hexagon with a hole, its size and turn from the number."""
    radius, hole, turn = 7 + number % 7 / 10, 2 + number % 5 / 4, number * 7 % 60
    corners = "M0-1L.866-.5V.5L0 1-.866.5V-.5z"
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 -10 20 20" width="20mm" height="20mm">'
        f'<path transform="rotate({turn}) scale({radius})" d="{corners}"/><circle r="{hole}" fill="#fff"/></svg>'
    )


def write_cells(folder, count):
    """Write so many marks into a folder; returns it."""
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(count):
        (folder / f"cell-{number:05d}.svg").write_text(cell(number))
    return folder


class Server:
    """The service as a process of its own on a port that stays the same when it is killed and begun again."""

    def __init__(self, *, port=None, slots=2, linger_s=0.5):
        with socket.create_server((HOST, 0)) as probe:
            self.port = port or probe.getsockname()[1]
        self.url = f"http://{HOST}:{self.port}"
        self._slots, self._linger_s = slots, linger_s
        self.begin()

    def begin(self):
        command = [sys.executable, "-m", "stampwright", "serve", "--host", HOST, "--port", str(self.port)]
        settings = {
            "STAMPWRIGHT_SLOTS": str(self._slots),
            "STAMPWRIGHT_LINGER_S": str(self._linger_s),
            "STAMPWRIGHT_LOG_LEVEL": "WARNING",
            "PATH": "/usr/bin:/bin",
        }
        self.process = subprocess.Popen(command, env=settings, stderr=subprocess.DEVNULL)  # noqa: S603  our own program
        for _ in range(600):
            with contextlib.suppress(requests.RequestException):
                if requests.get(f"{self.url}/readyz", timeout=2).ok:
                    return
            time.sleep(0.1)

    def kill(self):
        self.process.kill()
        self.process.wait()

    def end(self):
        self.process.terminate()
        self.process.wait(60)


@contextlib.contextmanager
def server(**asked):
    """A server for a block."""
    running = Server(**asked)
    try:
        yield running
    finally:
        running.end()


def tree(folder):
    """Every file below a folder by its path in it."""
    folder = Path(folder)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
