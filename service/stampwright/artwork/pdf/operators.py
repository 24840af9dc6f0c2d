"""The operators that bear on ink, each with what it does; all others are passed over (ISO 32000-1, table A.1)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .colour import GRAY, INKS, RGB
from .objects import whole

if TYPE_CHECKING:
    from collections.abc import Callable

    from stampwright.plane import Rule

    from .colour import Space
    from .interpreter import Interpreter

    Handler = Callable[[Interpreter, list[Any]], None]


def _plain(space: Space, *, stroke: bool) -> Handler:
    return lambda run, values: run.set_plain(space, values, stroke=stroke)


def _painting(*, fill: Rule | None = None, stroke: bool = False, close: bool = False) -> Handler:
    return lambda run, _: run.paint(fill=fill, stroke=stroke, close=close)


def _setting(attribute: str) -> Handler:
    return lambda run, values: setattr(run.state, attribute, values[0])


def _choosing(attribute: str) -> Handler:
    return lambda run, values: setattr(run.state, attribute, whole(values[0]))


def _spelling(attribute: str) -> Handler:
    return lambda run, values: run.text.set(attribute, values[0])


NUMBERS = {
    "cm": 6, "w": 1, "J": 1, "j": 1, "M": 1,
    "m": 2, "l": 2, "c": 6, "v": 4, "y": 4, "re": 4,
    "g": 1, "G": 1, "rg": 3, "RG": 3, "k": 4, "K": 4,
    "Tc": 1, "Tw": 1, "Tz": 1, "TL": 1, "Ts": 1, "Tr": 1, "Td": 2, "TD": 2, "Tm": 6,
}  # fmt: skip
"""How many numbers an operator takes; one with fewer is passed over, and said."""

HANDLERS: dict[str, Handler] = {
    "q": lambda run, _: run.save(),
    "Q": lambda run, _: run.restore(),
    "cm": lambda run, m: run.concatenate((m[0], m[1], m[2], m[3], m[4], m[5])),
    "w": _setting("width"),
    "J": _choosing("cap"),
    "j": _choosing("join"),
    "M": _setting("mitre_limit"),
    "d": lambda run, operands: run.set_dashes(operands),
    "gs": lambda run, operands: run.set_many(operands),
    "m": lambda run, at: run.trail.move(*at),
    "l": lambda run, at: run.trail.line(*at),
    "c": lambda run, at: run.trail.curve(*at),
    "v": lambda run, at: run.trail.curve_from_here(*at),
    "y": lambda run, at: run.trail.curve_to_there(*at),
    "h": lambda run, _: run.trail.close(),
    "re": lambda run, box: run.trail.rectangle(*box),
    "W": lambda run, _: run.clip_later("nonzero"),
    "W*": lambda run, _: run.clip_later("evenodd"),
    "n": _painting(),
    "f": _painting(fill="nonzero"),
    "F": _painting(fill="nonzero"),
    "f*": _painting(fill="evenodd"),
    "S": _painting(stroke=True),
    "s": _painting(stroke=True, close=True),
    "B": _painting(fill="nonzero", stroke=True),
    "B*": _painting(fill="evenodd", stroke=True),
    "b": _painting(fill="nonzero", stroke=True, close=True),
    "b*": _painting(fill="evenodd", stroke=True, close=True),
    "sh": lambda run, operands: run.shade(operands),
    "g": _plain(GRAY, stroke=False),
    "G": _plain(GRAY, stroke=True),
    "rg": _plain(RGB, stroke=False),
    "RG": _plain(RGB, stroke=True),
    "k": _plain(INKS, stroke=False),
    "K": _plain(INKS, stroke=True),
    "cs": lambda run, operands: run.set_space(operands, stroke=False),
    "CS": lambda run, operands: run.set_space(operands, stroke=True),
    "sc": lambda run, operands: run.set_colour(operands, stroke=False),
    "scn": lambda run, operands: run.set_colour(operands, stroke=False),
    "SC": lambda run, operands: run.set_colour(operands, stroke=True),
    "SCN": lambda run, operands: run.set_colour(operands, stroke=True),
    "Do": lambda run, operands: run.draw(operands),
    "BI": lambda run, _: run.refuse_image(),
    "BMC": lambda run, _: run.mark([]),
    "BDC": lambda run, operands: run.mark(operands),
    "EMC": lambda run, _: run.unmark(),
    "d1": lambda run, _: run.uncoloured(),
    "BT": lambda run, _: run.text.begin(),
    "ET": lambda run, _: run.text.end(),
    "Tc": _spelling("character_spacing"),
    "Tw": _spelling("word_spacing"),
    "TL": _spelling("leading"),
    "Ts": _spelling("rise"),
    "Tz": lambda run, values: run.text.set("scale", values[0] / 100),
    "Tr": lambda run, values: run.text.set("mode", whole(values[0])),
    "Tf": lambda run, operands: run.text.select(operands),
    "Td": lambda run, by: run.text.next_line(*by),
    "TD": lambda run, by: run.text.next_line(*by, leading=True),
    "Tm": lambda run, m: run.text.place((m[0], m[1], m[2], m[3], m[4], m[5])),
    "T*": lambda run, _: run.text.new_line(),
    "Tj": lambda run, operands: run.text.show(operands[-1:]),
    "TJ": lambda run, operands: run.text.show(operands[-1] if operands and isinstance(operands[-1], list) else []),
    "'": lambda run, operands: run.text.show_next(operands),
    '"': lambda run, operands: run.text.show_spaced(operands),
}
