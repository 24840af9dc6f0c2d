"""The child that does one job: forked from a warm slot, held by the kernel's limits, gone when it has answered."""

from __future__ import annotations

import contextlib
import os
import resource
import select
import signal
import time
import traceback
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, Self

from stampwright.base import StampwrightError, stopwatch
from stampwright.job import read_job

from .frames import Frame, parts_of, receive, send

if TYPE_CHECKING:
    import socket
    from collections.abc import Mapping
    from types import ModuleType, TracebackType

    from .limits import Limits

KIB, MIB = 1 << 10, 1 << 20
TO_REPORT_BYTES = 64 * MIB  # lets a job that has no memory left say so
IDLE_S = 0.02  # a child that is asked sooner does without its rehearsal: others want the processor
AFTER_S = 0.4  # the slot ends a job at its deadline; these limits hold when the slot cannot


def run(tasks: ModuleType, slot: socket.socket, *, limits: Limits) -> NoReturn:
    """Wait for a job, do it, answer with a frame, end this process; never returns.

    `tasks` is the module that holds `TASKS` and `rehearse()`.
    """
    try:
        if not _is_asked(slot, within_s=IDLE_S):
            tasks.rehearse()
        request = receive(slot)
        _bind(limits)
        with stopwatch() as stages_s, _Reply(slot, stages_s) as reply:
            mark, fonts = parts_of(request)
            reply.body = tasks.TASKS[request.head["task"]](mark, read_job(request.head["job"]), fonts=fonts)
    finally:
        os._exit(0)  # nothing of the slot's may run here: no handlers, no buffers, no way back into its loop


def spent(used: resource.struct_rusage, *, before_s: float = 0.0) -> dict[str, float]:
    """Seconds of the processor, less those before the job, and the most memory [MiB] of a child."""
    return {"cpu_s": round(used.ru_utime + used.ru_stime - before_s, 3), "peak_mb": used.ru_maxrss // KIB}


def _is_asked(slot: socket.socket, *, within_s: float) -> bool:
    watch = select.poll()
    watch.register(slot, select.POLLIN)
    return bool(watch.poll(within_s * 1000))


class _Reply:
    """Writes what became of the job, however it ends."""

    def __init__(self, slot: socket.socket, stages_s: Mapping[str, float]) -> None:
        self.slot, self.stages_s, self.body = slot, stages_s, b""
        self.rehearsed_s = time.process_time()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        head: dict[str, Any] = {"outcome": "done"}
        if error is not None:
            _give_reserve()
            head, self.body = _outcome(error), b""
        head["stages_s"] = {name: round(spent, 6) for name, spent in self.stages_s.items()}
        used = resource.getrusage(resource.RUSAGE_SELF)
        send(self.slot, Frame(head | spent(used, before_s=self.rehearsed_s), self.body))
        self.slot.close()  # the slot need not wait until the kernel has taken this process apart


def _outcome(error: BaseException) -> dict[str, Any]:
    """What the front is told of an error. Of an unexpected one never its message: it may quote the mark."""
    if isinstance(error, StampwrightError):
        reasons = [[r.code, r.detail, r.pointer, r.element] for r in error.refusals]
        return {"outcome": "refused", "kind": type(error).__name__, "refusals": reasons}
    if isinstance(error, MemoryError) or "std::bad_alloc" in str(error):  # the second is how GEOS says it
        return {"outcome": "memory"}
    frames = [f"{Path(f.filename).name}:{f.lineno} {f.name}" for f in traceback.extract_tb(error.__traceback__)]
    return {"outcome": "failed", "error": type(error).__name__, "frames": frames[-12:]}


def _bind(limits: Limits) -> None:
    with contextlib.suppress(OSError):  # where it can be said, the kernel out of memory takes this process first
        Path("/proc/self/oom_score_adj").write_text("1000", encoding="ascii")
    signal.signal(signal.SIGALRM, signal.SIG_DFL)  # ends the process in the middle of a C call; a handler would wait
    signal.setitimer(signal.ITIMER_REAL, limits.deadline_s + AFTER_S)
    cpu_s = int(time.process_time() + limits.deadline_s) + 2
    caps = {resource.RLIMIT_CPU: (cpu_s, cpu_s + 1), resource.RLIMIT_FSIZE: (0, 0), resource.RLIMIT_CORE: (0, 0)}
    caps[resource.RLIMIT_AS] = _address_space(limits)
    for which, (soft, hard) in caps.items():
        ceiling = resource.getrlimit(which)[1]
        _cap(which, _lower(soft, ceiling), _lower(hard, ceiling))


def _address_space(limits: Limits) -> tuple[int, int]:
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    except OSError:
        return resource.getrlimit(resource.RLIMIT_AS)  # no Linux: the address space in use is not known
    soft = pages * resource.getpagesize() + limits.memory_mb * MIB
    return soft, soft + TO_REPORT_BYTES


def _lower(wanted: int, ceiling: int) -> int:
    if resource.RLIM_INFINITY in {wanted, ceiling}:
        return ceiling if wanted == resource.RLIM_INFINITY else wanted
    return min(wanted, ceiling)


def _cap(which: int, soft: int, hard: int) -> None:
    with contextlib.suppress(ValueError):  # a system that does not know this limit for a single process
        resource.setrlimit(which, (soft, hard))


def _give_reserve() -> None:
    hard = resource.getrlimit(resource.RLIMIT_AS)[1]
    _cap(resource.RLIMIT_AS, hard, hard)
