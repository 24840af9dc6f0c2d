"""The real application behind a requests session, without sockets: nothing is imitated, only the wire is left out."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import requests
from requests.adapters import HTTPAdapter
from urllib3 import HTTPResponse
from werkzeug.test import Client as WsgiClient

if TYPE_CHECKING:
    from wsgiref.types import WSGIApplication

ADDRESS = "http://stampwright.test"


class InProcess(HTTPAdapter):
    """Hands each request to a WSGI application and its answer back."""

    def __init__(self, app: WSGIApplication) -> None:
        super().__init__()
        self._wsgi = WsgiClient(app)

    def send(self, request, **_limits):
        address = urlsplit(request.url)
        answer = self._wsgi.open(
            method=request.method,
            path=address.path,
            query_string=address.query,
            base_url=f"{address.scheme}://{address.netloc}",
            headers=list(request.headers.items()),
            data=request.body,
        )
        wire = HTTPResponse(
            io.BytesIO(answer.get_data()),
            headers=list(answer.headers.items()),
            status=answer.status_code,
            reason=answer.status.partition(" ")[2],
            preload_content=False,
        )
        return self.build_response(request, wire)


def session_of(app: WSGIApplication) -> requests.Session:
    """A session for which `ADDRESS` is the application."""
    session = requests.Session()
    session.trust_env = False
    session.mount(ADDRESS, InProcess(app))
    return session
