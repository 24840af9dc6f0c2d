"""Reads a request's body: JSON `{"mark", "job"}` or the parts `mark` and `job` of a form, each strictly."""

from __future__ import annotations

import base64
import binascii
import io
from typing import IO, TYPE_CHECKING, Any

from flask import Request
from werkzeug.exceptions import UnsupportedMediaType

from stampwright.base import JobError, Refusal, pointer_to

from .strict_json import Malformed, parse_json

if TYPE_CHECKING:
    from collections.abc import Mapping

    from werkzeug.datastructures import MultiDict

JSON = "application/json"
FORM = "multipart/form-data"
OFFERED_BODIES = (JSON, FORM)
REMEDY_OF_FONTS = "this version reads no fonts; turn the text of the mark into outlines"


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


def read_body(request: Request) -> tuple[bytes, Mapping[str, Any]]:
    """Return the mark's bytes and the raw job. Raises `Malformed`, `JobError` or `UnsupportedMediaType`."""
    if request.headers.get("Content-Encoding", "identity") != "identity":
        raise UnsupportedMediaType("send the body as it is; compressed bodies are not read")
    if request.mimetype == JSON:
        return _from_json(parse_json(request.get_data(cache=False)))
    if request.mimetype == FORM:
        return _from_form(request)
    raise UnsupportedMediaType(f"send {JSON} or {FORM}; this body is said to be {request.mimetype or 'of no type'}")


def _from_json(body: Any) -> tuple[bytes, Mapping[str, Any]]:  # noqa: ANN401  any JSON value
    if not isinstance(body, dict):
        raise Malformed("wrong-type", 'the body must be an object such as {"mark": "<svg …>", "job": {}}', pointer="")
    _refuse_others(set(body) - {"mark", "mark_base64", "job"})
    if ("mark" in body) == ("mark_base64" in body):
        raise Malformed("missing-mark", "give the drawing once, as mark (text) or as mark_base64", pointer="/mark")
    name = "mark" if "mark" in body else "mark_base64"
    if not isinstance(body[name], str):
        raise Malformed("wrong-type", f"{name} must be text", pointer=f"/{name}")
    mark = body[name].encode() if name == "mark" else _decoded(body[name])
    return mark, _object(body.get("job", {}))


def _decoded(text: str) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError) as error:
        raise Malformed("not-base64", f"mark_base64 is not base64: {error}", pointer="/mark_base64") from error


def _from_form(request: Request) -> tuple[bytes, Mapping[str, Any]]:
    if not request.mimetype_params.get("boundary"):
        raise Malformed("no-boundary", "the form names no boundary between its parts")
    _refuse_others((set(request.files) | set(request.form)) - {"mark", "job"})
    if "mark" in request.form:
        raise Malformed("wrong-type", "send mark as a file part, which has a file name", pointer="/mark")
    mark = _only(request.files, "mark")
    if mark is None:
        raise Malformed("missing-mark", "the form has no file part mark", pointer="/mark")
    return mark.read(), _object(parse_json(_job_text(request), pointer="/job"))


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


def _object(job: Any) -> Mapping[str, Any]:  # noqa: ANN401  any JSON value
    if not isinstance(job, dict):
        raise JobError.at("wrong-type", "job must be an object", pointer="/job")
    return job


def _refuse_others(names: set[str]) -> None:
    if names:
        raise JobError(
            Refusal("unknown-field", _why_unknown(name), pointer=pointer_to(name[:60])) for name in sorted(names)
        )


def _why_unknown(name: str) -> str:
    if name.startswith("font"):
        return REMEDY_OF_FONTS
    return f"{name[:60]} is not known here; known are: mark, mark_base64 (JSON only), job"
