"""The front's hold on one slot: starts its process, asks it, calls off, and ends it with all its children."""

from __future__ import annotations

import contextlib
import dataclasses
import json
import os
import select
import signal
import socket
import subprocess  # the slots
import sys
import threading
import time
from typing import TYPE_CHECKING

from .frames import Frame, receive, send

if TYPE_CHECKING:
    from collections.abc import Callable

    from .limits import Limits

START_S = 60.0  # loading takes under a second; this is for a stuck disk
TALK_S = 5.0  # a slot that neither reads nor writes for so long is stopped or hung
AFTER_S = 2.0  # beyond the deadline, which the slot itself keeps
LOOK_S = 0.05  # between looks whether the caller has gone
ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}  # a fork of threads is none of ours


class Lost(Exception):  # noqa: N818  what has become of the job
    """The slot died, or its child was killed from outside, before there was an answer."""


class Worker:
    """One slot. Used by one caller at a time; only `end` may come from another thread."""

    def __init__(self, tasks: str, *, limits: Limits) -> None:
        self.tasks, self.limits = tasks, limits
        self.ended = False
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._socket: socket.socket | None = None

    @property
    def pid(self) -> int:
        """The process of the slot; 0 when there is none."""
        return self._process.pid if self._process else 0

    def start(self) -> bool:
        """Start a fresh process and wait until it is warm; whether it is."""
        ours, theirs = socket.socketpair()
        with theirs, self._lock:
            self._discard()
            if self.ended:
                ours.close()
                return False
            self._socket = ours
            self._process = self._spawned(theirs)
        try:
            ours.settimeout(START_S)
            ready = bool(receive(ours).head["outcome"] == "ready")
        except (EOFError, OSError):
            return False
        ours.settimeout(TALK_S)
        return ready

    def _spawned(self, end: socket.socket) -> subprocess.Popen[bytes]:
        given = json.dumps({"tasks": self.tasks, "limits": dataclasses.asdict(self.limits)})
        path = os.pathsep.join(folder for folder in sys.path if folder)  # the slot loads what we would
        return subprocess.Popen(  # noqa: S603  our own interpreter and module
            [sys.executable, "-P", "-m", "stampwright.slots.slot", given],
            env=_without_settings() | ONE_THREAD | {"PYTHONPATH": path},
            stdin=end.fileno(),
            stdout=subprocess.DEVNULL,
            start_new_session=True,  # Ctrl-C is for the front; and the whole group can be ended at once
        )

    def ask(self, request: Frame, *, gone: Callable[[], bool]) -> Frame:
        """Have a job done. Raises Lost when the slot is, with all its children, no more."""
        if self._socket is None:
            raise Lost
        try:
            send(self._socket, request)
            answer = self._awaited(self._socket, gone)
        except (EOFError, OSError):
            self.kill()  # it may be dying and look alive, or have left a child behind
            raise Lost from None
        if answer.head.get("signal") == signal.SIGKILL:
            raise Lost
        return answer

    def _awaited(self, end: socket.socket, gone: Callable[[], bool]) -> Frame:
        limit = time.monotonic() + self.limits.deadline_s + AFTER_S
        watch = select.poll()
        watch.register(end, select.POLLIN)
        called_off = False
        while not watch.poll(LOOK_S * 1000):
            if time.monotonic() > limit:
                self.kill()
                return Frame({"outcome": "slow"})
            if not called_off and gone():
                send(end, Frame({"call": "off"}))
                called_off = True
        return receive(end)

    def kill(self) -> None:
        """End the process and its children now; it can be started again."""
        with self._lock:
            self._discard()

    def end(self) -> None:
        """End it for good."""
        self.ended = True
        self.kill()

    @property
    def is_up(self) -> bool:
        """Whether there is a living process."""
        return self._process is not None and self._process.poll() is None

    def _discard(self) -> None:
        if self._process:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()
            self._process = None
        if self._socket:
            self._socket.close()
            self._socket = None


def _without_settings() -> dict[str, str]:
    """The environment, without what is the front's own business: a job needs to know of no key."""
    return {name: value for name, value in os.environ.items() if not name.startswith("STAMPWRIGHT_")}
