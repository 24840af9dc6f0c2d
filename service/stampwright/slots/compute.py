"""What the web knows of the place where the work is done."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

Task = Literal[
    "stamp",
    "bundle",
    "outlines",
    "solid",
    "solid_3mf",
    "solid_png",
    "review",
    "review_drawn",
    "plain_svg",
    "plain_png",
    "print_svg",
    "print_png",
    "face_svg",
    "face_png",
    "cutting_svg",
    "cutting_png",
    "a4_pdf",
    "letter_pdf",
    "contact_a4_pdf",
    "contact_letter_pdf",
    "contact_a4_svg",
    "contact_letter_svg",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How one job went: its outcome, seconds in the queue, in all and by stage, seconds of CPU, MiB at its peak."""

    task: str
    outcome: str
    waited_s: float = 0.0
    ran_s: float = 0.0
    cpu_s: float = 0.0
    peak_mb: float = 0.0
    stages_s: Mapping[str, float] = field(default_factory=dict)


class Done(NamedTuple):
    """The bytes of an answer, and how the job went."""

    body: bytes
    ended: Ended


class Load(NamedTuple):
    """Slots that are up, those of them at work, and jobs that wait for one."""

    up: int
    busy: int
    waiting: int


class Compute(Protocol):
    """Something that does tasks."""

    def do(
        self, task: Task, *, mark: bytes, job: Mapping[str, Any], gone: Callable[[], bool], fonts: Sequence[bytes] = ()
    ) -> Done:
        """Do one task on `mark`, `fonts` and the raw `job`; `gone` tells that nobody waits any more.

        Raises a `StampwrightError`: `Unavailable` when there is no room, any other when it cannot be done.
        """

    def load(self) -> Load:
        """How much there is to do."""

    def room(self) -> bool:
        """Whether the next task would be taken."""

    def watch(self, see: Callable[[Ended], None]) -> None:
        """Call `see` with every job that has ended, however it did."""

    def stop(self) -> None:
        """Take no more tasks, end what runs."""
