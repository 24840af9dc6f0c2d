"""Shapes by which style sheets clip (CSS Shapes 1, section 3; CSS Masking 1, 5.1), drawn in their reference box."""

from __future__ import annotations

import itertools
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

import tinycss2

from stampwright.artwork.affine import shift
from stampwright.artwork.paths import Path

from .grammar import path_of
from .lengths import Length, extent, length
from .shapes import oval_path
from .viewport import View, px_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from stampwright.base import Bounds
    from stampwright.plane import Rule

    from .cascade import Style

_BOXES = {  # of an element without a box of its own in the layout: CSS Masking 1, 5.1
    "fill-box": "fill-box",
    "stroke-box": "stroke-box",
    "view-box": "view-box",
    "content-box": "fill-box",
    "padding-box": "fill-box",
    "border-box": "stroke-box",
    "margin-box": "stroke-box",
}
_SIDES = frozenset({"closest-side", "farthest-side"})
_ALONG = {"left": ("x", 0.0), "right": ("x", 1.0), "top": ("y", 0.0), "bottom": ("y", 1.0)}
_WHOLE = Length(100.0, "%")


class Box(NamedTuple):
    """A reference box in px of the user space, and the style whose font lengths refer to."""

    x: float
    y: float
    width: float
    height: float
    style: Style

    def px(self, found: Length, axis: str) -> float:
        """A length in px; shares are of the box."""
        return px_of(found, axis, view=View(self.width, self.height), style=self.style)


class Region(NamedTuple):
    """A shape: the kind of box it lies in, how it is drawn there, and the rule that fills it."""

    box: str
    draw: Callable[[Box], Path]
    rule: Rule = "nonzero"

    def path(self, bounds: Bounds, style: Style) -> Path:
        """Its path in the reference box with these bounds."""
        x0, y0, x1, y1 = bounds
        return self.draw(Box(x0, y0, x1 - x0, y1 - y0, style)).moved(shift(x0, y0))


def region(text: str) -> Region | None:
    """Read a shape, a box, or both in either order; None when it is none, or of a kind that is not read."""
    tokens = _solid(tinycss2.parse_component_value_list(text, skip_comments=True))
    boxes = [_BOXES.get(each.lower_value) for each in tokens if each.type == "ident"]
    functions = [each for each in tokens if each.type == "function"]
    if (
        None in boxes
        or len(boxes) > 1
        or len(functions) > 1
        or len(boxes) + len(functions) != len(tokens)
        or not tokens
    ):
        return None
    found = _drawn(functions[0]) if functions else (partial(_inset, edges=(Length(0.0),) * 4, radii=()), "nonzero")
    return None if found is None else Region((*boxes, "stroke-box")[0] or "stroke-box", *found)


def _drawn(function: Any) -> tuple[Callable[[Box], Path], Rule] | None:  # noqa: ANN401  a token of the library
    name, tokens = function.lower_name, function.arguments
    if name in {"polygon", "path"}:
        parts = _at_commas(tokens)
        rule: Rule = "nonzero"
        if parts and _word(parts[0]) in {"nonzero", "evenodd"}:
            rule = "evenodd" if _word(parts.pop(0)) == "evenodd" else "nonzero"
        draw = _polygon_of(parts) if name == "polygon" else _path_of(parts)
        return None if draw is None else (draw, rule)
    makers = {"inset": _inset_of, "rect": _rect_of, "xywh": _xywh_of, "circle": _round_of, "ellipse": _round_of}
    draw = makers[name](_solid(tokens), name) if name in makers else None
    return None if draw is None else (draw, "nonzero")


def _solid(tokens: Iterable[Any]) -> list[Any]:
    return [each for each in tokens if each.type not in {"whitespace", "comment"}]


def _at_commas(tokens: Sequence[Any]) -> list[list[Any]]:
    return [_solid(part) for comma, part in itertools.groupby(tokens, lambda each: each == ",") if not comma]


def _word(tokens: Sequence[Any]) -> str:
    return tokens[0].lower_value if len(tokens) == 1 and tokens[0].type == "ident" else ""


def _at_word(tokens: list[Any], word: str) -> tuple[list[Any], list[Any] | None]:
    """What stands before a word and after it; None without it."""
    place = next((i for i, each in enumerate(tokens) if each.type == "ident" and each.lower_value == word), None)
    return (tokens, None) if place is None else (tokens[:place], tokens[place + 1 :])


