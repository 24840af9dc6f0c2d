"""How the two sides of a slot talk: lengths, a head in JSON, a body of raw bytes. Nothing received is ever run."""

from __future__ import annotations

import json
import struct
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    import socket
    from collections.abc import Mapping, Sequence

_LENGTHS = struct.Struct(">IQ")  # bytes of the head, bytes of the body
LENGTHS_BYTES = _LENGTHS.size


class Frame(NamedTuple):
    """One message: a JSON object and bytes."""

    head: dict[str, Any]
    body: bytes = b""


def request_of(task: str, job: Mapping[str, Any], mark: bytes, fonts: Sequence[bytes]) -> Frame:
    """The frame that asks for a task: its body is the mark and the fonts, one after the other."""
    head = {"task": task, "job": dict(job), "fonts": [len(font) for font in fonts]}
    return Frame(head, b"".join([mark, *fonts]))


def parts_of(request: Frame) -> tuple[bytes, tuple[bytes, ...]]:
    """The mark and the fonts of a frame that asks for a task."""
    at = len(request.body) - sum(request.head["fonts"])
    mark, fonts = request.body[:at], []
    for length in request.head["fonts"]:
        fonts.append(request.body[at : at + length])
        at += length
    return mark, tuple(fonts)


def packed(frame: Frame) -> bytes:
    """Write a frame."""
    head = json.dumps(frame.head).encode()
    return _LENGTHS.pack(len(head), len(frame.body)) + head + frame.body


def unpacked(data: bytes) -> Frame | None:
    """Read a frame that is all of `data`; None when it is cut short, as after a sudden death."""
    if len(data) < LENGTHS_BYTES:
        return None
    head, body = _LENGTHS.unpack_from(data)
    if len(data) != LENGTHS_BYTES + head + body:
        return None
    return Frame(json.loads(data[LENGTHS_BYTES : LENGTHS_BYTES + head]), data[LENGTHS_BYTES + head :])


def send(end: socket.socket, frame: Frame) -> None:
    """Send a frame. Raises OSError when the other side is gone or takes nothing for longer than the socket's limit."""
    end.sendall(packed(frame))


def receive(end: socket.socket) -> Frame:
    """Wait for a frame. Raises EOFError when the other side is gone, OSError as `send` does."""
    head, body = _LENGTHS.unpack(_exactly(end, LENGTHS_BYTES))
    return Frame(json.loads(_exactly(end, head)), _exactly(end, body))


def _exactly(end: socket.socket, count: int) -> bytes:
    data = bytearray()
    while len(data) < count:
        part = end.recv(min(count - len(data), 1 << 20))
        if not part:
            raise EOFError("the other side is gone")
        data += part
    return bytes(data)
