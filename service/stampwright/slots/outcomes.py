"""What came back from a slot, as the bytes of an answer or as a refusal."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from stampwright.base import (
    ArtworkError,
    DoesNotFit,
    InternalFault,
    JobError,
    OutsideTable,
    Refusal,
    StampwrightError,
    TooComplex,
    Unavailable,
    UnreadFormat,
)

from .limits import too_large_answer, too_much_memory, too_slow

if TYPE_CHECKING:
    from .frames import Frame
    from .limits import Limits

log = logging.getLogger("stampwright.slots")

KINDS: dict[str, type[StampwrightError]] = {
    kind.__name__: kind
    for kind in (
        ArtworkError,
        DoesNotFit,
        InternalFault,
        JobError,
        OutsideTable,
        TooComplex,
        Unavailable,
        UnreadFormat,
    )
}
BEYOND = {"slow": too_slow, "memory": too_much_memory, "large": too_large_answer}


def taken(answer: Frame, *, limits: Limits) -> bytes:
    """The bytes of the answer. Raises the `StampwrightError` that ended the job, or what its end amounts to."""
    outcome = answer.head["outcome"]
    if outcome == "done":
        return answer.body
    if outcome == "refused":
        raise KINDS[answer.head["kind"]](Refusal(*reason) for reason in answer.head["refusals"])
    if outcome in BEYOND:
        raise TooComplex([BEYOND[outcome](limits)])
    if outcome == "called-off":
        raise Unavailable.at("called-off", "the client hung up, and the work was ended")
    raise _defect(answer)


def _defect(answer: Frame) -> StampwrightError:
    """A defect of ours: where it broke goes to the log, no more than the code to the caller."""
    log.error("job failed", extra={"event": "job-failed"} | answer.head)
    if answer.head["outcome"] == "died":
        return _crashed(f"the process of the job ended by signal {answer.head['signal']}")
    if answer.head["outcome"] == "lost":
        return _crashed(f"the process of the job was lost {answer.head['tries']} times")
    return InternalFault.at("defect", f"{answer.head['error']} in the process of the job")


def _crashed(detail: str) -> StampwrightError:
    """The job took its process down."""
    return InternalFault.at("worker-crashed", detail)