def _read(
    tokens: Sequence[Any], *counts: int, read: Callable[[str], Length | None] = length
) -> tuple[Length, ...] | None:
    """So many lengths, each a token."""
    found = [read(each.serialize()) for each in tokens]
    known = tuple(each for each in found if each is not None)
    return known if len(known) == len(found) and len(found) in counts else None


def _four(found: tuple[Length, ...]) -> tuple[Length, ...]:
    """Four values of one to four, as CSS repeats them around a box."""
    return (found * 4)[:4] if len(found) != 3 else (*found, found[1])


def _radii(tokens: list[Any] | None) -> tuple[tuple[Length, ...], ...] | None:
    """Radii of four corners along x and along y; none at all without the word `round`; None when they are wrong."""
    if tokens is None:
        return ()
    cut = next((i for i, each in enumerate(tokens) if each == "/"), len(tokens))
    along = _read(tokens[:cut], 1, 2, 3, 4, read=extent)
    down = _read(tokens[cut + 1 :], 1, 2, 3, 4, read=extent) if cut < len(tokens) else along
    return None if along is None or down is None else (_four(along), _four(down))


def _inset_of(tokens: list[Any], _name: str) -> Callable[[Box], Path] | None:
    before, after = _at_word(tokens, "round")
    edges, radii = _read(before, 1, 2, 3, 4), _radii(after)
    return None if edges is None or radii is None else partial(_inset, edges=_four(edges), radii=radii)


def _rect_of(tokens: list[Any], _name: str) -> Callable[[Box], Path] | None:
    before, after = _at_word(tokens, "round")
    usual = iter((Length(0.0), _WHOLE, _WHOLE, Length(0.0)))
    edges = [
        next(usual) if _word([each]) == "auto" else (next(usual), length(each.serialize()))[1] for each in before[:4]
    ]
    radii = _radii(after)
    known = [each for each in edges if each is not None]
    if len(before) != 4 or len(known) < 4 or radii is None:
        return None

    def draw(box: Box) -> Path:
        top, right, bottom, left = (box.px(each, axis) for each, axis in zip(known, "yxyx", strict=True))
        return _rounded(box, left, top, max(right, left), max(bottom, top), radii)

    return draw


def _xywh_of(tokens: list[Any], _name: str) -> Callable[[Box], Path] | None:
    before, after = _at_word(tokens, "round")
    corner, size, radii = _read(before[:2], 2), _read(before[2:], 2, read=extent), _radii(after)
    if corner is None or size is None or radii is None:
        return None

    def draw(box: Box) -> Path:
        x, y, width, height = (box.px(each, axis) for each, axis in zip((*corner, *size), "xyxy", strict=True))
        return _rounded(box, x, y, x + width, y + height, radii)

    return draw


def _inset(box: Box, *, edges: Sequence[Length], radii: Sequence[tuple[Length, ...]]) -> Path:
    top, right, bottom, left = (box.px(each, axis) for each, axis in zip(edges, "yxyx", strict=True))
    return _rounded(box, left, top, box.width - right, box.height - bottom, radii)


def _rounded(  # noqa: PLR0913, PLR0917  a rectangle by its sides
    box: Box, x0: float, y0: float, x1: float, y1: float, radii: Sequence[tuple[Length, ...]]
) -> Path:
    """A rectangle with rounded corners; where radii meet, all shrink alike (CSS Backgrounds 3, 4.5)."""
    path = Path()
    if x1 <= x0 or y1 <= y0:
        return path
    corners = [(0.0, 0.0)] * 4  # from the top left one, clockwise
    if radii:
        across, down = ([box.px(each, axis) for each in part] for part, axis in zip(radii, "xy", strict=True))
        sides = [(x1 - x0, across[:2]), (y1 - y0, down[1:3]), (x1 - x0, across[2:]), (y1 - y0, (down[0], down[3]))]
        shrunk = min([1.0, *(side / sum(both) for side, both in sides if sum(both) > 0)])
        pairs = zip(across, down, strict=True)
        corners = [(rx * shrunk, ry * shrunk) if min(rx, ry) > 0 else (0.0, 0.0) for rx, ry in pairs]
    (a, b), (c, d), (e, f), (g, h) = corners
    for radius, start, end in (
        (corners[0], (x0, y0 + b), (x0 + a, y0)),
        (corners[1], (x1 - c, y0), (x1, y0 + d)),
        (corners[2], (x1, y1 - f), (x1 - e, y1)),
        (corners[3], (x0 + g, y1), (x0, y1 - h)),
    ):
        path.line(*start)
        if radius[0]:
            path.arc(*radius, 0.0, False, True, *end)  # noqa: FBT003  large, sweep
    path.end(closed=True)
    return path


