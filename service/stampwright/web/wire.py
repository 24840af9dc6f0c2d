"""What the server refuses before the application sees it, as a problem like every other refusal."""

from __future__ import annotations

import logging
import uuid
from http import HTTPStatus

from waitress.channel import HTTPChannel
from waitress.task import ErrorTask

from .problems import problem_of_status
from .refusals import PROBLEM_JSON, problem_text

log = logging.getLogger("stampwright.web")


class Unreadable(ErrorTask):  # type: ignore[misc]  # waitress has no types
    """Answers a request that breaks the rules of HTTP, or the limits of its head and body."""

    def execute(self) -> None:
        """Write the answer; the connection ends with it, for where the next request begins is not known."""
        status, request_id = HTTPStatus(self.request.error.code), uuid.uuid4().hex
        problem = problem_of_status(status)
        says = f"{self.request.error.body.rstrip('.')}. Send a request as HTTP/1.1 (RFC 9112) has it."
        detail = says if problem.slug == "malformed-request" else ""
        body = problem_text(problem, request_id=request_id, status=status, detail=detail).encode()
        ours = self.channel.server.headers
        headers = ours | {"Content-Type": PROBLEM_JSON, "Cache-Control": "no-store", "X-Request-Id": request_id}
        self.status = f"{status.value} {status.phrase}"
        self.response_headers.extend(headers.items())
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)
        log.info("unreadable", extra={"event": "unreadable", "request_id": request_id, "status": status.value})


class Channel(HTTPChannel):  # type: ignore[misc]  # waitress has no types
    """A connection with our own answer to unreadable requests."""

    error_task_class = Unreadable
