"""Every refusal as `application/problem+json` (RFC 9457), and the one handler of last resort."""

from __future__ import annotations

import json
import logging
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from flask import Response, g
from marshmallow import Schema, fields
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from stampwright.base import Refusal, StampwrightError, Unavailable

from .bodies import OFFERED_BODIES
from .logs import where_it_broke
from .problems import PROBLEMS, SLUG_OF_REFUSAL, Problem, problem_of_status

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from flask import Flask

PROBLEM_JSON = "application/problem+json"
log = logging.getLogger("stampwright.web")


class Refused(Exception):  # noqa: N818  reads as a sentence where it is raised
    """A refusal of the web itself, by its kind of problem, with the headers its status asks for."""

    def __init__(self, slug: str, *, detail: str = "", headers: Mapping[str, str] | None = None) -> None:
        super().__init__(slug)
        self.slug, self.detail, self.headers = slug, detail, dict(headers or {})


def _text(says: str, **options: Any) -> fields.String:  # noqa: ANN401  handed on
    return fields.String(metadata={"description": says}, **options)


class ProblemErrorSchema(Schema):
    """One reason of a refusal and its place: a pointer into the request, or an element of the drawing."""

    code = _text("stable name of the reason", required=True)
    detail = _text("what is wrong and what to do", required=True)
    pointer = _text("JSON pointer into the request, as a URI fragment (RFC 6901, section 6)")
    element = _text("path of the element in the drawing, such as /svg/g[2]/path[1]")


class ProblemSchema(Schema):
    """A refusal (RFC 9457)."""

    type = _text("address of the page that explains this kind of problem", required=True)
    title = _text("the kind of problem in a few words", required=True)
    status = fields.Integer(required=True, metadata={"description": "the HTTP status"})
    detail = _text("what is wrong this time", required=True)
    instance = _text("the request id, also in the X-Request-Id header", required=True)
    errors = fields.List(
        fields.Nested(ProblemErrorSchema), required=True, metadata={"description": "every reason at once"}
    )


def install(app: Flask) -> None:
    """Make `app` answer every refusal, expected or not, as a problem."""
    app.register_error_handler(StampwrightError, _refused)
    app.register_error_handler(Refused, _turned_away)
    app.register_error_handler(HTTPException, _not_handled)
    app.register_error_handler(Exception, _failed)


def _refused(error: StampwrightError) -> Response:
    problem = PROBLEMS[_slug_of(error)]
    g.codes = sorted({refusal.code for refusal in error.refusals})
    if problem.status >= 500 and not isinstance(error, Unavailable):
        return _faulty(error, problem)
    more = f" (and {len(error.refusals) - 1} more)" if len(error.refusals) > 1 else ""
    response = _answer(problem, detail=error.refusals[0].detail + more, refusals=error.refusals)
    if isinstance(error, Unavailable):
        response.headers["Retry-After"] = str(error.retry_after_s)
    return response


def _faulty(error: StampwrightError, problem: Problem) -> Response:
    """A failure of our own: log and answer name its code and the digest of what was sent, nothing of the inside."""
    digest = g.digest() if "digest" in g else None
    log.error("fault", extra={"event": "fault", "request_id": g.request_id, "codes": g.codes, "digest": digest})
    says = f"our own check failed, so nothing is sent; the digest of all that was sent is {digest}"
    return _answer(problem, refusals=[Refusal(refusal.code, says, pointer="") for refusal in error.refusals])


def _turned_away(refused: Refused) -> Response:
    g.codes = [refused.slug]
    response = _answer(PROBLEMS[refused.slug], detail=refused.detail)
    response.headers.update(refused.headers)
    return response


def _slug_of(error: StampwrightError) -> str:
    return next((SLUG_OF_REFUSAL[kind] for kind in type(error).__mro__ if kind in SLUG_OF_REFUSAL), "internal-fault")


def _not_handled(error: HTTPException) -> HTTPException | Response:
    if error.code is None or error.code < 400:
        return error  # a redirect is no problem
    # the library's own texts speak to somebody who typed an address; ours say what is offered
    detail = "" if error.description == type(error).description else error.description
    refusals = getattr(error, "refusals", ())
    response = _answer(problem_of_status(error.code), status=error.code, detail=detail or "", refusals=refusals)
    if isinstance(error, MethodNotAllowed) and error.valid_methods:
        response.headers["Allow"] = ", ".join(sorted(error.valid_methods))
    if error.code == 415:
        response.headers["Accept"] = ", ".join(OFFERED_BODIES)  # RFC 9110, section 15.5.16
    return response


def _failed(error: Exception) -> Response:
    """The handler of last resort. The log gets where it broke, not the message: it may quote the mark."""
    log.error("fault", extra={"event": "fault", "request_id": g.request_id} | where_it_broke(error))
    return _answer(PROBLEMS["internal-fault"])


def _answer(
    problem: Problem, *, detail: str = "", status: int | None = None, refusals: Iterable[Refusal] = ()
) -> Response:
    status = status or problem.status
    text = problem_text(problem, request_id=g.request_id, status=status, detail=detail, refusals=refusals)
    return Response(text, status=status, content_type=PROBLEM_JSON)


def problem_document(error: StampwrightError, *, request_id: str) -> str:
    """Write the problem document of a refusal, for work that was not asked for over HTTP."""
    problem = PROBLEMS[_slug_of(error)]
    detail = error.refusals[0].detail
    return problem_text(problem, request_id=request_id, status=problem.status, detail=detail, refusals=error.refusals)


def problem_text(
    problem: Problem, *, request_id: str, status: int, detail: str = "", refusals: Iterable[Refusal] = ()
) -> str:
    """Write a problem document; without a `detail` of its own it says what the kind of problem means."""
    body = {
        "type": f"/problems/{problem.slug}",
        "title": problem.title,
        "status": status,
        "detail": detail or f"{problem.means} {problem.remedy}",
        "instance": request_id,
        "errors": [_reason(refusal) for refusal in refusals],
    }
    return json.dumps(ProblemSchema().dump(body), indent=2) + "\n"


def _reason(refusal: Refusal) -> dict[str, str]:
    reason = {"code": refusal.code, "detail": refusal.detail}
    if refusal.element is not None:
        return reason | {"element": refusal.element}
    pointer = "/mark" if refusal.pointer is None else refusal.pointer
    return reason | {"pointer": "#" + quote(pointer, safe="/~!$&'()*+,;=:@?")}  # RFC 3986: what a fragment may hold
