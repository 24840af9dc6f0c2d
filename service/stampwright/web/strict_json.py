"""JSON as RFC 8259 and RFC 7493 have it: no NaN, no name twice, no half characters, no bottomless nesting."""

from __future__ import annotations

import json
from typing import Any

from werkzeug.exceptions import BadRequest

from stampwright.base import Refusal


class Malformed(BadRequest):
    """The body is not what its media type says."""

    def __init__(self, code: str, detail: str, *, pointer: str | None = None) -> None:
        super().__init__(description=detail)
        self.refusals = (Refusal(code, detail, pointer=pointer),)


def parse_json(text: bytes, *, pointer: str = "") -> Any:  # noqa: ANN401  any JSON value
    """Parse `text`, which stands at `pointer` of the request. Raises `Malformed` with the place in the text."""
    try:
        value = json.loads(text.decode(), parse_constant=_no_constant, object_pairs_hook=_no_name_twice)
        json.dumps(value, ensure_ascii=False).encode()  # the encoder finds half a surrogate pair at once
    except UnicodeDecodeError as error:
        raise Malformed("not-utf-8", f"the JSON is not UTF-8: byte {error.start}", pointer=pointer) from error
    except UnicodeEncodeError as error:
        says = "a text holds half a surrogate pair (\\ud800 to \\udfff alone), which is no character"
        raise Malformed("lone-surrogate", says, pointer=pointer) from error
    except json.JSONDecodeError as error:
        says = f"the JSON breaks off at line {error.lineno}, column {error.colno}: {error.msg}"
        raise Malformed("broken-json", says, pointer=pointer) from error
    except RecursionError as error:
        raise Malformed("too-deep", "the JSON is nested too deeply; a job has 4 levels", pointer=pointer) from error
    except ValueError as error:  # our own hooks, and integers of more digits than Python reads
        raise Malformed("broken-json", f"the JSON is not usable: {error}", pointer=pointer) from error
    return value


def _no_constant(word: str) -> None:
    raise ValueError(f"{word} is no JSON number")


def _no_name_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    whole = dict(pairs)
    if len(whole) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for i, name in enumerate(names) if name in names[:i])
        raise ValueError(f"the name {twice[:60]!r} stands twice in one object")
    return whole
