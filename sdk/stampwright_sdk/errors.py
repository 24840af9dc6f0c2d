"""What can go wrong on the caller's side of the wire. Every text shows code, place and request id.

    StampwrightError
    ├── UnusableInput        a mark or job on this side cannot be read
    ├── ConnectionFailed     no answer came: wrong address, no network, time limit
    ├── UnexpectedAnswer     something answered, but not this service, or not as its contract says
    └── ProblemError         the service refused, and said why (RFC 9457)
        ├── MalformedRequest     400: the body is not what its type says
        ├── KeyRequired          401: the service answers those it knows, and knows no such key
        ├── NotOffered           404, 405, 406, 415: no such address, method or type of body
        ├── TooLarge             413: more bytes than the service takes
        ├── InvalidJob           422: the job asks for something that is not offered, or contradicts itself
        ├── UnusableMark         415, 422: the mark is of no kind that is read, cannot be read, or has nothing to cut
        ├── TooComplex           422: the mark is beyond a limit of size, count, time or memory
        ├── DoesNotFit           422: mark, head, relief and hole cannot be had together
        ├── OutsideTable         422: a value beyond the range a table was measured over
        ├── TooManyRequests      429: more often than one caller may; asked again until `max_wait` was over
        ├── Busy                 503: too much to do, or stopping; asked again until `max_wait` was over
        └── ServiceFault         500: a defect of the service

A kind of problem that this version does not know arrives as `ProblemError` itself.
"""
# ruff: noqa: N818  the names read as sentences where they are caught: `except Busy`

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason of a refusal: its stable code, what to do, and the place in the job or in the drawing."""

    code: str
    detail: str
    place: str


class StampwrightError(Exception):
    """Root of everything this package raises on purpose; `request_id` is the one the service logs, or None."""

    request_id: str | None = None


class UnusableInput(StampwrightError, ValueError):
    """A mark or job on this side cannot be read; nothing was sent."""


class ConnectionFailed(StampwrightError, ConnectionError):
    """No answer came: wrong address, no network, or the time limit was over."""

    def __init__(self, url: str, cause: str, *, request_id: str) -> None:
        super().__init__(f"no answer from {url}: {cause} [request {request_id}]")
        self.url, self.request_id = url, request_id


class UnexpectedAnswer(StampwrightError, ValueError):
    """Something answered, but not this service, or not as its contract says: a proxy's page, another version."""

    def __init__(self, url: str, says: str, *, request_id: str | None = None) -> None:
        super().__init__(f"{url} {says}" + (f" [request {request_id}]" if request_id else ""))
        self.url, self.request_id = url, request_id


class ProblemError(StampwrightError):
    """The service refused and said why. `reasons` holds every reason at once, worst first as the service gave them."""

    def __init__(self, problem: dict[str, Any], *, status: int, request_id: str, retry_after_s: float | None) -> None:
        self.problem = problem
        self.status = status
        self.slug = slug_of(problem)
        self.request_id = str(problem.get("instance") or request_id)
        self.retry_after_s = retry_after_s
        self.reasons = tuple(_reason(error, self.slug) for error in problem.get("errors") or ())
        super().__init__(self._text())

    @property
    def code(self) -> str:
        """Code of the first reason; the problem's own slug when it names none."""
        return self.reasons[0].code if self.reasons else self.slug

    @property
    def place(self) -> str | None:
        """Place of the first reason: a JSON pointer into the request, or the path of an element of the drawing."""
        return self.reasons[0].place if self.reasons else None

    def _text(self) -> str:
        reasons = [f"{reason.detail} [{reason.code} at {reason.place}]" for reason in self.reasons]
        whole = f"{self.problem.get('detail') or self.problem.get('title') or 'refused'} [{self.slug}]"
        return f"{'; '.join(reasons) or whole} (status {self.status}, request {self.request_id})"


class MalformedRequest(ProblemError, ValueError):
    """The body is not what its type says: broken JSON, a part that is missing or sent twice."""


class KeyRequired(ProblemError, PermissionError):
    """The service answers those it knows, and the key is missing or not one of them."""


class NotOffered(ProblemError, LookupError):
    """No such address, method or media type."""


class TooLarge(ProblemError, ValueError):
    """More bytes than the service takes."""


class InvalidJob(ProblemError, ValueError):
    """The job asks for something that is not offered, or contradicts itself."""


class UnusableMark(ProblemError, ValueError):
    """The mark is of no kind that is read (415), cannot be read, or nothing in it can be cut."""


class TooComplex(ProblemError, ValueError):
    """The mark is beyond a limit of size, count, time or memory. Asking again gives the same answer."""


class DoesNotFit(ProblemError, ValueError):
    """Mark, head, relief and hole cannot be had together; the text says what would do."""


class OutsideTable(ProblemError, LookupError):
    """A value was asked of a table beyond the range it was measured over."""


class TooManyRequests(ProblemError):
    """More often than one caller may. `retry_after_s` is when the service would like to be asked again."""


class Busy(ProblemError):
    """Too much to do, or stopping. `retry_after_s` is when the service would like to be asked again."""


class ServiceFault(ProblemError, RuntimeError):
    """A defect of the service: report it with the request id."""


BY_SLUG: dict[str, type[ProblemError]] = {
    "malformed-request": MalformedRequest,
    "key-required": KeyRequired,
    "not-found": NotOffered,
    "method-not-allowed": NotOffered,
    "not-acceptable": NotOffered,
    "unsupported-media-type": NotOffered,
    "too-large": TooLarge,
    "invalid-job": InvalidJob,
    "unread-format": UnusableMark,
    "unusable-mark": UnusableMark,
    "too-complex": TooComplex,
    "does-not-fit": DoesNotFit,
    "outside-table": OutsideTable,
    "too-many-requests": TooManyRequests,
    "busy": Busy,
    "internal-fault": ServiceFault,
}
"""The kinds of problem the contract names. A newer service may name others: they arrive as `ProblemError`."""


def slug_of(problem: dict[str, Any]) -> str:
    """Last step of the problem's type: `/problems/invalid-job` gives `invalid-job`."""
    return str(problem.get("type") or "about:blank").rstrip("/").rpartition("/")[2]


def _reason(error: dict[str, Any], slug: str) -> Reason:
    place = error.get("pointer") or error.get("element") or "mark"
    return Reason(str(error.get("code") or slug), str(error.get("detail") or "refused"), str(place))
