"""Pages for people: the order form, the contract at `/docs`, and one page for each kind of problem."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, Any, NamedTuple

from flask import render_template

from .contract import contract
from .form import page_words
from .operations import OPERATIONS
from .problems import PROBLEMS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from .operations import Operation
    from .problems import Problem

_REF = "#/components/schemas/"
_BODY = ("Job", "Stamp", "ReviewAnswer", "Problem")  # what goes in and what comes out: the roots of all other schemas
_CATALOGUES = ("Cutter", "Metal", "Substrate", "Thread")


class Piece(NamedTuple):
    """A few words of a kind of value; `schema` where they name one."""

    words: str
    schema: str = ""


class Field(NamedTuple):
    """One field of a schema as it is shown."""

    name: str
    kind: list[Piece]
    default: str
    says: str


class Table(NamedTuple):
    """One schema as it is shown: the fields in the order of the alphabet, as the contract has them."""

    name: str
    says: str
    fields: list[Field]


@functools.cache
def reference_page() -> str:
    """The contract as a page: operations, fields of job and answers, kinds of problem. Needs the application."""
    document = contract()
    schemas = document["components"]["schemas"]
    return render_template(
        "reference.html",
        version=document["info"]["version"],
        says=document["info"]["description"],
        groups=_groups(OPERATIONS),
        tables=[_table(name, schemas[name]) for name in _reached(schemas)],
        problems=PROBLEMS,
    )


def form_page() -> str:
    """The page around the order form. Needs the application."""
    return render_template("form.html", words=page_words())


def problem_page(problem: Problem) -> str:
    """What a kind of problem means and what to do. Needs the application."""
    return render_template("problem.html", problem=problem)


def _groups(operations: Iterable[Operation]) -> Mapping[str, list[Operation]]:
    groups: dict[str, list[Operation]] = {
        "What is made of a mark": [],
        "What a job can name": [],
        "Beside the work": [],
    }
    made, named, beside = groups.values()
    for operation in operations:
        (made if operation.takes_a_mark else named if operation.is_guarded else beside).append(operation)
    return groups


def _reached(schemas: Mapping[str, Any]) -> Iterator[str]:
    """Every schema once, each before those that it names."""
    found: dict[str, None] = {}
    for root in (*_BODY, *_CATALOGUES):
        _follow(root, schemas, found)
    return iter(found)


def _follow(name: str, schemas: Mapping[str, Any], found: dict[str, None]) -> None:
    if name in found:
        return
    found[name] = None
    for field in schemas[name]["properties"].values():
        for piece in kind_of(field):
            if piece.schema:
                _follow(piece.schema, schemas, found)


def _table(name: str, schema: Mapping[str, Any]) -> Table:
    fields = [
        Field(key, kind_of(field), _plain(field["default"]) if "default" in field else "", field["description"])
        for key, field in schema["properties"].items()
    ]
    return Table(name, schema["description"], fields)


def kind_of(schema: Mapping[str, Any]) -> list[Piece]:
    """What values a schema takes, in words: of JSON Schema as much as our contract uses."""
    if "$ref" in schema:
        name = schema["$ref"].removeprefix(_REF)
        return [Piece(name, name)]
    for several in ("allOf", "oneOf", "anyOf"):
        if several in schema:
            return _joined([kind_of(option) for option in schema[several]])
    if "enum" in schema:
        return [Piece(", ".join(map(_plain, schema["enum"])))]
    kinds = schema.get("type", "any")
    return _joined([_of_type(kind, schema) for kind in ([kinds] if isinstance(kinds, str) else kinds)])


def _joined(options: list[list[Piece]]) -> list[Piece]:
    first, *others = options
    return [*first, *(piece for option in others for piece in (Piece(" or "), *option))]


def _of_type(kind: str, schema: Mapping[str, Any]) -> list[Piece]:
    match kind:
        case "array":
            least, most = schema.get("minItems", 0), schema.get("maxItems")
            count = f"list of {most} of: " if least == most else f"list of at most {most} of: " if most else "list of: "
            return [Piece(count), *kind_of(schema["items"])]
        case "object":
            return [Piece("object of: "), *kind_of(schema.get("additionalProperties") or {})]
        case "string":
            return [Piece(f"text of at most {schema['maxLength']} characters" if "maxLength" in schema else "text")]
        case "number" | "integer":
            return [Piece(" ".join(["whole number" if kind == "integer" else "number", *_bounds(schema)]))]
        case _:
            return [Piece({"boolean": "true or false"}.get(kind, kind))]


def _bounds(schema: Mapping[str, Any]) -> Iterator[str]:
    if "exclusiveMinimum" in schema:
        yield f"above {_plain(schema['exclusiveMinimum'])}"
    if "minimum" in schema:
        yield f"from {_plain(schema['minimum'])}"
    if "maximum" in schema:
        yield f"to {_plain(schema['maximum'])}"


def _plain(value: object) -> str:
    """A value as a job would write it, without quotes; nothing for an empty text."""
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "null"}[value]
    if isinstance(value, list):
        return ", ".join(map(_plain, value))
    return f"{value:g}" if isinstance(value, float) else str(value)
