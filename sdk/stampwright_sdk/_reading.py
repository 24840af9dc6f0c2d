"""JSON objects → frozen records, told by the records' own annotations. Fields not known here are left to `raw`.

A field that may be None is None also when the answer, of an older service, lacks it.
"""

from __future__ import annotations

import dataclasses
import types
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

Record = TypeVar("Record")


_KNOWN: dict[type, dict[str, Any]] = {}  # annotations are text until they are resolved, which takes a while


class Mismatch(ValueError):  # noqa: N818  never leaves this package
    """An answer does not have the shape of the record; the text names the place."""


def record(kind: type[Record], raw: object, at: str = "#", /, **more: object) -> Record:
    """Read `raw` as a `kind`; `more` are fields that do not come from the answer. Raises `Mismatch`."""
    found = _object(raw, at)
    read = {name: _field(found, name, hint, at) for name, hint in _hints(kind).items() if name not in more}
    return kind(**read, **more)


def _hints(kind: type[Any]) -> dict[str, Any]:
    if kind not in _KNOWN:
        _KNOWN[kind] = get_type_hints(kind)
    return _KNOWN[kind]


def _field(raw: dict[str, Any], name: str, hint: object, at: str) -> object:
    if name not in raw and type(None) not in get_args(hint):
        raise Mismatch(f"{at}/{name} is missing")
    return _value(raw.get(name), hint, f"{at}/{name}")


def _value(value: object, hint: Any, at: str) -> object:  # noqa: ANN401  a hint is any typing form
    origin = get_origin(hint)
    if origin in {Union, types.UnionType}:
        return None if value is None else _value(value, get_args(hint)[0], at)
    if origin is tuple:
        return _row(value, get_args(hint), at)
    if origin is dict:
        return {key: _value(item, get_args(hint)[1], f"{at}/{key}") for key, item in _object(value, at).items()}
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return record(hint, value, at)
    return _plain(value, str if origin is Literal else hint, at)


def _object(value: object, at: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise Mismatch(f"{at} is not an object")
    return value


def _row(value: object, hints: tuple[Any, ...], at: str) -> tuple[object, ...]:
    if not isinstance(value, list):
        raise Mismatch(f"{at} is not a list")
    if hints[-1] is not Ellipsis and len(value) != len(hints):
        raise Mismatch(f"{at} has {len(value)} items instead of {len(hints)}")
    each = hints[:1] * len(value) if hints[-1] is Ellipsis else hints
    return tuple(_value(item, hint, f"{at}/{i}") for i, (item, hint) in enumerate(zip(value, each, strict=True)))


def _plain(value: object, kind: type, at: str) -> object:
    if kind is float and isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
        raise Mismatch(f"{at} is {value!r}, not of type {kind.__name__}")
    return value
