"""Work in this very process: for tests, scripts and debugging. Nothing here can stop a stuck task."""

from __future__ import annotations

import importlib
import time
from typing import TYPE_CHECKING, Any

from stampwright.base import StampwrightError, stopwatch
from stampwright.job import read_job

from .compute import Done, Ended, Load
from .limits import OUR_TASKS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from .compute import Task


class Here:
    """Does each task at once, in the caller's own thread; `tasks` as in `Slots`."""

    def __init__(self, *, tasks: str = OUR_TASKS) -> None:
        self._tasks = tasks
        self._see: Callable[[Ended], None] = lambda _ended: None

    def do(
        self,
        task: Task,
        *,
        mark: bytes,
        job: Mapping[str, Any],
        gone: Callable[[], bool],  # noqa: ARG002
        fonts: Sequence[bytes] = (),
    ) -> Done:
        """Do the task; whether the caller has gone makes no difference here."""
        tasks = importlib.import_module(self._tasks).TASKS  # loaded at the first job: a front with slots never does one
        began, outcome = time.perf_counter(), "failed"
        with stopwatch() as stages_s:
            try:
                body, outcome = tasks[task](mark, read_job(job), fonts=fonts), "done"
            except StampwrightError:
                outcome = "refused"
                raise
            finally:
                ended = Ended(task=task, outcome=outcome, ran_s=time.perf_counter() - began, stages_s=dict(stages_s))
                self._see(ended)
        return Done(body, ended)

    def load(self) -> Load:
        """One place, of which nobody counts whether it is taken."""
        return Load(up=1, busy=0, waiting=0)

    def room(self) -> bool:
        """There is always room."""
        return True

    def watch(self, see: Callable[[Ended], None]) -> None:
        """Call `see` with every job that has ended."""
        self._see = see

    def stop(self) -> None:
        """There is nothing to end."""
