"""What a caller hands in, brought to bytes: a mark as path, bytes or text; a job as mapping or path."""

from __future__ import annotations

import json
from collections.abc import Mapping
from os import PathLike
from pathlib import Path
from typing import Any

from .errors import UnusableInput

MarkLike = str | bytes | PathLike[str]
JobLike = Mapping[str, Any] | PathLike[str]


def mark_bytes(mark: MarkLike) -> bytes:
    """Bytes of the mark. Text that begins with `<` is the drawing itself, any other text is a path."""
    if isinstance(mark, bytes):
        return mark
    if isinstance(mark, str) and mark.lstrip("\ufeff \t\r\n").startswith("<"):
        return _encoded(mark)
    return _read(mark, "mark")


def job_json(job: JobLike | None) -> str:
    """The job as JSON; none is the empty job. Raises `UnusableInput` when it cannot be written as JSON."""
    if isinstance(job, (str, PathLike)):
        job = read_job(job)
    try:
        return json.dumps(dict(job or {}), allow_nan=False, sort_keys=True)
    except (TypeError, ValueError) as error:
        raise UnusableInput(f"the job cannot be written as JSON: {error}") from error


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


def _encoded(text: str) -> bytes:
    try:
        return text.encode()
    except UnicodeEncodeError as error:
        raise UnusableInput(f"the mark's text holds half a character: {error}") from error
