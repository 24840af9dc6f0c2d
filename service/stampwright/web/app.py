"""The Flask application: routes from the table, refusals as problems, one log line a request."""

from __future__ import annotations

import logging
import re
import threading
import time
import uuid
from typing import TYPE_CHECKING

from flask import Flask, current_app, g, request

from stampwright.slots import Here

from . import access, refusals
from .bodies import InMemoryRequest
from .metrics import Metrics
from .operations import OPERATIONS
from .routes import VIEWS
from .settings import Settings
from .tracing import trace_of

if TYPE_CHECKING:
    from flask import Response

    from stampwright.slots import Compute

log = logging.getLogger("stampwright.web")

SAFE_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")  # what a caller's request id may be, so that it can be logged as it is
METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
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
    app.extensions["stopping"] = threading.Event()
    app.extensions["headers"] = HEADERS | {"Content-Security-Policy": settings.csp}
    app.extensions["form_csp"] = settings.form_csp
    app.extensions["metrics"] = Metrics() if settings.metrics else None
    _employ(app, compute or Here())
    refusals.install(app)
    app.before_request(_begin)
    app.after_request(_finish)  # the first to be named is the last to run
    access.install(app, settings)
    app.url_map.merge_slashes = False  # an address has one spelling; a redirect would repeat the Host header
    for operation in OPERATIONS:
        # an empty path is the root's (RFC 9110, 4.2.3): a redirect would go to wherever Host says
        strict, methods = operation.path != "/", [operation.method]
        app.add_url_rule(operation.path, operation.name, VIEWS[operation.name], methods=methods, strict_slashes=strict)
    return app


def _employ(app: Flask, compute: Compute) -> None:
    """Let `compute` do the work of `app`, and be watched."""
    app.extensions["compute"] = compute
    if app.extensions["metrics"]:
        app.extensions["metrics"].attach(compute)


def _begin() -> None:
    given = request.headers.get("X-Request-Id", "")
    g.request_id = given if SAFE_ID.fullmatch(given) else uuid.uuid4().hex
    g.began = time.perf_counter()


def _finish(response: Response) -> Response:
    for name, value in current_app.extensions["headers"].items():
        response.headers.setdefault(name, value)
    response.headers.setdefault("Cache-Control", "no-store")
    response.headers["X-Request-Id"] = g.request_id
    seconds = time.perf_counter() - g.began
    response.headers["Server-Timing"] = _server_timing(seconds)
    rule = request.url_rule.rule if request.url_rule else "none"
    if current_app.extensions["metrics"]:
        method = request.method if request.method in METHODS else "other"
        current_app.extensions["metrics"].answered(
            rule=rule, method=method, status=response.status_code, seconds=seconds
        )
    log.info("answered", extra=_facts(response, seconds))
    return response


def _server_timing(seconds: float) -> str:
    """Time by stage and in all, in ms (W3C Server Timing): browsers show it beside the request."""
    spent = getattr(g, "spent_s", {}) | {"total": seconds}
    return ", ".join(f"{name};dur={value * 1000:.1f}" for name, value in spent.items())


def _facts(response: Response, seconds: float) -> dict[str, object]:
    """What is logged of a request: never the mark, a file name or a raw path."""
    spent = {name: round(value * 1000, 1) for name, value in getattr(g, "spent_s", {}).items()}
    more = trace_of(request.headers.get("traceparent", "")) | ({"spent_ms": spent} if spent else {})
    if "caller" in g:
        more |= {"caller": g.caller}
    return more | {
        "event": "answered",
        "request_id": g.request_id,
        "method": request.method,
        "rule": request.url_rule.rule if request.url_rule else None,
        "status": response.status_code,
        "codes": getattr(g, "codes", []),
        "ms": round(seconds * 1000, 1),
        "bytes_in": request.content_length,
        "bytes_out": response.calculate_content_length(),
    }
