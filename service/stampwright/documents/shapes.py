"""The fields our answers are made of. Each says in words what it holds, for `openapi.yaml` publishes these schemas."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from marshmallow import INCLUDE, Schema, fields, validate

if TYPE_CHECKING:
    from collections.abc import Sequence

TIDY_PLACES = 6
"""Decimals of lengths and coordinates: a nanometre. Areas, volumes and shares are never rounded, so that a caller can
check them against geometry of his own."""


class AnswerSchema(Schema):
    """Root of every answer: callers accept fields they do not know, so that an answer may grow."""

    class Meta:
        """Read by the schema itself."""

        unknown = INCLUDE


class Tidy(fields.Float):
    """A length or coordinate, rounded to a nanometre."""

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> str | float | None:  # noqa: ANN401  the library's own signature
        return super()._serialize(None if value is None else round(float(value), TIDY_PLACES), attr, obj, **kwargs)


def text(says: str, *, nullable: bool = False, one_of: Sequence[str] = ()) -> fields.String:
    """Text, or one of a few words."""
    choice = validate.OneOf([*one_of, None] if nullable else list(one_of)) if one_of else None
    return fields.String(required=True, allow_none=nullable, validate=choice, metadata={"description": says})


def number(says: str, *, nullable: bool = False) -> fields.Float:
    """A number, handed on as it was computed."""
    return fields.Float(required=True, allow_none=nullable, metadata={"description": says})


def length(says: str, *, nullable: bool = False) -> Tidy:
    """A length [mm]."""
    return Tidy(required=True, allow_none=nullable, metadata={"description": says})


def whole(says: str, *, nullable: bool = False) -> fields.Integer:
    """A count."""
    return fields.Integer(required=True, strict=True, allow_none=nullable, metadata={"description": says})


def flag(says: str) -> fields.Boolean:
    """Yes or no."""
    return fields.Boolean(required=True, metadata={"description": says})


def tuple_of(count: int, says: str, *, nullable: bool = False) -> fields.List[Any]:
    """Exactly `count` numbers: a point, a box, a size, a range from low to high."""
    return fields.List(
        Tidy(),
        required=True,
        allow_none=nullable,
        validate=validate.Length(equal=count),
        metadata={"description": says},
    )


def box(says: str) -> fields.List[Any]:
    """Two corners in space, lowest first."""
    return fields.List(
        fields.List(Tidy(), validate=validate.Length(equal=3)),
        required=True,
        validate=validate.Length(equal=2),
        metadata={"description": says},
    )


def texts(says: str) -> fields.List[Any]:
    """Any number of texts, in order."""
    return fields.List(fields.String(), required=True, metadata={"description": says})


def table(values: fields.Field[Any], says: str) -> fields.Dict:
    """Words and what belongs to them."""
    return fields.Dict(keys=fields.String(), values=values, required=True, metadata={"description": says})


def part(schema: type[Schema], says: str, *, nullable: bool = False) -> fields.Nested:
    """One object of the answer."""
    return fields.Nested(schema, required=True, allow_none=nullable, metadata={"description": says})


def parts(schema: type[Schema], says: str) -> fields.List[Any]:
    """Any number of objects, in order."""
    return fields.List(fields.Nested(schema), required=True, metadata={"description": says})
