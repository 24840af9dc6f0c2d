"""Who may ask, how often, and from which pages: keys, rates and origins, each off unless its setting names some."""

from __future__ import annotations

import hashlib
import hmac
import math
import re
import time
from typing import TYPE_CHECKING

from flask import g, request

from .refusals import Refused

if TYPE_CHECKING:
    from flask import Flask, Response
    from limits import RateLimitItem
    from limits.strategies import RateLimiter

    from .settings import Settings

GUARDED = "/v1/"
OPEN_TO_PAGES = (GUARDED, "/form/")  # a page that embeds the form loads it from here
ENTRY = re.compile(r"([\w.-]{1,40}):([0-9a-f]{64})")
EXPOSED = "ETag, Repr-Digest, Retry-After, Server-Timing, X-Request-Id, Content-Disposition"
ASKED = "Authorization, Content-Type, Accept, X-Request-Id, traceparent"
A_DAY = 86_400  # seconds for which a browser need not ask again what it may send


def install(app: Flask, settings: Settings) -> None:
    """Guard `app` as the settings say. Raises ValueError that names a setting which cannot be."""
    access = Access(settings)
    app.before_request(access.admit)
    app.after_request(access.open_to_pages)


class Access:
    """Keys, rate and origins of one application."""

    def __init__(self, settings: Settings) -> None:
        self.keys = _keys(settings.api_keys)
        self.origins = {origin.strip() for origin in settings.cors_origins.split(",") if origin.strip()}
        self._rate = _Rate(settings.rate) if settings.rate else None

    def admit(self) -> None:
        """Let a request pass or refuse it: 401 without a key that is known, 429 beyond the rate."""
        if not request.path.startswith(GUARDED) or request.method == "OPTIONS":
            return
        caller = self._caller()
        if self._rate:
            self._rate.count(caller)

    def _caller(self) -> str:
        if not self.keys:
            return f"address {request.remote_addr}"
        scheme, _, key = request.headers.get("Authorization", "").partition(" ")
        given = hashlib.sha256(key.strip().encode("utf-8", "replace")).hexdigest()
        # every key is compared, each in constant time: how long it takes tells nothing of which came close
        known = [name for name, sealed in self.keys.items() if hmac.compare_digest(sealed, given)]
        if scheme.lower() != "bearer" or not known:
            raise Refused("key-required", headers={"WWW-Authenticate": 'Bearer realm="stampwright"'})
        g.caller = known[0]
        return f"key {known[0]}"

    def open_to_pages(self, response: Response) -> Response:
        """Tell a browser that the script of an allowed origin may read the answer (Fetch standard, CORS protocol)."""
        if not self.origins or not request.path.startswith(OPEN_TO_PAGES):
            return response
        response.vary.add("Origin")
        origin = request.headers.get("Origin", "")
        if origin and (origin in self.origins or "*" in self.origins):
            response.headers["Access-Control-Allow-Origin"] = "*" if "*" in self.origins else origin
            response.headers["Access-Control-Expose-Headers"] = EXPOSED
            response.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
            if request.method == "OPTIONS":
                response.headers["Access-Control-Allow-Methods"] = response.headers.get("Allow", "GET, POST")
                response.headers["Access-Control-Allow-Headers"] = ASKED
                response.headers["Access-Control-Max-Age"] = str(A_DAY)
        return response


class _Rate:
    """So many requests of one caller in a moving window; kept in the memory of this process."""

    def __init__(self, text: str) -> None:
        from limits import parse  # noqa: PLC0415  70 ms of loading, for those who set a rate
        from limits.storage import MemoryStorage  # noqa: PLC0415
        from limits.strategies import SlidingWindowCounterRateLimiter  # noqa: PLC0415

        try:
            self._item: RateLimitItem = parse(text)
        except ValueError:
            raise ValueError(f"STAMPWRIGHT_RATE={text!r} is no rate such as 120/minute") from None
        self._limiter: RateLimiter = SlidingWindowCounterRateLimiter(MemoryStorage())

    def count(self, caller: str) -> None:
        if not self._limiter.hit(self._item, caller):
            reset = self._limiter.get_window_stats(self._item, caller).reset_time
            wait_s = max(math.ceil(reset - time.time()), 1)
            detail = f"more than {self._item} of this caller; the next is taken in {wait_s} s"
            raise Refused("too-many-requests", detail=detail, headers={"Retry-After": str(wait_s)})


def _keys(text: str) -> dict[str, str]:
    entries = [entry.strip() for entry in text.split(",") if entry.strip()]
    found = [ENTRY.fullmatch(entry) for entry in entries]
    if not all(found) or len({match[1] for match in found if match}) != len(entries):
        raise ValueError("STAMPWRIGHT_API_KEYS is no list of different name:sha256, the sha256 in 64 hex digits")
    return {match[1]: match[2] for match in found if match}
