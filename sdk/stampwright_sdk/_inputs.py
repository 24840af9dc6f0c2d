"""What a caller hands in, brought to bytes: a mark as path, bytes or text; a job as mapping or path; fonts."""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from os import PathLike
from pathlib import Path
from typing import Any

from .errors import UnusableInput

MarkLike = str | bytes | PathLike[str]
JobLike = Mapping[str, Any] | PathLike[str]
FontLike = str | bytes | PathLike[str]

_DXF = re.compile(rb"\s*(?:999\r?\n[^\n]*\n\s*)*0\r?\n\s*SECTION\b")  # comments, then the first group of a DXF


def mark_bytes(mark: MarkLike) -> bytes:
    """Bytes of the mark. Text that begins with `<`, or has lines as a DXF does, is the drawing, any other a path."""
    if isinstance(mark, bytes):
        return mark
    if isinstance(mark, str) and (mark.lstrip("\ufeff \t\r\n").startswith("<") or "\n" in mark):
        return _encoded(mark)
    return _read(mark, "mark")


def mark_part(mark: MarkLike) -> tuple[str, bytes, str]:
    """Name, bytes and media type of the mark as a part of a form; its content says which, as it does to the service."""
    data = mark_bytes(mark)
    if data.find(b"%PDF-", 0, 1024) >= 0 and not data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        return "mark.pdf", data, "application/pdf"
    return ("mark.dxf", data, "image/vnd.dxf") if _DXF.match(data) else ("mark.svg", data, "image/svg+xml")


def fonts_bytes(fonts: Sequence[FontLike]) -> tuple[bytes, ...]:
    """Bytes of each font, a path or bytes. Raises `UnusableInput`, also for one font where a list is asked for."""
    if isinstance(fonts, (str, bytes, PathLike)):
        raise UnusableInput("fonts must be a list of paths or bytes, also where it is one font")
    return tuple(font if isinstance(font, bytes) else _read(font, "font") for font in fonts)


def job_json(job: JobLike | None) -> str:
    """The job as JSON; none is the empty job. Raises `UnusableInput` when it cannot be written as JSON."""
    if isinstance(job, (str, PathLike)):
        job = read_job(job)
    try:
        return json.dumps(dict(job or {}), allow_nan=False, sort_keys=True)
    except (TypeError, ValueError) as error:
        raise UnusableInput(f"the job cannot be written as JSON: {error}") from error


def sheet_json(marks: Iterable[tuple[str, MarkLike, JobLike | None]], fonts: Sequence[FontLike]) -> bytes:
    """The body that asks for a contact sheet: name, mark and job of each. Raises `UnusableInput`."""
    rows = [
        {"name": name, "mark_base64": _coded(mark_bytes(mark)), "job": json.loads(job_json(job))}
        for name, mark, job in marks
    ]
    return json.dumps({"marks": rows, "fonts_base64": [_coded(font) for font in fonts_bytes(fonts)]}).encode()


def read_job(path: str | PathLike[str]) -> Mapping[str, Any]:
    """The JSON object in a file. Raises `UnusableInput`."""
    try:
        job = json.loads(_read(path, "job"))
    except ValueError as error:  # also what undecodable bytes raise
        raise UnusableInput(f"the job {path} is no JSON: {error}") from error
    if not isinstance(job, dict):
        raise UnusableInput(f"the job {path} is no JSON object")
    return job


def _read(path: str | PathLike[str], what: str) -> bytes:
    try:
        return Path(path).read_bytes()
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise UnusableInput(f"the {what} {path} cannot be read: {error}") from error


def _coded(data: bytes) -> str:
    return base64.b64encode(data).decode()


def _encoded(text: str) -> bytes:
    try:
        return text.encode()
    except UnicodeEncodeError as error:
        raise UnusableInput(f"the mark's text holds half a character: {error}") from error
