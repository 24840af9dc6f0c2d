"""Reads a request's body: JSON `{"mark", "job", "fonts_base64"}` or the parts `mark`, `job` and `font` of a form."""

from __future__ import annotations

import base64
import binascii
import io
from dataclasses import replace
from typing import IO, TYPE_CHECKING, Any, NamedTuple

from flask import Request
from werkzeug.exceptions import UnsupportedMediaType

from stampwright.artwork import MOST_FONTS
from stampwright.base import JobError, Refusal, pointer_to

from .declared import with_declared
from .strict_json import Malformed, parse_json

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from werkzeug.datastructures import MultiDict

JSON = "application/json"
FORM = "multipart/form-data"
OFFERED_BODIES = (JSON, FORM)
_OF_JSON = frozenset({"mark", "mark_base64", "job", "fonts_base64"})
_OF_FORM = frozenset({"mark", "job", "font"})


class Sent(NamedTuple):
    """What came in one request: bytes of the mark, the raw job, bytes of each font in order."""

    mark: bytes
    job: Mapping[str, Any]
    fonts: tuple[bytes, ...]
    fonts_at: str  # pointer to the fonts in this request

    def placed(self, refusal: Refusal) -> Refusal:
        """A refusal of the reader, who knows fonts as `/font`, with its place in this request."""
        pointer = refusal.pointer or ""
        is_font = pointer == "/font" or pointer.startswith("/font/")
        return replace(refusal, pointer=self.fonts_at + pointer.removeprefix("/font")) if is_font else refusal


class InMemoryRequest(Request):
    """A request whose file parts stay in memory: the body is bounded, and the service runs without a writable disk."""

    def _get_file_stream(  # the framework's documented place to choose where an upload goes
        self,
        total_content_length: int | None,  # noqa: ARG002
        content_type: str | None,  # noqa: ARG002
        filename: str | None = None,  # noqa: ARG002
        content_length: int | None = None,  # noqa: ARG002
    ) -> IO[bytes]:
        return io.BytesIO()


def read_body(request: Request) -> Sent:
    """Return what was sent. Raises `Malformed`, `JobError` or `UnsupportedMediaType`."""
    unpacked_body(request)
    if request.mimetype == JSON:
        return _from_json(parse_json(request.get_data(cache=False)))
    if request.mimetype == FORM:
        return _from_form(request)
    raise UnsupportedMediaType(f"send {JSON} or {FORM}; this body is said to be {request.mimetype or 'of no type'}")


def unpacked_body(request: Request) -> None:
    """Raise `UnsupportedMediaType` for a body that came packed."""
    if request.headers.get("Content-Encoding", "identity") != "identity":
        raise UnsupportedMediaType("send the body as it is; compressed bodies are not read")


def _from_json(body: Any) -> Sent:  # noqa: ANN401  any JSON value
    if not isinstance(body, dict):
        raise Malformed("wrong-type", 'the body must be an object such as {"mark": "<svg …>", "job": {}}', pointer="")
    refuse_others(set(body) - _OF_JSON, known=_OF_JSON)
    if ("mark" in body) == ("mark_base64" in body):
        raise Malformed("missing-mark", "give the drawing once, as mark (text) or as mark_base64", pointer="/mark")
    name = "mark" if "mark" in body else "mark_base64"
    if not isinstance(body[name], str):
        raise Malformed("wrong-type", f"{name} must be text", pointer=f"/{name}")
    mark = body[name].encode() if name == "mark" else decoded(body[name], name)
    return Sent(mark, object_of(body.get("job", {})), fonts_in(body.get("fonts_base64", [])), "/fonts_base64")


def fonts_in(texts: Any) -> tuple[bytes, ...]:  # noqa: ANN401  any JSON value
    """Bytes of the fonts of a JSON body. Raises `Malformed` or `JobError`."""
    if not isinstance(texts, list) or not all(isinstance(text, str) for text in texts):
        says = "fonts_base64 must be a list of texts, each a font file as base64"
        raise Malformed("wrong-type", says, pointer="/fonts_base64")
    _keep_few(len(texts), pointer="/fonts_base64")
    return tuple(decoded(text, "fonts_base64", place) for place, text in enumerate(texts))


def _keep_few(fonts: int, *, pointer: str) -> None:
    if fonts > MOST_FONTS:
        says = f"{fonts} fonts were sent; at most {MOST_FONTS} are read, so send those the text is set in"
        raise JobError.at("too-many-fonts", says, pointer=pointer)


def decoded(text: str, *steps: str | int) -> bytes:
    """Bytes of a text of base64 at the place `steps` of the body. Raises `Malformed`."""
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError) as error:
        pointer = pointer_to(*steps)
        raise Malformed("not-base64", f"{pointer[1:]} is not base64: {error}", pointer=pointer) from error


def _from_form(request: Request) -> Sent:
    if not request.mimetype_params.get("boundary"):
        raise Malformed("no-boundary", "the form names no boundary between its parts")
    refuse_others((set(request.files) | set(request.form)) - _OF_FORM, known=_OF_FORM)
    for name in ("mark", "font"):
        if name in request.form:
            says = f"send {name} as a file part, which has a file name"
            raise Malformed("wrong-type", says, pointer=f"/{name}")
    mark = _only(request.files, "mark")
    if mark is None:
        raise Malformed("missing-mark", "the form has no file part mark", pointer="/mark")
    fonts = request.files.getlist("font")
    _keep_few(len(fonts), pointer="/font")
    job = object_of(parse_json(_job_text(request), pointer="/job"))
    data = mark.read()
    return Sent(data, with_declared(job, mark, data), tuple(font.read() for font in fonts), "/font")


def _job_text(request: Request) -> bytes:
    text, file = _only(request.form, "job"), _only(request.files, "job")
    if text is not None and file is not None:
        raise Malformed("part-twice", "the form has the part job twice", pointer="/job")
    if file is not None:
        return bytes(file.read())
    return b"{}" if text is None else str(text).encode()


def _only(parts: MultiDict[str, Any], name: str) -> Any:  # noqa: ANN401  a file or a text
    found = parts.getlist(name)
    if len(found) > 1:
        raise Malformed("part-twice", f"the form has the part {name} {len(found)} times", pointer=f"/{name}")
    return found[0] if found else None


def object_of(job: Any) -> Mapping[str, Any]:  # noqa: ANN401  any JSON value
    """The raw job, which is an object. Raises `JobError`."""
    if not isinstance(job, dict):
        raise JobError.at("wrong-type", "job must be an object", pointer="/job")
    return job


def refuse_others(names: set[str], *, known: Iterable[str]) -> None:
    """Refuse fields that are not known here, by name. Raises `JobError`."""
    if names:
        offered = ", ".join(sorted(known))
        raise JobError(
            Refusal("unknown-field", f"{name[:60]} is not known here; known are: {offered}", pointer_to(name[:60]))
            for name in sorted(names)
        )
