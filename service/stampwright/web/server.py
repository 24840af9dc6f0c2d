"""Runs the application under waitress, which reads a whole request before a thread sees it, and stops it in order.

On the first SIGTERM or SIGINT /readyz says 503 for `linger_s`, then nothing new is let in, what is in hand is answered
within `grace_s`, and the process ends with 0. A second signal ends it at once.
"""

from __future__ import annotations

import logging
import signal
import socket
import threading
import time
from typing import TYPE_CHECKING, Any

from waitress.server import create_server

from .app import create_app
from .logs import log_json
from .wire import Channel

if TYPE_CHECKING:
    from types import FrameType

    from flask import Flask

    from stampwright.slots import Compute

    from .settings import Settings

LOOK_S = 0.02
log = logging.getLogger("stampwright.web")


def serve(settings: Settings, *, compute: Compute | None = None) -> None:
    """Serve until told to stop; the work is done by `compute`, in this process unless told otherwise.

    Raises OSError when the address is taken, ValueError for a setting that cannot be.
    """
    log_json(settings.log_level)
    app = create_app(settings, compute=compute)
    server = create_server(app, **_waitress_options(settings))
    server.channel_class = Channel
    server.headers = app.extensions["headers"]
    stop = _Stop(server, app, settings=settings)
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, stop)
    address = f"http://{settings.host}:{server.effective_port}"
    log.info("listening on %s", address, extra={"event": "listening", "address": address})
    server.run()  # returns when the map is cleared or a signal handler raises SystemExit
    log.info("stopped", extra={"event": "stopped"})


def _waitress_options(settings: Settings) -> dict[str, Any]:
    proxy: dict[str, Any] = {"trusted_proxy": settings.trusted_proxy or None}
    if settings.trusted_proxy:
        proxy["trusted_proxy_headers"] = {"x-forwarded-for", "x-forwarded-proto", "x-forwarded-host"}
    return proxy | {
        # one socket: a name such as localhost would give two servers, which cannot be drained as one
        "host": socket.getaddrinfo(settings.host, settings.port, type=socket.SOCK_STREAM)[0][4][0],
        "port": settings.port,
        "threads": max(settings.threads, settings.slots + settings.queue + 8),
        "connection_limit": settings.connection_limit,
        "channel_timeout": settings.channel_timeout_s,
        "cleanup_interval": 5,  # seconds between looks for silent connections
        "asyncore_use_poll": True,  # select() ends at 1024 descriptors
        "channel_request_lookahead": 1,  # lets a task learn that its client has hung up
        "inbuf_overflow": 2 * settings.max_body_bytes,  # a body never becomes a temporary file
        "outbuf_overflow": 256 * 1024 * 1024,  # nor does an answer
        "max_request_body_size": settings.max_body_bytes + 65_536,  # the application refuses first, as a problem
        "ident": None,
        "clear_untrusted_proxy_headers": True,
    }


class _Stop:
    """The signal handler: first in order, then at once."""

    def __init__(self, server: Any, app: Flask, *, settings: Settings) -> None:  # noqa: ANN401  waitress has no types
        self.server, self.app, self.settings = server, app, settings
        self.began = False

    def __call__(self, _number: int, _frame: FrameType | None) -> None:
        """Begin to stop; when that has begun already, leave the loop."""
        if self.began:
            raise SystemExit
        self.began = True
        self.app.extensions["stopping"].set()
        threading.Thread(target=self._drain, daemon=True).start()

    def _drain(self) -> None:
        time.sleep(self.settings.linger_s)
        self.server.trigger.pull_trigger(self._close_the_door)  # sockets belong to the loop's own thread
        limit = time.monotonic() + self.settings.grace_s
        while self._is_busy() and time.monotonic() < limit:
            time.sleep(LOOK_S)
        self.server.trigger.pull_trigger(self._leave)

    def _leave(self) -> None:
        """End the loop, which runs while its map holds anything; what is raised in here would be swallowed."""
        self.server._map.clear()  # noqa: SLF001  there is no other way that needs no second signal

    def _close_the_door(self) -> None:
        """Stop listening. The server's own close() would also shut the pipe through which answers wake the loop."""
        self.server.accepting = False
        self.server.del_channel()
        self.server.socket.close()

    def _is_busy(self) -> bool:
        channels = list(self.server.active_channels.values())
        return any(channel.requests or channel.total_outbufs_len for channel in channels)
