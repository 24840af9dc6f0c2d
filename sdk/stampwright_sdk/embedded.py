"""The service as a child of this process, on a free port of the loopback: for one-off work without a server.

It ends with its parent, however that ends: the child watches the pipe its parent holds, and a pipe whose other end is
gone reads as its end.
"""

from __future__ import annotations

import contextlib
import importlib.util
import os
import runpy
import signal
import socket
import subprocess  # the child
import sys
import tempfile
import threading
import time
from typing import IO, TYPE_CHECKING

import requests

from .errors import ConnectionFailed, StampwrightError, UnusableInput

if TYPE_CHECKING:
    from collections.abc import Iterator

HOST = "127.0.0.1"
START_S = 60.0  # a cold start of the geometry libraries on a slow disk takes seconds; this is for a stuck one
STOP_S = 40.0  # the service lets work in hand finish for up to 30 s
LOOK_S = 0.05
CHILD_SETTINGS = {
    "STAMPWRIGHT_LINGER_S": "0",
    "STAMPWRIGHT_LOG_LEVEL": "WARNING",
}  # no balancer watches it, nobody reads


def is_installed() -> bool:
    """Whether the service is installed beside this package."""
    return importlib.util.find_spec("stampwright") is not None


@contextlib.contextmanager
def embedded_service(*, slots: int = 1) -> Iterator[str]:
    """Start the service with `slots` for work, yield its address, end it. Raises a `StampwrightError` otherwise."""
    if not is_installed():
        raise UnusableInput("no address of a service was given, and the service is not installed here to start one")
    port = _free_port()
    url = f"http://{HOST}:{port}"
    with tempfile.TemporaryFile() as said:  # a pipe that nobody reads would stop a talkative child
        child = _start(port, said, slots)
        try:
            _await_readiness(child, url, said)
            yield url
        finally:
            _end(child)


def loopback_session() -> requests.Session:
    """A session that goes straight to this machine, whatever proxy the environment names."""
    session = requests.Session()
    session.trust_env = False
    return session


def _free_port() -> int:
    with socket.create_server((HOST, 0)) as probe:
        return int(probe.getsockname()[1])


def _start(port: int, said: IO[bytes], slots: int) -> subprocess.Popen[bytes]:
    return subprocess.Popen(  # noqa: S603  our own interpreter and module
        [sys.executable, "-m", __name__, "serve", "--host", HOST, "--port", str(port)],
        env=os.environ | CHILD_SETTINGS | {"STAMPWRIGHT_SLOTS": str(slots)},
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=said,
        start_new_session=True,  # Ctrl-C is for the parent, which then ends the child in order
    )


def _await_readiness(child: subprocess.Popen[bytes], url: str, said: IO[bytes]) -> None:
    limit = time.monotonic() + START_S
    with loopback_session() as session:
        while time.monotonic() < limit:
            if child.poll() is not None:
                said.seek(0)
                words = said.read().decode(errors="replace").strip()
                raise StampwrightError(f"the embedded service ended at its start (status {child.returncode}): {words}")
            if _is_ready(session, url):
                return
            time.sleep(LOOK_S)
    raise ConnectionFailed(url, f"the embedded service was not ready within {START_S:g} s", request_id="none")


def _is_ready(session: requests.Session, url: str) -> bool:
    try:
        return session.get(f"{url}/readyz", timeout=(1.0, 5.0)).ok
    except requests.RequestException:
        return False


def _end(child: subprocess.Popen[bytes]) -> None:
    child.terminate()
    try:
        child.communicate(timeout=STOP_S)
    except subprocess.TimeoutExpired:
        child.kill()
        child.communicate()


def _end_with_parent() -> None:
    while os.read(0, 1):  # not sys.stdin, whose lock this thread would still hold when the interpreter ends
        pass
    os.kill(os.getpid(), signal.SIGTERM)


if __name__ == "__main__":
    threading.Thread(target=_end_with_parent, daemon=True).start()
    runpy.run_module("stampwright", run_name="__main__", alter_sys=True)
