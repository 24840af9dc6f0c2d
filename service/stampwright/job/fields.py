"""Fields that take a value only as it is: a number is a number, a flag a flag, and each refusal has a code."""

# ruff: noqa: ANN401  marshmallow hands JSON values and its own options through every method
from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from marshmallow import Schema, ValidationError, fields

from stampwright.base import StampwrightError

if TYPE_CHECKING:
    from typing import Self


class Reason(str):
    """Words of a refusal that follow the name of the field ("must be a number"), with a stable code."""

    __slots__ = ("code",)
    code: str

    def __new__(cls, code: str, says: str) -> Self:
        """Pair `says` with `code`."""
        reason = super().__new__(cls, says)
        reason.code = code
        return reason

    def format(self, *args: object, **kwargs: object) -> str:  # noqa: ARG002  marshmallow formats every message
        """Return the reason itself, so that marshmallow does not lose the code."""
        return self


class Sentence(Reason):
    """A reason that names its subject itself."""

    __slots__ = ()


LONGEST_TEXT = 64  # characters of any name in a job

Messages = dict[str, str | list[Any] | dict[Any, Any]]

COMMON: Messages = {
    "required": Reason("missing", "is missing"),
    "null": Reason("wrong-type", "may be left out, but not null"),
}


def told(says: str, unit: str = "", **more: object) -> dict[str, object]:
    """What the contract publishes of a field: its meaning, with the unit, and whatever else its kind has to tell."""
    words = f"{says} [{unit}]" if unit else says
    return ({"description": words} if words else {}) | more


class Number(fields.Float):
    """A finite JSON number within bounds; text, true and false are none. The bounds go into the contract."""

    default_error_messages = COMMON | {
        "invalid": Reason("wrong-type", "must be a number, without quotes"),
        "too_large": Reason("not-finite", "must be a finite number"),
        "special": Reason("not-finite", "must be a finite number"),
    }

    def __init__(
        self, says: str, *, most: float, least: float | None = None, above: float = 0.0, unit: str = "", **options: Any
    ) -> None:
        """Accept `least` to `most`, or more than `above` to `most` when no `least` is given."""
        low = {"exclusiveMinimum": above} if least is None else {"minimum": least}
        super().__init__(metadata=told(says, unit, **low, maximum=most), **options)
        self.least, self.above, self.most, self.unit = least, above, most, unit

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> float:
        if not is_number(value):
            raise self.make_error("invalid")
        number: float = super()._deserialize(value, attr, data, **kwargs)
        if not math.isfinite(number):
            raise self.make_error("special")
        if number > self.most or (number <= self.above if self.least is None else number < self.least):
            raise ValidationError(
                Reason("out-of-range", f"must be {self.bounds}; it is {number:g} {self.unit}".rstrip())
            )
        return number

    @property
    def bounds(self) -> str:
        """The bounds in words, with the unit."""
        low = f"more than {self.above:g}" if self.least is None else f"at least {self.least:g}"
        return f"{low} and at most {self.most:g} {self.unit}".rstrip()


class Length(Number):
    """A length, or a feed in lengths per minute: the only numbers that the job's unit touches."""

    def __init__(self, says: str, *, unit: str = "mm", **options: Any) -> None:
        """Give bounds in mm (`unit` says when it is mm per minute)."""
        super().__init__(says, unit=unit, **options)


class Whole(Number):
    """A whole number; 3.0 is whole, as JSON has it, 2.5 is not."""

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> int:
        number = super()._deserialize(value, attr, data, **kwargs)
        if not is_number(value) or int(value) != value:
            raise ValidationError(Reason("not-whole", f"must be a whole number; it is {value:g}"))
        return int(number)


class Flag(fields.Boolean):
    """True or false, nothing that merely resembles them."""

    default_error_messages = COMMON | {"invalid": Reason("wrong-type", "must be true or false")}

    def __init__(self, says: str) -> None:
        """Take true and false."""
        super().__init__(metadata=told(says))

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> bool:
        if value is not True and value is not False:
            raise self.make_error("invalid")
        return bool(super()._deserialize(value, attr, data, **kwargs))


class Choice(fields.String):
    """One of a few words."""

    default_error_messages = COMMON | {"invalid": Reason("wrong-type", "must be text")}

    def __init__(
        self, says: str, *words: str, nullable: bool = False, default: str | None = None, **options: Any
    ) -> None:
        """Accept `words` only. `default` is for the contract, where no record gives it."""
        enum: list[str | None] = [*words, None] if nullable else [*words]
        more = {} if default is None else {"default": default}
        super().__init__(metadata=told(says, enum=enum, **more), allow_none=nullable, **options)
        self.words = words

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        word = str(super()._deserialize(value, attr, data, **kwargs))
        if word not in self.words:
            raise ValidationError(Reason("not-offered", f"must be one of: {', '.join(self.words)}"))
        return word


class Text(fields.String):
    """Short text that matches a pattern."""

    default_error_messages = COMMON | {"invalid": Reason("wrong-type", "must be text")}

    def __init__(self, says: str, pattern: str, must: str, *, most: int = LONGEST_TEXT, **options: Any) -> None:
        """Accept what `pattern` matches in full, at most so many characters; `must` refuses all else."""
        super().__init__(metadata=told(says, pattern=f"^{pattern}$", maxLength=most), **options)
        self.pattern, self.must, self.most = pattern, must, most

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        text = str(super()._deserialize(value, attr, data, **kwargs))
        if len(text) > self.most:
            says = f"may have at most {self.most} characters; it has {len(text)}"
            raise ValidationError(Reason("out-of-range", says))
        if not re.fullmatch(self.pattern, text):
            raise ValidationError(Reason("wrong-form", self.must))
        return text


class Name(fields.String):
    """The name of something that `find` knows; its refusal lists what exists."""

    default_error_messages = COMMON | {"invalid": Reason("wrong-type", "must be text")}

    def __init__(self, says: str, find: Callable[[str], object], *, words: Iterable[str]) -> None:
        """Accept what `find` finds without a `StampwrightError`; `words` are for the contract."""
        super().__init__(metadata=told(says, enum=list(words)))
        self.find = find

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        name = str(super()._deserialize(value, attr, data, **kwargs))
        found(self.find, name)
        return name


class WordOrObject(fields.Nested):
    """Either a word that `read` understands, or an object of `schema`."""

    default_error_messages = COMMON | {
        "type": Reason("wrong-type", "must be a name or an object"),
    }

    def __init__(
        self, schema: type[Schema], says: str = "", *, read: Callable[[str], object], words: Iterable[str]
    ) -> None:
        """Turn a word into what `read` returns; its refusal refuses. `words` are for the contract."""
        super().__init__(schema, metadata=told(says))
        self.read, self.words = read, tuple(words)

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, partial: Any = None, **kwargs: Any
    ) -> Any:
        if isinstance(value, str):
            return found(self.read, value)
        if not isinstance(value, Mapping):
            raise self.make_error("type")
        return super()._deserialize(value, attr, data, partial, **kwargs)


def found(find: Callable[[str], object], name: str) -> object:
    """Return `find(name)`, its refusal told in marshmallow's way."""
    try:
        return find(name)
    except StampwrightError as error:
        raise ValidationError([Sentence(r.code, r.detail) for r in error.refusals]) from error


def is_number(value: object) -> bool:
    """Whether JSON calls `value` a number: true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool)
