"""Work in this very process: for tests, scripts and debugging. Nothing here can stop a stuck task."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from stampwright.job import read_job

from .tasks import TASKS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from .tasks import Task


class Here:
    """Does each task at once, in the caller's own thread."""

    def do(self, task: Task, *, mark: bytes, job: Mapping[str, Any], gone: Callable[[], bool]) -> bytes:  # noqa: ARG002
        """Do the task; whether the caller has gone makes no difference here."""
        return TASKS[task](mark, read_job(job))

    def room(self) -> bool:
        """There is always room."""
        return True

    def stop(self) -> None:
        """There is nothing to end."""
