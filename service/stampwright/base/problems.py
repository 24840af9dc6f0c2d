"""The tree of refusals. Every one carries a code, a place and words; none can be blank.

    StampwrightError
    ├── JobError          the job asks for something that is not offered, or contradicts itself
    ├── ArtworkError      the mark cannot be read, or nothing in it can be cut
    │   └── UnreadFormat      what was sent is a photo, an archive, a closed format: nothing that is read at all
    ├── TooComplex        the mark is well formed and beyond a limit of size, count or time
    ├── DoesNotFit        mark, head, relief and hole cannot be had together
    ├── OutsideTable      a value was asked of a table beyond the range it was measured over
    ├── Unavailable       too much to do, or stopping: the same request may be made again later
    └── InternalFault     our own check failed: a defect of ours, never the caller's

The core knows nothing of HTTP; `web.refusals` gives each branch its status.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True, slots=True)
class Refusal:
    """One reason to refuse: a stable code, the place it concerns, and words that say what to do.

    `pointer` is a JSON pointer (RFC 6901) into the request, such as `/job/head/width`; `element` is the path of an
    element of the drawing, such as `/svg/g[2]/path[1]`. At most one of them is set; none when the whole is meant.
    """

    code: str
    detail: str
    pointer: str | None = None
    element: str | None = None

    @property
    def place(self) -> str:
        """Where: the pointer, the element, or `mark` when the whole drawing is meant."""
        return self.pointer or self.element or "mark"


def pointer_to(*steps: str | int) -> str:
    """Write a JSON pointer (RFC 6901, section 3: `~` is written `~0` and `/` is written `~1`).

    >>> pointer_to("job", "cutters", 0)
    '/job/cutters/0'
    """
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in steps)


class StampwrightError(Exception):
    """Root of all refusals; holds every reason at once, so that a caller mends them in one go."""

    def __init__(self, refusals: Iterable[Refusal]) -> None:
        self.refusals = tuple(refusals)
        if not self.refusals:
            raise ValueError("a refusal needs at least one reason")
        super().__init__("; ".join(f"{r.detail} [{r.code} at {r.place}]" for r in self.refusals))

    @classmethod
    def at(cls, code: str, detail: str, *, pointer: str | None = None, element: str | None = None) -> StampwrightError:
        """Make a refusal of this class with a single reason."""
        return cls([Refusal(code, detail, pointer, element)])


class JobError(StampwrightError, ValueError):
    """The job asks for something that is not offered, or contradicts itself."""


class ArtworkError(StampwrightError, ValueError):
    """The mark cannot be read, or nothing in it can be cut."""


class UnreadFormat(ArtworkError):  # noqa: N818  reads as a sentence where it is raised
    """What was sent is of no kind that is read; the text says what it is and what to send instead."""


class TooComplex(StampwrightError, ValueError):  # noqa: N818  reads as a sentence where it is raised
    """The mark is well formed and beyond a limit of size, count or time; the text names limit and count."""


class DoesNotFit(StampwrightError, ValueError):  # noqa: N818
    """Mark, head, relief and hole cannot be had together; the text says what would do."""


class OutsideTable(StampwrightError, LookupError):  # noqa: N818
    """A value was asked of a table beyond the range it was measured over."""


class Unavailable(StampwrightError, RuntimeError):  # noqa: N818
    """Too much to do, or stopping: the same request may be made again after `retry_after_s` seconds."""

    retry_after_s: int = 1


class InternalFault(StampwrightError, RuntimeError):  # noqa: N818
    """Our own check failed: the answer is not sent."""
