"""What the SDK's client is to a service, for a Dask cluster: a batch runs over either.

The scheduler hands the work of a lost worker to another. A mark that takes its worker along each time it is tried is
given up after a few, and is told as a fault; the rest goes on.
"""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING, Any, Literal, Self

from distributed import CancelledError, Client, LocalCluster
from distributed.comm.core import CommClosedError
from distributed.scheduler import KilledWorker

from stampwright_sdk import ConnectionFailed, ProblemError, ServiceFault
from stampwright_sdk._inputs import fonts_bytes, job_json, mark_bytes
from stampwright_sdk.client import bundle_of
from stampwright_sdk.errors import BY_SLUG, slug_of

from .work import WithSlots, bundle_or_problem

if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import TracebackType

    from stampwright_sdk import Bundle
    from stampwright_sdk._inputs import FontLike, JobLike, MarkLike


class Cluster:
    """A cluster by the address of its scheduler; without one, workers on this machine for the length of a block.

    The workers must have this version of `stampwright` installed. `processes`: how many on this machine, one a
    processor when not given. Raises OSError when no scheduler answers.
    """

    def __init__(self, address: str | None = None, *, processes: int | None = None) -> None:
        self._own = None
        if address is None:
            self._own = LocalCluster(
                n_workers=processes,
                threads_per_worker=1,
                dashboard_address="127.0.0.1:0",  # None would take port 8787, which another cluster may have
                memory_limit=0,
                silence_logs=40,
            )
        self._client = Client(self._own or address, set_as_default=False)
        self._client.register_plugin(WithSlots())

    @property
    def pids(self) -> list[int]:
        """Process of each worker, on whatever machine that is."""
        return [worker["pid"] for worker in self._client.run(_own_pid).values()]

    def make_stamp(
        self,
        mark: MarkLike,
        job: JobLike | None = None,
        *,
        accept: Literal["bundle"] = "bundle",  # noqa: ARG002  as the client of a service is asked
        fonts: Sequence[FontLike] = (),
    ) -> Bundle:
        """Do the whole job on some worker. Raises what the SDK's client raises."""
        request_id = uuid.uuid4().hex
        task = self._client.submit(
            bundle_or_problem,
            mark_bytes(mark),
            job_json(job),
            fonts=fonts_bytes(fonts),
            request_id=request_id,
            pure=False,
            retries=1,
        )
        try:
            found = task.result()
        except KilledWorker as error:
            says = f"the mark took {error.last_worker.address} and the workers before it along"
            fault = _fault(says, request_id)
            raise ServiceFault(fault, status=500, request_id=request_id, retry_after_s=None) from None
        except (CommClosedError, CancelledError, OSError) as error:
            raise ConnectionFailed(self.address, f"the scheduler is gone: {error}", request_id=request_id) from error
        if isinstance(found, bytes):
            return bundle_of(found, url=self.address, request_id=request_id)
        kind = BY_SLUG.get(slug_of(found), ProblemError)
        raise kind(found, status=found["status"], request_id=request_id, retry_after_s=None)

    @property
    def address(self) -> str:
        """Address of the scheduler."""
        return str(self._client.scheduler_info()["address"])

    def get_health(self) -> bool:
        """Whether the scheduler is there."""
        return bool(self._client.status == "running")

    def give_up(self) -> None:
        """Wait for nothing that has not begun."""

    def close(self) -> None:
        """Leave the cluster; end it when it was made here."""
        self._client.close()
        if self._own is not None:
            self._own.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None, /
    ) -> None:
        self.close()


def _own_pid() -> dict[str, int]:
    import os  # noqa: PLC0415  runs on a worker

    return {"pid": os.getpid()}


def _fault(says: str, request_id: str) -> dict[str, Any]:
    return {"type": "/problems/internal-fault", "title": "Worker lost", "detail": says, "instance": request_id}
