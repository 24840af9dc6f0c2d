"""The kinds of problem a caller can meet: status, title, what it means and what to do. One page each."""

from __future__ import annotations

from dataclasses import dataclass

from stampwright.base import (
    ArtworkError,
    DoesNotFit,
    InternalFault,
    JobError,
    OutsideTable,
    StampwrightError,
    TooComplex,
    Unavailable,
    UnreadFormat,
)


@dataclass(frozen=True, slots=True)
class Problem:
    """A kind of problem: its address is `/problems/<slug>`."""

    slug: str
    status: int
    title: str
    means: str
    remedy: str


_ALL = (
    Problem(
        "malformed-request",
        400,
        "The request cannot be read",
        "The body is not what its media type says: broken JSON, NaN, a name or a part twice, no mark, half characters.",
        "Mend the place that `errors` names and send it again.",
    ),
    Problem(
        "key-required",
        401,
        "A key is needed",
        "This service answers those it knows, and the request names no key, or one that is not known.",
        "Send the header `Authorization: Bearer` with the key that whoever runs the service gave you.",
    ),
    Problem(
        "not-found",
        404,
        "There is nothing at this address",
        "The path is not one of the service's operations, or not offered by this version.",
        "See /docs for every address there is.",
    ),
    Problem(
        "method-not-allowed",
        405,
        "The method is not offered here",
        "The address exists and is asked with another method.",
        "Use one of the methods in the Allow header.",
    ),
    Problem(
        "not-acceptable",
        406,
        "No such media type is offered",
        "The Accept header names no media type that this operation can answer with.",
        "Ask for one of the types that `detail` lists, or leave Accept out.",
    ),
    Problem(
        "too-large",
        413,
        "The request is too large",
        "The body, one of its parts, or the head of the request is beyond the service's limit of bytes.",
        "Simplify the drawing: a mark needs no embedded pictures, and a few hundred kB at most.",
    ),
    Problem(
        "unsupported-media-type",
        415,
        "The body's media type is not read",
        "A job is sent as application/json or as multipart/form-data, not compressed.",
        "Set Content-Type to one of the types in the Accept header of this answer.",
    ),
    Problem(
        "unread-format",
        415,
        "The file is of a kind that is not read",
        "The mark is a photo, an archive, PostScript, a closed format or something unknown; its content says so.",
        "Send a drawing as SVG, PDF or ASCII DXF. `detail` says what was found and how to get there.",
    ),
    Problem(
        "invalid-job",
        422,
        "The job cannot be taken as it is",
        "A field is unknown, of the wrong type, out of bounds, or contradicts another.",
        "Each entry of `errors` points at a field and says what would do. All faults are listed at once.",
    ),
    Problem(
        "unusable-mark",
        422,
        "The mark cannot be used",
        "The drawing cannot be read, has no ink, or leaves something out that would be missed.",
        "Each entry of `errors` names the element and says how to mend the drawing.",
    ),
    Problem(
        "too-complex",
        422,
        "The mark is beyond a limit",
        "The drawing is well formed and needs more size, count, time or memory than one job may take.",
        "Simplify the drawing; sending it again unchanged gives the same answer.",
    ),
    Problem(
        "does-not-fit",
        422,
        "Mark, head, relief and hole do not go together",
        "One of them leaves no room for another.",
        "The texts say which measure would do.",
    ),
    Problem(
        "outside-table",
        422,
        "A value is beyond what is known",
        "A table of measured values does not reach so far, and nothing is guessed.",
        "Choose a value inside the range that the text gives.",
    ),
    Problem(
        "too-many-requests",
        429,
        "Too many requests",
        "This caller has asked more often than the service allows one caller.",
        "Send the same request again after the seconds in the Retry-After header. Doing so is safe.",
    ),
    Problem(
        "internal-fault",
        500,
        "The service failed",
        "A defect of the service, not of the request. Nothing is kept of the request.",
        "Tell whoever runs the service the request id, which is in `instance`.",
    ),
    Problem(
        "busy",
        503,
        "The service cannot take the job now",
        "All places are taken and the queue is full, or the service is stopping.",
        "Send the same request again after the seconds in the Retry-After header. Doing so is safe.",
    ),
)

PROBLEMS = {problem.slug: problem for problem in _ALL}

SLUG_OF_REFUSAL: dict[type[StampwrightError], str] = {
    JobError: "invalid-job",
    ArtworkError: "unusable-mark",
    UnreadFormat: "unread-format",
    TooComplex: "too-complex",
    DoesNotFit: "does-not-fit",
    OutsideTable: "outside-table",
    Unavailable: "busy",
    InternalFault: "internal-fault",
}

SLUG_OF_STATUS = {
    404: "not-found",
    405: "method-not-allowed",
    406: "not-acceptable",
    413: "too-large",
    415: "unsupported-media-type",
    431: "too-large",
    501: "malformed-request",  # a transfer coding that nobody uses: the server's, and the request's fault
    503: "busy",
}


def problem_of_status(status: int) -> Problem:
    """The kind for a refusal of the HTTP layer; any other client error is a malformed request."""
    return PROBLEMS[SLUG_OF_STATUS.get(status, "malformed-request" if status < 500 else "internal-fault")]