class _Place(NamedTuple):
    """A coordinate: a length from the near side of the box, or from the far one."""

    found: Length
    from_far: bool

    def px(self, box: Box, axis: str) -> float:
        at = box.px(self.found, axis)
        return (box.width if axis == "x" else box.height) - at if self.from_far else at


_MIDDLE = _Place(Length(50.0, "%"), from_far=False)


def _position(tokens: Sequence[Any]) -> tuple[_Place, _Place] | None:
    """A position (CSS Values 4, 9.4) of one, two or four parts."""
    words = [each.lower_value if each.type == "ident" else "" for each in tokens]
    if len(tokens) == 4:
        found = {}
        for word, offset in ((words[0], tokens[1]), (words[2], tokens[3])):
            size = length(offset.serialize())
            if word not in _ALONG or size is None:
                return None
            axis, far = _ALONG[word]
            found[axis] = _Place(size, from_far=far > 0)
        return (found["x"], found["y"]) if len(found) == 2 else None
    if not 1 <= len(tokens) <= 2:
        return None
    if len(tokens) == 2 and all(words) and (words[0] in {"top", "bottom"} or words[1] in {"left", "right"}):
        tokens, words = tokens[::-1], words[::-1]
    axes = "y" if len(tokens) == 1 and words[0] in {"top", "bottom"} else "xy"
    places = {"x": _MIDDLE, "y": _MIDDLE}
    for axis, word, token in zip(axes, words, tokens, strict=False):
        size = _MIDDLE.found if word == "center" else length(token.serialize())
        if word in _ALONG and _ALONG[word][0] == axis:
            size = Length(100.0 * _ALONG[word][1], "%")
        if size is None:
            return None
        places[axis] = _Place(size, from_far=False)
    return places["x"], places["y"]


def _round_of(tokens: list[Any], name: str) -> Callable[[Box], Path] | None:
    """A circle or an ellipse."""
    before, after = _at_word(tokens, "at")
    centre = (_MIDDLE, _MIDDLE) if after is None else _position(after)
    radii = [_word([each]) if _word([each]) in _SIDES else extent(each.serialize()) for each in before]
    wanted = 1 if name == "circle" else 2
    if centre is None or None in radii or len(radii) not in {0, wanted}:
        return None
    radii = radii or ["closest-side"] * wanted

    def draw(box: Box) -> Path:
        cx, cy = centre[0].px(box, "x"), centre[1].px(box, "y")
        across, down = (abs(cx), abs(box.width - cx)), (abs(cy), abs(box.height - cy))
        reaches = [(*across, *down)] if name == "circle" else [across, down]
        axes = ["other"] if name == "circle" else ["x", "y"]
        found = [_radius(box, each, axis, reach) for each, axis, reach in zip(radii, axes, reaches, strict=True)]
        return oval_path(cx, cy, found[0], found[-1]) or Path()

    return draw


def _radius(box: Box, said: Length | str | None, axis: str, reaches: Sequence[float]) -> float:
    if isinstance(said, Length):
        return max(box.px(said, axis), 0.0)
    return min(reaches) if said == "closest-side" else max(reaches)


def _polygon_of(parts: Sequence[Sequence[Any]]) -> Callable[[Box], Path] | None:
    found = [_read(part, 2) for part in parts]
    corners = [pair for pair in found if pair is not None]
    if not found or len(corners) < len(found):
        return None

    def draw(box: Box) -> Path:
        path = Path()
        path.nodes = [(box.px(x, "x"), box.px(y, "y")) for x, y in corners]
        path.end(closed=True)
        return path

    return draw


def _path_of(parts: Sequence[Sequence[Any]]) -> Callable[[Box], Path] | None:
    if len(parts) != 1 or len(parts[0]) != 1 or parts[0][0].type != "string":
        return None
    path = path_of(parts[0][0].value)
    return None if path.broken else lambda _box: path
