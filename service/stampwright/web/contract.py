"""Writes the contract, OpenAPI 3.1, from the table of operations and the schemas that read and write.

`python -m stampwright contract > openapi.yaml`: the same bytes each time.
"""

from __future__ import annotations

import functools
import http
import inspect
import json
from typing import TYPE_CHECKING, Any

import yaml
from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin

from stampwright import __version__
from stampwright.artwork import MOST_FONTS
from stampwright.drawings import MOST_TILES
from stampwright.job import JobSchema, Whole, WordOrObject

from .bodies import FORM, JSON
from .examples import BUSY_MACHINE, JOB, MARK
from .many import MOST_LETTERS
from .operations import OPERATIONS, Answer, Operation, PathStep
from .problems import PROBLEMS
from .refusals import PROBLEM_JSON, ProblemSchema

if TYPE_CHECKING:
    from collections.abc import Iterable

    from marshmallow import Schema, fields

DESCRIPTION = (
    "A maker of branding irons posts a customer's mark (SVG, PDF or DXF) and a job (JSON) and gets what must be cut: "
    "the mirrored solid, a review of what will disappoint, a cutting plan, heat and use. Lengths are millimetres. The "
    "service keeps nothing: the same request gives the same bytes, so repeating one is always safe."
)
KEY = {"type": "http", "scheme": "bearer", "description": "a key, where whoever runs the service asks for one"}
OF_GUARDED = ("key-required", "too-many-requests")
IF_NONE_MATCH = {
    "name": "If-None-Match",
    "in": "header",
    "description": "the ETag of an answer in hand",
    "schema": {"type": "string"},
}
_ENCODINGS = (
    ("job", JSON),
    ("mark", "image/svg+xml, application/pdf, image/vnd.dxf, application/octet-stream"),
    ("font", "font/ttf, font/otf, font/collection, font/woff, font/woff2, application/octet-stream"),  # RFC 8081
)
OF_ALL = ("internal-fault",)  # what any operation may answer


@functools.cache
def contract_text() -> str:
    """The whole document as YAML."""
    return str(yaml.dump(contract(), sort_keys=True, width=120, allow_unicode=True))


def contract() -> dict[str, Any]:
    """The whole document as plain values."""
    plain: dict[str, Any] = json.loads(json.dumps(_document()))  # no tuples, ordered dicts and shared parts
    return plain


def _document() -> dict[str, Any]:
    plugin = MarshmallowPlugin(schema_name_resolver=_component_name)
    spec = APISpec("stampwright", __version__, "3.1.0", info={"description": DESCRIPTION}, plugins=[plugin])
    converter: Any = plugin.converter  # apispec leaves these two methods without types
    converter.map_to_openapi_type(Whole, "integer", None)
    converter.add_attribute_function(_word_or_object)
    spec.components.security_scheme("key", KEY)
    for slug in PROBLEMS:
        spec.components.response(_problem_name(slug), _problem(slug))
    for operation in OPERATIONS:
        path = operation.path.replace("<", "{").replace(">", "}")
        spec.path(path, operations={operation.method.lower(): _operation(operation)})
    document = dict(spec.to_dict())
    for (schema, *_), name in converter.refs.items():
        document["components"]["schemas"][name]["description"] = _of_class(schema)
    return document


def _of_class(schema: type[Schema]) -> str:
    return inspect.cleandoc(schema.__doc__ or "").replace("\n", " ")


def _component_name(schema: type[Schema] | Schema) -> str:
    kind = schema if isinstance(schema, type) else type(schema)
    return kind.__name__.removesuffix("Schema")


def _word_or_object(_converter: object, field: fields.Field[Any], ret: dict[str, Any], **_: object) -> dict[str, Any]:
    """Publish a field that takes a word or an object as what it is."""
    if isinstance(field, WordOrObject):
        ret["oneOf"] = [{"type": "string", "enum": list(field.words)}, {"$ref": ret.pop("$ref")}]
    return {}


def _operation(operation: Operation) -> dict[str, Any]:
    described: dict[str, Any] = {
        "operationId": operation.name,
        "summary": operation.summary,
        "responses": _responses(operation),
    }
    if operation.is_guarded:
        described["security"] = [{}, {"key": []}]  # without a key, or with one: as the service is set up
    if operation.takes_a_mark:
        described["requestBody"] = _many_body() if operation.takes_many else _request_body()
    if operation.path_parameters:
        described["parameters"] = [_parameter(name, step) for name, step in operation.path_parameters.items()]
    if query := operation.query:
        schema = {"type": "string", "enum": list(query.words), "default": query.words[0]}
        described["parameters"] = [{"name": query.name, "in": "query", "description": query.says, "schema": schema}]
    if operation.keeps:
        described.setdefault("parameters", []).append(IF_NONE_MATCH)
    return described


def _responses(operation: Operation) -> dict[str, Any]:
    guarded = OF_GUARDED if operation.is_guarded else ()
    refused = _refusals([*operation.refuses, *_found(operation), *guarded, *OF_ALL])
    unchanged = {"304": {"description": "what `If-None-Match` names is still the answer"}}
    return {"200": _answers(operation)} | (unchanged if operation.keeps else {}) | refused


def _found(operation: Operation) -> Iterable[str]:
    return ("not-found",) if operation.path_parameters else ()


