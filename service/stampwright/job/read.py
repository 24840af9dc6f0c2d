"""Read a job strictly: every fault is told at once, each with its pointer; all lengths end in millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from marshmallow import Schema, ValidationError, fields

from stampwright.base import JobError, Refusal, pointer_to
from stampwright.base.quantities import MM_PER_INCH

from .fields import Length, Reason, Sentence, is_number
from .schema import JobSchema

if TYPE_CHECKING:
    from .record import Job

LONGEST_NAME = 60
"""Characters of an unknown field's name that are repeated to the caller."""

UNIT_PLACES = 9
"""Decimals kept when inches become millimetres, so that 1.5 in and 38.1 mm are the same job with the same digest."""

_SCHEMA = JobSchema()  # made once: that takes longer than to read a job by it


def read_job(data: Mapping[str, Any]) -> Job:
    """Read the `job` object of a request, already parsed from JSON.

    Raises `JobError` with every refusal there is, its pointer from the request's root (`/job/head/width`).
    """
    try:
        job: Job = _SCHEMA.load(_in_mm(data, _SCHEMA) if _in_inches(data) else data)
    except ValidationError as error:
        refusals = _refusals(error.messages, path=("job",))
        # marshmallow meets unknown fields in the order of a set; sorted, the same job gives the same bytes
        raise JobError(sorted(refusals, key=lambda r: str(r.pointer) if r.code == "unknown-field" else "")) from error
    return job


def _in_inches(data: object) -> bool:
    return isinstance(data, Mapping) and data.get("units") == "in"


def _in_mm(data: Mapping[str, Any], schema: Schema) -> dict[str, Any]:
    """Scale each length that stands where the schema has one; whatever is wrong is left for the schema to refuse."""
    return {name: _scaled(value, schema.load_fields.get(name)) for name, value in data.items()}


def _scaled(value: Any, field: fields.Field[Any] | None) -> Any:  # noqa: ANN401  JSON in, JSON out
    if isinstance(field, Length) and is_number(value):
        return _mm(value)
    if isinstance(field, fields.Nested) and isinstance(value, Mapping):
        return _in_mm(value, field.schema)
    if isinstance(field, fields.List) and isinstance(value, list):
        return [_scaled(item, field.inner) for item in value]
    return value


def _mm(inches: float) -> float:
    try:
        return round(inches * MM_PER_INCH, UNIT_PLACES)
    except OverflowError:  # an integer beyond any float: the schema says so
        return inches


def _refusals(messages: Any, *, path: tuple[str | int, ...]) -> Iterator[Refusal]:  # noqa: ANN401  marshmallow's tree
    if isinstance(messages, Mapping):
        for key in messages:
            below = path if key == "_schema" else (*path, key)
            yield from _refusals(messages[key], path=below)
    else:
        for reason in messages:
            yield _refusal(reason, path=path)


def _refusal(reason: str, *, path: tuple[str | int, ...]) -> Refusal:
    code = reason.code if isinstance(reason, Reason) else "invalid"
    detail = reason if isinstance(reason, Sentence) else f"{_name(path)} {reason}"
    return Refusal(code, str(detail), pointer=pointer_to(*path))


def _name(path: tuple[str | int, ...]) -> str:
    """The last word of the path, kept short, with its places in lists: `cutters[0]`."""
    last_word = max(i for i, step in enumerate(path) if isinstance(step, str))
    return str(path[last_word])[:LONGEST_NAME] + "".join(f"[{step}]" for step in path[last_word + 1 :])
