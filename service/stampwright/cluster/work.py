"""What a worker does: one mark and one job in, a bundle or the problem's document out. Pure, so it may be repeated.

The work is done in slots of the worker, as in the service: a mark that hangs, crashes or asks for too much is refused
within its limits and takes no worker along.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, cast

from distributed import WorkerPlugin, get_worker

from stampwright.base import StampwrightError
from stampwright.slots import Slots
from stampwright.web import problem_document

if TYPE_CHECKING:
    from collections.abc import Sequence

    from distributed import Worker

SLOTS = "stampwright-slots"


class WithSlots(WorkerPlugin):
    """Gives each worker, also one that joins later, as many slots as it has threads."""

    name = SLOTS
    slots: Slots

    def setup(self, worker: Worker) -> None:
        """Begin the slots; they load in the background, and the first task waits for them."""
        self.slots = Slots(worker.state.nthreads, queue=worker.state.nthreads)

    def teardown(self, worker: Worker) -> None:  # noqa: ARG002  as the library calls it
        """End them; those of a worker that was killed end by themselves."""
        self.slots.stop()


def bundle_or_problem(mark: bytes, job: str, *, request_id: str, fonts: Sequence[bytes] = ()) -> bytes | dict[str, Any]:
    """The bytes of the bundle, the same as the service's; or what the service would say against it."""
    worker = cast("WithSlots", get_worker().plugins[SLOTS])
    try:
        return worker.slots.do("bundle", mark=mark, job=json.loads(job), gone=lambda: False, fonts=fonts).body
    except StampwrightError as error:
        problem: dict[str, Any] = json.loads(problem_document(error, request_id=request_id))
        return problem
