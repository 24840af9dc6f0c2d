"""One logical call: session, time limits, request id, and the loop that asks again."""

from __future__ import annotations

import base64
import hashlib
import json
import logging
import random
import re
import secrets
import threading
import time
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from http import HTTPStatus
from typing import TYPE_CHECKING, Any

from ._retry import seconds_in, wait_before_retry
from ._saving import beside
from .errors import BY_SLUG, ConnectionFailed, ProblemError, UnexpectedAnswer, slug_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path
    from typing import IO

    import requests

    Part = tuple[str, tuple[str | None, bytes | str, str]]  # name; file name, content, media type
LOG = logging.getLogger("stampwright_sdk")
LOG.addHandler(logging.NullHandler())

PIECE = 1 << 16  # bytes of an answer held at a time on their way into a file
PROBLEM_TYPE = "application/problem+json"


@dataclass(frozen=True, slots=True)
class Patience:
    """Time limits of one try (to connect, between bytes) [s], and how often and how long to ask again."""

    timeout_s: tuple[float, float]
    retries: int
    max_wait_s: float


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back, whole, whether it grants or refuses."""

    url: str
    status: int
    media_type: str
    body: bytes
    retry_after_s: float | None
    request_id: str


@dataclass(frozen=True, slots=True)
class Call:
    """One logical call. Its request id stays the same however often it is sent."""

    method: str
    url: str
    headers: Mapping[str, str]
    files: Sequence[Part] | None
    request_id: str
    data: bytes | None = None  # the body, where it is no form
    into: IO[bytes] | None = None  # where the body of a granting answer goes


class Transport:
    """Sends calls to one service. Threads may share it: each has a session of its own, unless one was given."""

    def __init__(
        self,
        base_url: str,
        *,
        patience: Patience,
        session: requests.Session | None,
        user_agent: str,
        api_key: str | None,
    ) -> None:
        self.base_url = base_url.rstrip("/")
        self._patience = patience
        self._given = session
        self._headers = {"User-Agent": user_agent} | ({"Authorization": f"Bearer {api_key}"} if api_key else {})
        self._own = threading.local()
        self._opened: list[requests.Session] = []
        self._hurry = threading.Event()

    def ask(
        self,
        method: str,
        path: str,
        *,
        accept: str,
        files: Sequence[Part] | None = None,
        json_body: bytes | None = None,
    ) -> Answer:
        """Ask until an answer grants. Raises a `StampwrightError` when it refuses or does not come."""
        return self._granted(self._repeated(self._call(method, path, accept=accept, files=files, json_body=json_body)))

    def fetch(self, method: str, path: str, *, accept: str, files: Sequence[Part], into: Path) -> str:
        """Ask until an answer grants, and write its body to a file as it comes; returns its media type.

        The file appears whole, its bytes held against the service's digest, or not at all. Raises a `StampwrightError`
        as `ask` does, and OSError when the file cannot be written.
        """
        call = self._call(method, path, accept=accept, files=files)
        with beside(into) as file:
            answer = self._granted(self._repeated(replace(call, into=file)))
        return answer.media_type

    def probe(self, path: str) -> Answer:
        """Ask once, whatever the answer. Raises `ConnectionFailed`."""
        found = self._once(self._call("GET", path, accept="application/json", files=None))
        if isinstance(found, ConnectionFailed):
            raise found
        return found

    def give_up(self) -> None:
        """Ask for nothing again from now on, and wake who waits to."""
        self._hurry.set()

    def close(self) -> None:
        """Close the sessions made here; one that was given stays its giver's."""
        while self._opened:
            self._opened.pop().close()

    def _call(
        self, method: str, path: str, *, accept: str, files: Sequence[Part] | None, json_body: bytes | None = None
    ) -> Call:
        request_id = secrets.token_hex(16)
        headers = self._headers | {"Accept": accept, "X-Request-Id": request_id}
        if json_body is not None:
            headers["Content-Type"] = "application/json"
        return Call(method, self.base_url + path, headers, files, request_id, data=json_body)

    def _repeated(self, call: Call) -> Answer:
        began = time.monotonic()
        tries = 0
        while True:
            tries += 1
            found = self._once(call)
            pause = self._pause(found, tries=tries, elapsed_s=time.monotonic() - began)
            if pause is None or self._hurry.is_set():
                break
            LOG.info("%s %s: %s; asking again in %.2f s", call.method, call.url, _brief(found), pause)
            self._hurry.wait(pause)
        if isinstance(found, ConnectionFailed):
            raise found
        return found

    def _pause(self, found: Answer | ConnectionFailed, *, tries: int, elapsed_s: float) -> float | None:
        answer = found if isinstance(found, Answer) else None
        return wait_before_retry(
            tries,
            status=answer.status if answer else None,
            retry_after_s=answer.retry_after_s if answer else None,
            elapsed_s=elapsed_s,
            retries=self._patience.retries,
            max_wait_s=self._patience.max_wait_s,
            dice=random.random(),  # noqa: S311  spreads callers in time, guards nothing
        )

    def _once(self, call: Call) -> Answer | ConnectionFailed:
        import requests  # noqa: PLC0415  half of what loading the client would take: the first call loads it

        try:
            response = self._session().request(
                call.method,
                call.url,
                headers=call.headers,
                files=call.files,
                data=call.data,
                timeout=self._patience.timeout_s,
                allow_redirects=False,  # a redirected POST arrives as a GET without its body
                stream=call.into is not None,
            )
            return _answer(response, call)
        except (requests.ConnectionError, requests.Timeout, requests.exceptions.ChunkedEncodingError) as error:
            return ConnectionFailed(call.url, _cause(error), request_id=call.request_id)
        except requests.RequestException as error:
            raise UnexpectedAnswer(call.url, f"cannot be asked: {error}", request_id=call.request_id) from error

    def _session(self) -> requests.Session:
        if self._given is not None:
            return self._given
        session: requests.Session | None = getattr(self._own, "session", None)
        if session is None:
            import requests  # noqa: PLC0415  likewise

            session = self._own.session = requests.Session()
            self._opened.append(session)
        return session

    def _granted(self, answer: Answer) -> Answer:
        if answer.status == HTTPStatus.OK:
            return answer
        problem = _problem(answer)
        if problem is not None:
            kind = BY_SLUG.get(slug_of(problem), ProblemError)
            raise kind(problem, status=answer.status, request_id=answer.request_id, retry_after_s=answer.retry_after_s)
        raise UnexpectedAnswer(
            answer.url,
            f"answered with status {answer.status} and {answer.media_type or 'no type'}, not as this service does; "
            f"is the address right? ({self.base_url})",
            request_id=answer.request_id,
        )


