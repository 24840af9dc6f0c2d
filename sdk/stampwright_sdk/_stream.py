"""Work on many things at a time, at most so many of them, results as they come. A slow reader slows the work."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Generic, Self, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from concurrent.futures import Future
    from types import TracebackType

Task = TypeVar("Task")
Result = TypeVar("Result")


class Stream(Iterator[tuple[Task, Result]], Generic[Task, Result]):
    """An iterator over (task, result), at most `workers` of them begun and not yet read.

    An interrupt while it waits leaves it as it was: after `stop` it goes on to the end of what is begun.
    """

    def __init__(self, work: Callable[[Task], Result], tasks: Iterable[Task], *, workers: int) -> None:
        from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415  as below

        self._work = work
        self._tasks = iter(tasks)
        self._workers = workers
        self._begun: dict[Future[Result], Task] = {}
        self._pool = ThreadPoolExecutor(workers, thread_name_prefix="stampwright")

    def __next__(self) -> tuple[Task, Result]:
        from concurrent.futures import FIRST_COMPLETED, wait  # noqa: PLC0415  only batches need it

        while len(self._begun) < self._workers and (task := next(self._tasks, None)) is not None:
            self._begun[self._pool.submit(self._work, task)] = task
        if not self._begun:
            self._pool.shutdown()
            raise StopIteration
        done, _ = wait(self._begun, return_when=FIRST_COMPLETED)
        first = next(future for future in self._begun if future in done)
        task = self._begun.pop(first)
        return task, first.result()

    def stop(self) -> None:
        """Begin nothing more."""
        self._tasks = iter(())

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None, /
    ) -> None:
        self.stop()
        self._pool.shutdown(cancel_futures=True)
