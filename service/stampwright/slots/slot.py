"""The process of a slot: loads and warms up once, then forks one child for each job and ends it at the deadline.

The child of the next job is forked when the last one has ended, and rehearses while nobody asks: of a whole job of a
small mark, forking, and copying pages at their first change, took a quarter.

Started as `python -m stampwright.slots.slot`, with one JSON argument and a socket as its standard input. It keeps to
a single thread, so that a fork is safe, and ends when the socket does, whatever has become of the front.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import json
import logging
import os
import select
import signal
import socket
import sys
import time
from typing import TYPE_CHECKING

from . import child
from .frames import Frame, packed, receive, send, unpacked
from .limits import Limits

if TYPE_CHECKING:
    import resource
    from types import ModuleType

RARELY = 100_000
"""Objects made before cycles among them are looked for: a child is gone after one job, and in a whole job of a mark of
23,000 vertices a hundred things hang in cycles. Looking for them at every 700 took a twentieth of a job."""

OUTCOME_OF_SIGNAL = {int(signal.SIGALRM): "slow", int(signal.SIGXCPU): "slow"}


def main(argument: str) -> int:
    """Serve jobs until the front hangs up; returns the exit status."""
    given = json.loads(argument)
    for number in (signal.SIGTERM, signal.SIGINT):  # who stops a whole group means the front, which ends us in order
        signal.signal(number, signal.SIG_IGN)
    front = socket.socket(fileno=os.dup(0))
    logging.disable(logging.WARNING)  # a library that misses a folder for its caches says so in lines that are no JSON
    tasks = importlib.import_module(given["tasks"])
    tasks.warm_up()
    _silence()
    gc.collect()
    gc.set_threshold(RARELY)
    gc.freeze()  # a collection in a child would touch, and so copy, every page
    try:
        send(front, Frame({"outcome": "ready"}))
        Slot(front, tasks, limits=Limits(**given["limits"])).serve()
    except (EOFError, OSError):
        return 0  # the front is gone
    return 0


def _silence() -> None:
    """Let nothing that is printed by a job reach a log, and no job read what the front sends."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for descriptor in (0, 1, 2):
        os.dup2(nowhere, descriptor)
    os.close(nowhere)


class Slot:
    """Forks, watches and ends the children; `tasks` is the module that holds `TASKS` and `rehearse()`."""

    def __init__(self, front: socket.socket, tasks: ModuleType, *, limits: Limits) -> None:
        self.front, self.tasks, self.limits = front, tasks, limits

    def serve(self) -> None:
        """Do one job after the other. Raises EOFError or OSError when the front is gone."""
        while True:
            standing = self._forked()
            request = receive(self.front)
            while "task" not in request.head:  # a call-off that crossed with its answer
                request = receive(self.front)
            if standing.ended():
                standing = self._forked()
            self._do(request, standing)

    def _forked(self) -> _Child:
        ours, theirs = socket.socketpair()
        pid = os.fork()
        if pid == 0:
            self.front.close()
            ours.close()
            child.run(self.tasks, theirs, limits=self.limits)
        theirs.close()
        return _Child(pid, ours)

    def _do(self, request: Frame, by: _Child) -> None:
        """Have a child do the job and send what became of it; the child is gone then, or has nothing left to do."""
        until = time.monotonic() + self.limits.deadline_s
        verdict, data = "called-off", b""  # what holds when the front is found gone
        try:
            by.give(request)
            verdict, data = self._watched(by.end.fileno(), until=until)
        finally:
            if verdict:
                by.kill()
        answer = unpacked(data) if not verdict else None
        if answer:
            send(self.front, answer)
            by.wait()  # afterwards: giving back its memory takes some milliseconds
        else:
            send(self.front, _told(verdict, *by.wait()))

    def _watched(self, child: int, *, until: float) -> tuple[str, bytes]:
        """Collect what the child writes, until its end, the deadline, too large an answer or a call-off."""
        data = bytearray()
        watch = select.poll()
        watch.register(child, select.POLLIN)
        watch.register(self.front, select.POLLIN)
        while (left := until - time.monotonic()) > 0:
            ready = {descriptor for descriptor, _ in watch.poll(left * 1000)}
            if self.front.fileno() in ready:
                receive(self.front)
                return "called-off", b""
            if child in ready:
                part = os.read(child, 1 << 20)
                if not part:
                    return "", bytes(data)
                data += part
            if len(data) > self.limits.answer_bytes:
                return "large", b""
        return "slow", b""


class _Child:
    """A child as its slot holds it."""

    def __init__(self, pid: int, end: socket.socket) -> None:
        self.pid, self.end = pid, end

    def ended(self) -> bool:
        """Whether it was ended from outside before it was given a job."""
        if os.waitpid(self.pid, os.WNOHANG) == (0, 0):
            return False
        self.end.close()
        return True

    def give(self, request: Frame) -> None:
        """Hand over the job; of a child that is gone by now `wait` tells."""
        with contextlib.suppress(BrokenPipeError, ConnectionResetError):
            self.end.sendall(packed(request))

    def kill(self) -> None:
        """End it in the middle of whatever it does."""
        os.kill(self.pid, signal.SIGKILL)

    def wait(self) -> tuple[int, resource.struct_rusage]:
        """Wait for its end: the status, and what it used."""
        self.end.close()
        _, status, used = os.wait4(self.pid, 0)
        return status, used


def _told(verdict: str, status: int, used: resource.struct_rusage) -> Frame:
    """What the front is told of a child that gave no answer: our verdict, or how the child died."""
    spent = child.spent(used)
    if verdict:
        return Frame({"outcome": verdict} | spent)
    number = os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0
    return Frame({"outcome": OUTCOME_OF_SIGNAL.get(number, "died"), "signal": number} | spent)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
