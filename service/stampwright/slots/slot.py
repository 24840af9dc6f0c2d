"""The process of a slot: loads and warms up once, then forks one child for each job and ends it at the deadline.

Started as `python -m stampwright.slots.slot`, with one JSON argument and a socket as its standard input. It keeps to
a single thread, so that a fork is safe, and ends when the socket does, whatever has become of the front.
"""

from __future__ import annotations

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
from .frames import Frame, receive, send, unpacked
from .limits import Limits

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

KIB = 1024
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
    gc.freeze()  # a collection in a child would touch, and so copy, every page
    slot = Slot(front, tasks.TASKS, limits=Limits(**given["limits"]))
    try:
        send(front, Frame({"outcome": "ready"}))
        slot.serve()
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
    """Forks, watches and ends the children."""

    def __init__(self, front: socket.socket, tasks: Mapping[str, Callable[..., bytes]], *, limits: Limits) -> None:
        self.front, self.tasks, self.limits = front, tasks, limits

    def serve(self) -> None:
        """Do one job after the other. Raises EOFError or OSError when the front is gone."""
        while True:
            request = receive(self.front)
            if "task" in request.head:  # else a call-off that crossed with its answer
                send(self.front, self._done(request))

    def _done(self, request: Frame) -> Frame:
        began = time.monotonic()
        ours, theirs = os.pipe()
        pid = os.fork()
        if pid == 0:
            self.front.close()
            os.close(ours)
            child.run(self.tasks[request.head["task"]], request, limits=self.limits, out=theirs)
        os.close(theirs)
        verdict, data = "called-off", b""  # what holds when the front is found gone
        try:
            verdict, data = self._watched(ours, until=began + self.limits.deadline_s)
        finally:
            os.close(ours)
            if verdict:
                os.kill(pid, signal.SIGKILL)
            _, status, used = os.wait4(pid, 0)
        head, body = _told(verdict, data, status)
        spent = {"cpu_s": round(used.ru_utime + used.ru_stime, 3), "peak_mb": used.ru_maxrss // KIB}
        return Frame(head | spent, body)

    def _watched(self, pipe: int, *, until: float) -> tuple[str, bytes]:
        """Collect what the child writes, until its end, the deadline, too large an answer or a call-off."""
        data = bytearray()
        watch = select.poll()
        watch.register(pipe, select.POLLIN)
        watch.register(self.front, select.POLLIN)
        while (left := until - time.monotonic()) > 0:
            ready = {descriptor for descriptor, _ in watch.poll(left * 1000)}
            if self.front.fileno() in ready:
                receive(self.front)
                return "called-off", b""
            if pipe in ready:
                part = os.read(pipe, 1 << 20)
                if not part:
                    return "", bytes(data)
                data += part
            if len(data) > self.limits.answer_bytes:
                return "large", b""
        return "slow", b""


def _told(verdict: str, data: bytes, status: int) -> Frame:
    """What the front is told: our verdict, the child's own frame, or how the child died."""
    if verdict:
        return Frame({"outcome": verdict})
    frame = unpacked(data)
    if frame:
        return frame
    number = os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0
    return Frame({"outcome": OUTCOME_OF_SIGNAL.get(number, "died"), "signal": number})


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
