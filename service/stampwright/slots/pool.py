"""Work in slots: processes beside this one, each with one limited child at a time, and one short line before them."""

from __future__ import annotations

import contextlib
import logging
import math
import threading
import time
from typing import TYPE_CHECKING, Any

from stampwright.base import Refusal, Unavailable

from .compute import Done, Ended, Load
from .frames import Frame, request_of
from .limits import OUR_TASKS, Limits
from .line import Line
from .outcomes import taken
from .worker import Lost, Worker

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from stampwright.base import StampwrightError

    from .compute import Task

TRIES = 2  # a job whose slot was lost is done once more
LOAD_S = 10.0  # a slot that is being replaced loads for a second, on a busy machine for some
PAUSE_S = 1.0  # before a slot that would not start is tried again
FRESH = 0.2  # weight of the latest job in the mean time of a job
log = logging.getLogger("stampwright.slots")


class Slots:
    """Does tasks in `count` slots; `queue` callers may wait. The slots load in the background: see `room`.

    `tasks` is the module a slot takes its tasks from: it holds `TASKS` and `warm_up()`.
    """

    def __init__(self, count: int, *, queue: int = 16, limits: Limits | None = None, tasks: str = OUR_TASKS) -> None:
        self.limits = limits or Limits()
        self._line: Line[Worker] = Line(length=queue)
        self._workers = [Worker(tasks, limits=self.limits) for _ in range(count)]
        self._cold = set(self._workers)
        self._stopping = threading.Event()
        self._job_s = 0.5  # a usual mark; corrected by every job
        self._see: Callable[[Ended], None] = lambda _ended: None
        threading.Thread(target=self._open, daemon=True).start()

    @property
    def pids(self) -> list[int]:
        """The processes of the slots that are up."""
        return [worker.pid for worker in self._workers if worker.is_up]

    def do(
        self, task: Task, *, mark: bytes, job: Mapping[str, Any], gone: Callable[[], bool], fonts: Sequence[bytes] = ()
    ) -> Done:
        """Do one task on `mark`, `fonts` and the raw `job`, when it is its turn; called off when `gone` says so.

        Raises a `StampwrightError`: `Unavailable` when the line is full, `TooComplex` beyond a limit, `InternalFault`
        when the job took its process down, or whatever the task itself raised.
        """
        entered = time.monotonic()
        worker = self._turn(gone)
        began = time.monotonic()
        try:
            answer = self._asked(worker, request_of(task, job, mark, fonts), gone)
        finally:
            self._give_back(worker)
        ran_s = time.monotonic() - began
        self._job_s += FRESH * (ran_s - self._job_s)
        ended = Ended(task=task, waited_s=began - entered, ran_s=ran_s, **_used(answer))
        self._see(ended)
        return Done(taken(answer, limits=self.limits), ended)

    def load(self) -> Load:
        """How many slots are up, how many of them are at work, how many jobs wait."""
        up = len(self._workers) - len(self._cold)
        return Load(up=up, busy=max(up - self._line.free, 0), waiting=self._line.waiting)

    def room(self) -> bool:
        """Whether a slot has come up and the next task would be taken."""
        return len(self._cold) < len(self._workers) and not self._stopping.is_set() and self._line.has_room()

    def watch(self, see: Callable[[Ended], None]) -> None:
        """Call `see` with every job that has ended."""
        self._see = see

    def stop(self) -> None:
        """Take no more tasks; end the slots and whatever they do."""
        self._stopping.set()
        for worker in self._workers:
            worker.end()

    def _turn(self, gone: Callable[[], bool]) -> Worker:
        place = None if self._stopping.is_set() else self._line.enter()
        if place is None:
            raise self._unavailable("all places are taken and the queue is full")
        worker = self._line.wait(
            place, limit_s=2 * self.limits.deadline_s + LOAD_S, gone=lambda: gone() or self._stopping.is_set()
        )
        if worker is None:
            raise self._unavailable("no place became free in time")
        return worker

    def _unavailable(self, words: str) -> StampwrightError:
        if self._stopping.is_set():
            return Unavailable.at("stopping", "the service is stopping; another one will answer")
        wait_s = math.ceil(self._job_s * (self._line.waiting + 1) / max(len(self._workers), 1))
        error = Unavailable([Refusal("busy", words)])
        error.retry_after_s = max(wait_s, 1)
        return error

    def _asked(self, worker: Worker, request: Frame, gone: Callable[[], bool]) -> Frame:
        for _ in range(TRIES):
            if worker.is_up or worker.start():
                with contextlib.suppress(Lost):
                    return worker.ask(request, gone=gone)
            if self._stopping.is_set():
                raise self._unavailable("")
            log.warning("slot lost", extra={"event": "slot-lost"})
        return Frame({"outcome": "lost", "tries": TRIES})

    def _give_back(self, worker: Worker) -> None:
        if worker.is_up:
            self._line.give(worker)
        else:
            self._mend(worker)

    def _open(self) -> None:
        """Bring up the first slot alone, so that the first answer comes soonest, then all others together."""
        for worker in self._workers[:1]:
            self._bring_up(worker)
        for worker in self._workers[1:]:
            self._mend(worker)

    def _mend(self, worker: Worker) -> None:
        threading.Thread(target=self._bring_up, args=(worker,), daemon=True).start()

    def _bring_up(self, worker: Worker) -> None:
        while not worker.start():
            if self._stopping.wait(PAUSE_S):
                return
            log.error("slot does not start", extra={"event": "slot-does-not-start"})
        self._cold.discard(worker)
        self._line.give(worker)


def _used(answer: Frame) -> dict[str, Any]:
    zero: dict[str, Any] = {"cpu_s": 0.0, "peak_mb": 0.0, "stages_s": {}}
    return {"outcome": answer.head["outcome"]} | {name: answer.head.get(name, other) for name, other in zero.items()}
