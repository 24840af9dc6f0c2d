"""Reads the body of a contact sheet: `{"marks": [{"name", "mark", "job"}, …], "fonts_base64"}`, each mark strictly."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from werkzeug.exceptions import UnsupportedMediaType

from stampwright.base import JobError
from stampwright.documents import Entry, packed
from stampwright.drawings import MOST_TILES
from stampwright.job import read_job

from .bodies import JSON, Sent, decoded, fonts_in, object_of, refuse_others, unpacked_body
from .strict_json import Malformed, parse_json

if TYPE_CHECKING:
    from flask import Request

_OF_SHEET = frozenset({"marks", "fonts_base64"})
_OF_ENTRY = frozenset({"name", "mark", "mark_base64", "job"})
MOST_LETTERS = 200  # of a name; a sheet shows some twenty of them


def read_many(request: Request) -> Sent:
    """Return the marks as one text, which is what their sheet is made of. Raises as `read_body` does."""
    unpacked_body(request)
    if request.mimetype != JSON:
        raise UnsupportedMediaType(f"send {JSON}; this body is said to be {request.mimetype or 'of no type'}")
    body = parse_json(request.get_data(cache=False))
    if not isinstance(body, dict):
        raise Malformed("wrong-type", 'the body must be an object such as {"marks": [{"mark": "<svg …>"}]}', pointer="")
    refuse_others(set(body) - _OF_SHEET, known=_OF_SHEET)
    marks = body.get("marks")
    if not isinstance(marks, list) or not marks:
        raise Malformed("missing-mark", "marks must be a list of at least one mark", pointer="/marks")
    if len(marks) > MOST_TILES:
        says = f"{len(marks)} marks were sent; a page holds {MOST_TILES}, so ask for more pages one after the other"
        raise JobError.at("too-many-marks", says, pointer="/marks")
    entries = [_entry(entry, place) for place, entry in enumerate(marks)]
    return Sent(packed(entries), {}, fonts_in(body.get("fonts_base64", [])), "/fonts_base64")


def _entry(entry: Any, place: int) -> Entry:  # noqa: ANN401  any JSON value
    at = f"/marks/{place}"
    if not isinstance(entry, dict):
        raise Malformed("wrong-type", 'each mark must be an object such as {"mark": "<svg …>"}', pointer=at)
    try:
        refuse_others(set(entry) - _OF_ENTRY, known=_OF_ENTRY)
        job = object_of(entry.get("job", {}))
        read_job(job)
    except JobError as error:
        raise JobError(replace(refusal, pointer=at + (refusal.pointer or "")) for refusal in error.refusals) from error
    name = entry.get("name", f"mark {place + 1}")
    if not isinstance(name, str) or len(name) > MOST_LETTERS:
        raise Malformed("wrong-type", f"name must be a text of at most {MOST_LETTERS} characters", pointer=f"{at}/name")
    if ("mark" in entry) == ("mark_base64" in entry):
        says = "give the drawing once, as mark (text) or as mark_base64"
        raise Malformed("missing-mark", says, pointer=f"{at}/mark")
    kind = "mark" if "mark" in entry else "mark_base64"
    if not isinstance(entry[kind], str):
        raise Malformed("wrong-type", f"{kind} must be text", pointer=f"{at}/{kind}")
    mark = entry[kind].encode() if kind == "mark" else decoded(entry[kind], "marks", place, kind)
    return Entry(name, mark, job)
