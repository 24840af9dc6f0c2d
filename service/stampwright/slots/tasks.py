"""What can be asked for: a mark and a job go in, the bytes of an answer come out."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Literal, Protocol

from stampwright.documents import ReviewAnswerSchema, bundle_bytes, stamp_json
from stampwright.job import read_job
from stampwright.pipeline import digest_of, make_solid, make_stamp, review_mark
from stampwright.solid import stl_bytes, threemf_bytes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from stampwright.job import Job

Task = Literal["stamp", "bundle", "solid", "solid_3mf", "review"]


class Compute(Protocol):
    """Something that does tasks; the web knows no more of it."""

    def do(self, task: Task, *, mark: bytes, job: Mapping[str, Any], gone: Callable[[], bool]) -> bytes:
        """Do one task on `mark` and the raw `job`; `gone` tells that nobody waits any more.

        Raises a `StampwrightError`: `Unavailable` when there is no room, any other when it cannot be done.
        """

    def room(self) -> bool:
        """Whether the next task would be taken."""

    def stop(self) -> None:
        """Take no more tasks, end what runs."""


def _stamp(mark: bytes, job: Job) -> bytes:
    return stamp_json(make_stamp(mark, job))


def _bundle(mark: bytes, job: Job) -> bytes:
    return bundle_bytes(make_stamp(mark, job))


def _solid(mark: bytes, job: Job) -> bytes:
    return stl_bytes(make_solid(mark, job))


def _solid_3mf(mark: bytes, job: Job) -> bytes:
    return threemf_bytes(make_solid(mark, job), digest=digest_of(mark, job))


def _review(mark: bytes, job: Job) -> bytes:
    answer = ReviewAnswerSchema().dump(review_mark(mark, job))
    return json.dumps(answer, ensure_ascii=False, indent=2, allow_nan=False).encode() + b"\n"


TASKS: Mapping[Task, Callable[[bytes, Job], bytes]] = {
    "stamp": _stamp,
    "bundle": _bundle,
    "solid": _solid,
    "solid_3mf": _solid_3mf,
    "review": _review,
}
"""Each task with the function that does it. The same mark and job give the same bytes."""

_SMALL = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 12">\
<path d="M2 2h16v8h-16z M6 4h8v4h-8z" fill-rule="evenodd"/></svg>"""


def warm_up() -> None:
    """Do one small job that asks for everything: libraries load parts of themselves at their first use."""
    _bundle(_SMALL, read_job({}))
