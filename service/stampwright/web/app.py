"""The Flask application: routes from the table, refusals as problems, one log line a request."""

from __future__ import annotations

import logging
import re
import threading
import time
import uuid
from typing import TYPE_CHECKING

from flask import Flask, g, request

from stampwright.slots import Here

from . import refusals
from .bodies import InMemoryRequest
from .operations import OPERATIONS
from .routes import VIEWS
from .settings import Settings

if TYPE_CHECKING:
    from flask import Response

    from stampwright.slots import Compute

log = logging.getLogger("stampwright.web")

SAFE_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")  # what a caller's request id may be, so that it can be logged as it is
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Content-Security-Policy": "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "Cross-Origin-Resource-Policy": "same-origin",
}


class Web(Flask):
    """Flask with requests that never touch the disk."""

    request_class = InMemoryRequest


def create_app(settings: Settings | None = None, *, compute: Compute | None = None) -> Flask:
    """Make the application; `compute` does the work, in this process unless told otherwise."""
    settings = settings or Settings()
    app = Web("stampwright.web", static_folder=None)
    app.config.update(
        MAX_CONTENT_LENGTH=settings.max_body_bytes, MAX_FORM_MEMORY_SIZE=settings.max_job_bytes, MAX_FORM_PARTS=16
    )
    app.extensions["compute"] = compute or Here()
    app.extensions["stopping"] = threading.Event()
    refusals.install(app)
    app.before_request(_begin)
    app.after_request(_finish)
    app.url_map.merge_slashes = False  # an address has one spelling; a redirect would repeat the Host header
    for operation in OPERATIONS:
        app.add_url_rule(operation.path, operation.name, VIEWS[operation.name], methods=[operation.method])
    return app


def _begin() -> None:
    given = request.headers.get("X-Request-Id", "")
    g.request_id = given if SAFE_ID.fullmatch(given) else uuid.uuid4().hex
    g.began = time.perf_counter()


def _finish(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    response.headers.setdefault("Cache-Control", "no-store")
    response.headers["X-Request-Id"] = g.request_id
    log.info("answered", extra=_facts(response))
    return response


def _facts(response: Response) -> dict[str, object]:
    """What is logged of a request: never the mark, a file name or a raw path."""
    return {
        "event": "answered",
        "request_id": g.request_id,
        "method": request.method,
        "rule": request.url_rule.rule if request.url_rule else None,
        "status": response.status_code,
        "codes": getattr(g, "codes", []),
        "ms": round((time.perf_counter() - g.began) * 1000, 1),
        "bytes_in": request.content_length,
        "bytes_out": response.calculate_content_length(),
    }
