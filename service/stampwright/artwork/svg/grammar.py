"""The grammar of path data (SVG 1.1, 8.3): what precedes an error is kept, as the standard asks."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING

from stampwright.artwork.limits import keep_within
from stampwright.artwork.paths import Path

from .values import NUMBER

if TYPE_CHECKING:
    from collections.abc import Callable

_COMMAND = re.compile(r"\s*([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)", re.ASCII)
_NUM = r"[+-]?+(?>\d++\.?\d*+|\.\d++)(?>[eE][+-]?+\d++)?+"
_SEPARATED = r"\s*+(?>,\s*+)?+"
# Possessive and atomic, so that a long wrong list cannot make the matcher try every way to cut a number in two.
_ARGUMENTS = re.compile(rf"\s*+(?>{_NUM}(?>{_SEPARATED}{_NUM})*+)?+\s*+", re.ASCII)
_ARC = re.compile(
    rf"({_NUM}){_SEPARATED}({_NUM}){_SEPARATED}({_NUM}){_SEPARATED}([01]){_SEPARATED}([01]){_SEPARATED}"
    rf"({_NUM}){_SEPARATED}({_NUM}){_SEPARATED}",
    re.ASCII,
)
_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}


@lru_cache(maxsize=256)
def path_of(text: str) -> Path:
    """Read path data; `broken` says that it ended in an error."""
    path = Path()
    pen = _Pen(path)
    at = 0
    while (match := _COMMAND.match(text, at)) and not path.broken:
        pen.draw(match[1], match[2])
        at = match.end()
        keep_within("segments", len(path.nodes))
    path.broken = path.broken or bool(text[at:].strip())
    path.end(closed=False)
    return path


class _Pen:
    """Draws commands; remembers the control point that S and T reflect."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._at = self._start = (0.0, 0.0)
        self._control: tuple[str, float, float] = ("", 0.0, 0.0)  # kind of curve it belongs to: C or Q
        self._begun = False

    def draw(self, command: str, text: str) -> None:
        kind = command.upper()
        if not self._begun and kind != "M":
            self._path.broken = True
            return
        self._begun = True
        if kind == "Z":
            self._close(text)
            return
        arguments, self._path.broken = _arcs_in(text) if kind == "A" else _sets_in(text, kind)
        draw: Callable[..., None] = getattr(self, f"_{kind.lower()}")
        relative = command != kind
        count = _COUNT[kind]
        for i in range(0, len(arguments), count):
            if kind == "M" and i:
                draw = self._l
            elif not self._path.open and kind != "M":
                self._path.move(*self._start)  # after Z the next subpath begins where the last one did
            dx, dy = self._at if relative else (0.0, 0.0)
            draw(dx, dy, *arguments[i : i + count])
            self._at = self._path.nodes[-1] if self._path.nodes else self._at

    def _close(self, text: str) -> None:
        self._path.end(closed=True)
        self._at, self._control = self._start, ("", 0.0, 0.0)
        self._path.broken = bool(text.strip())

    def _m(self, dx: float, dy: float, x: float, y: float) -> None:
        self._start = (x + dx, y + dy)
        self._path.move(*self._start)
        self._control = ("", 0.0, 0.0)

    def _l(self, dx: float, dy: float, x: float, y: float) -> None:
        self._path.line(x + dx, y + dy)
        self._control = ("", 0.0, 0.0)

    def _h(self, dx: float, _dy: float, x: float) -> None:
        self._l(dx, 0.0, x, self._at[1])

    def _v(self, _dx: float, dy: float, y: float) -> None:
        self._l(0.0, dy, self._at[0], y)

    def _c(self, dx: float, dy: float, x1: float, y1: float, x2: float, y2: float, x: float, y: float) -> None:  # noqa: PLR0913, PLR0917
        self._path.cubic(x1 + dx, y1 + dy, x2 + dx, y2 + dy, x + dx, y + dy)
        self._control = ("C", x2 + dx, y2 + dy)

    def _s(self, dx: float, dy: float, x2: float, y2: float, x: float, y: float) -> None:  # noqa: PLR0913, PLR0917
        x1, y1 = self._reflected("C")
        self._c(0.0, 0.0, x1, y1, x2 + dx, y2 + dy, x + dx, y + dy)

    def _q(self, dx: float, dy: float, x1: float, y1: float, x: float, y: float) -> None:  # noqa: PLR0913, PLR0917
        self._path.quadratic(x1 + dx, y1 + dy, x + dx, y + dy)
        self._control = ("Q", x1 + dx, y1 + dy)

    def _t(self, dx: float, dy: float, x: float, y: float) -> None:
        x1, y1 = self._reflected("Q")
        self._q(0.0, 0.0, x1, y1, x + dx, y + dy)

    def _a(self, dx: float, dy: float, *arc: float) -> None:
        rx, ry, turn_deg, large, sweep, x, y = arc
        self._path.arc(rx, ry, turn_deg, large == 1, sweep == 1, x + dx, y + dy)
        self._control = ("", 0.0, 0.0)

    def _reflected(self, kind: str) -> tuple[float, float]:
        x, y = self._at
        of, cx, cy = self._control
        return (2 * x - cx, 2 * y - cy) if of == kind else (x, y)


def numbers_in(text: str) -> tuple[list[float], bool]:
    """The numbers of a list, and whether an error follows them."""
    match = _ARGUMENTS.match(text)
    legal = match[0] if match else ""
    return list(map(float, NUMBER.findall(legal))), len(legal) < len(text)


def _sets_in(text: str, kind: str) -> tuple[list[float], bool]:
    """Whole sets of arguments for a command, and whether an error follows them."""
    numbers, broken = numbers_in(text)
    spare = len(numbers) % _COUNT[kind]
    return numbers[: len(numbers) - spare], broken or spare > 0 or not numbers


def _arcs_in(text: str) -> tuple[list[float], bool]:
    """Like `_sets_in`; the flags of an arc are single digits that need no separator."""
    numbers: list[float] = []
    at = len(text) - len(text.lstrip())
    while match := _ARC.match(text, at):
        numbers.extend(map(float, match.groups()))
        at = match.end()
    return numbers, bool(text[at:].strip()) or not numbers