def json_of(answer: Answer) -> Any:  # noqa: ANN401  JSON is any shape until it is read
    """The answer's JSON. Raises `UnexpectedAnswer` when it is something else."""
    try:
        return json.loads(answer.body)
    except ValueError as error:
        says = f"answered with {answer.media_type or 'no type'} that is no JSON: {error}"
        raise UnexpectedAnswer(answer.url, says, request_id=answer.request_id) from error


def _answer(response: requests.Response, call: Call) -> Answer:
    body, digest = _body(response, call.into if response.ok else None)
    wanted = _digest_in(response.headers.get("Repr-Digest", ""))
    if response.ok and wanted is not None and wanted != digest:
        raise UnexpectedAnswer(call.url, "sent bytes that do not fit their digest", request_id=call.request_id)
    return Answer(
        url=call.url,
        status=response.status_code,
        media_type=response.headers.get("Content-Type", "").partition(";")[0].strip().lower(),
        body=body,
        retry_after_s=seconds_in(response.headers.get("Retry-After"), now=datetime.now(UTC)),
        request_id=response.headers.get("X-Request-Id", call.request_id),
    )


def _body(response: requests.Response, into: IO[bytes] | None) -> tuple[bytes, bytes]:
    """The body, empty when it went into a file, and its SHA-256."""
    if into is None:
        return response.content, hashlib.sha256(response.content).digest()
    into.seek(0)
    into.truncate()  # an earlier try may have broken off
    seen = hashlib.sha256()
    for piece in response.iter_content(PIECE):
        seen.update(piece)
        into.write(piece)
    return b"", seen.digest()


def _digest_in(header: str) -> bytes | None:
    """The SHA-256 of a Repr-Digest header (RFC 9530); None when it has none."""
    found = re.search(r"(?:^|[,\s])sha-256=:([A-Za-z0-9+/=]+):", header)
    return base64.b64decode(found[1]) if found else None


def _problem(answer: Answer) -> dict[str, Any] | None:
    if answer.media_type != PROBLEM_TYPE:
        return None
    problem = json_of(answer)
    return problem if isinstance(problem, dict) else None


def _brief(found: Answer | ConnectionFailed) -> str:
    return f"status {found.status}" if isinstance(found, Answer) else str(found)


def _cause(error: requests.RequestException) -> str:
    """The words at the bottom of the chain: requests wraps urllib3, which wraps the operating system's."""
    deepest: BaseException = error
    while (below := deepest.__cause__ or deepest.__context__) is not None:
        deepest = below
    return str(deepest) or str(error) or type(error).__name__
