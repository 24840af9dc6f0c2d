"""The files of the form, read once: media type, bytes, and the same compressed."""

from __future__ import annotations

import functools
import gzip
import json
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING, Any

from marshmallow import fields

from stampwright.job import JobSchema, read_job

if TYPE_CHECKING:
    from collections.abc import Mapping

WORDS = "words.en.json"
DEFAULTS = "defaults.json"  # written by the code, so that the form never disagrees with the job

_TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",  # RFC 9239
    ".json": "application/json",
    ".svg": "image/svg+xml",
}

FORM_PARTS = (
    DEFAULTS,
    WORDS,
    "answer-view.js",
    "dom.js",
    "fields.js",
    "findings.js",
    "icon.svg",
    "iron-order.css",
    "iron-order.js",
    "iron-solid.js",
    "mark-field.js",
    "mends.js",
    "notices.js",
    "page.css",
    "peek.js",
    "print-view.js",
    "quote.js",
    "sample.svg",
    "service.js",
    "shop.css",
    "shop.html",
    "shop.js",
    "stage.js",
    "stl.js",
    "words.js",
)
"""Every part that a browser may ask for by name."""


@dataclass(frozen=True, slots=True)
class Part:
    """One file of the form."""

    media: str
    plain: bytes
    packed: bytes  # gzip, RFC 1952; without a date, so that the same file gives the same bytes


@functools.cache
def form_part(name: str) -> Part:
    """The part of this name. Raises KeyError for any other name."""
    if name not in FORM_PARTS:
        raise KeyError(name)
    plain = _written(name).encode()
    return Part(_TYPES[name[name.rindex(".") :]], plain, gzip.compress(plain, 9, mtime=0))


def _written(name: str) -> str:
    if name == DEFAULTS:
        return json.dumps(_default_job(), indent=1) + "\n"
    return resources.files(__package__ or "").joinpath("parts", name).read_text(encoding="utf-8")


def page_words() -> dict[str, str]:
    """The form's texts by name: those of its page stand in the same file."""
    words: dict[str, str] = json.loads(form_part(WORDS).plain)
    return words


def _default_job() -> dict[str, Any]:
    """What the empty job means, as the wire has it, in mm."""
    job = read_job({})
    sections = ("artwork", "head", "placement", "relief", "thread")
    whole = JobSchema().fields
    told = {name: _section(whole[name], getattr(job, name)) for name in sections}
    plain = {name: getattr(job, name) for name in ("name", "metal", "substrate", "solid")}
    return told | plain | {"cutters": [cutter.key for cutter in job.cutters]}


def _section(field: fields.Field[Any], record: object) -> Mapping[str, Any]:
    if not isinstance(field, fields.Nested):
        raise TypeError(f"{field.name} is no section of the job")
    named = {name: inner.attribute or name for name, inner in field.schema.fields.items()}
    values = {name: getattr(record, held) for name, held in named.items() if hasattr(record, held)}
    return {name: sorted(value) if isinstance(value, frozenset) else value for name, value in values.items()}