def _parameter(name: str, step: PathStep) -> dict[str, Any]:
    schema = {"type": "string", "enum": list(step.words)}
    return {"name": name, "in": "path", "required": True, "description": step.says, "schema": schema}


def _answers(operation: Operation) -> dict[str, Any]:
    says = "; or ".join(answer.says for answer in operation.answers.values())
    return {
        "description": says,
        "headers": {name: {"description": says, "schema": {"type": "string"}} for name, says in _headers(operation)},
        "content": {media: {"schema": _schema(answer)} for media, answer in operation.answers.items()},
    }


def _headers(operation: Operation) -> Iterable[tuple[str, str]]:
    yield "X-Request-Id", "the request's id"
    yield "Server-Timing", "milliseconds in all, and of a job by stage"
    if operation.keeps or operation.takes_a_mark:
        yield "ETag", "a strong validator: the same bytes, the same tag"
        yield "Repr-Digest", "SHA-256 of the bytes (RFC 9530)"


def _schema(answer: Answer) -> Any:  # noqa: ANN401  a schema class, which apispec turns into a reference
    if answer.schema is None:
        return {}
    return {"type": "array", "items": answer.schema} if answer.many else answer.schema


def _refusals(slugs: list[str]) -> dict[str, Any]:
    """One response for each status; kinds that share a status share a response."""
    statuses: dict[str, Any] = {}
    for slug in slugs:
        statuses.setdefault(str(PROBLEMS[slug].status), []).append(slug)
    return {status: _problem_response(same) for status, same in statuses.items()}


def _problem_response(slugs: list[str]) -> Any:  # noqa: ANN401  a name or a response
    if len(slugs) == 1:
        return _problem_name(slugs[0])
    says = "; ".join(f"{PROBLEMS[slug].title} (`/problems/{slug}`)" for slug in slugs)
    return {"description": says, "content": {PROBLEM_JSON: {"schema": ProblemSchema}}}


def _problem_name(slug: str) -> str:
    return "Problem" + slug.title().replace("-", "")


def _problem(slug: str) -> dict[str, Any]:
    problem = PROBLEMS[slug]
    response: dict[str, Any] = {
        "description": f"{problem.title} (`/problems/{slug}`). {problem.means} {problem.remedy}",
        "content": {PROBLEM_JSON: {"schema": ProblemSchema}},
    }
    if problem.status in {http.HTTPStatus.TOO_MANY_REQUESTS, http.HTTPStatus.SERVICE_UNAVAILABLE}:
        says = {"description": "seconds after which to ask again", "schema": {"type": "integer"}}
        response["headers"] = {"Retry-After": says}
    return response


def _request_body() -> dict[str, Any]:
    return {
        "required": True,
        "content": {
            JSON: {"schema": _json_body(), "examples": _examples()},
            FORM: {"schema": _form_body(), "encoding": {name: {"contentType": kinds} for name, kinds in _ENCODINGS}},
        },
    }


def _many_body() -> dict[str, Any]:
    name = {"type": "string", "maxLength": MOST_LETTERS, "description": "shown below the print"}
    entry = _json_body()
    entry["properties"] = {"name": name} | {key: entry["properties"][key] for key in ("mark", "mark_base64", "job")}
    fonts = _fonts({"type": "string", "contentEncoding": "base64"})
    schema = {
        "type": "object",
        "properties": {
            "marks": {"type": "array", "minItems": 1, "maxItems": MOST_TILES, "items": entry},
            "fonts_base64": fonts,
        },
        "required": ["marks"],
        "additionalProperties": False,
    }
    example = {"summary": "Two marks", "value": {"marks": [{"name": "Rim", "mark": MARK}, {"mark": MARK, "job": JOB}]}}
    return {"required": True, "content": {JSON: {"schema": schema, "examples": {"two_marks": example}}}}


def _json_body() -> dict[str, Any]:
    text = {"type": "string", "description": "the drawing, SVG or ASCII DXF"}
    coded = {"type": "string", "contentEncoding": "base64", "description": "the drawing of any kind, as base64"}
    font = {"type": "string", "contentEncoding": "base64"}
    return {
        "type": "object",
        "properties": {"mark": text, "mark_base64": coded, "job": JobSchema, "fonts_base64": _fonts(font)},
        "oneOf": [{"required": ["mark"]}, {"required": ["mark_base64"]}],
        "additionalProperties": False,
    }


def _form_body() -> dict[str, Any]:
    file = {"type": "string", "description": "the drawing as a file part; its content says what it is, not its type"}
    return {
        "type": "object",
        "properties": {"mark": file, "job": JobSchema, "font": _fonts({"type": "string"})},
        "required": ["mark"],
        "additionalProperties": False,
    }


def _fonts(items: dict[str, str]) -> dict[str, Any]:
    says = "fonts that the text of the mark is set in: TrueType, OpenType, a collection, WOFF or WOFF2"
    return {"type": "array", "maxItems": MOST_FONTS, "items": items, "description": says}


def _examples() -> dict[str, Any]:
    return {
        "shortest": {"summary": "A mark on the default head", "value": {"mark": MARK}},
        "round_head": {"summary": "A round head in inches", "value": {"mark": MARK, "job": JOB}},
        "own_machine": {"summary": "Own cutters and machine", "value": {"mark": MARK, "job": BUSY_MACHINE}},
    }
