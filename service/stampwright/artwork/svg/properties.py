"""The properties that are read: how each parses, where it starts, and whether it is inherited (SVG 2, CSS)."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from stampwright.artwork.affine import IDENTITY, transform_of
from stampwright.artwork.paint import Colour

from . import fonts, values
from .values import Length, Unread

if TYPE_CHECKING:
    from collections.abc import Callable


class Property(NamedTuple):
    """How a property parses, its initial value, whether it is inherited, and whether an attribute may set it."""

    parse: Callable[[str], Any]
    initial: Any
    inherits: bool = False
    attribute: bool = True


def _raw(text: str) -> str:
    return text.strip()


def _transform(text: str) -> Any:  # noqa: ANN401  a map, or what is not read
    found = transform_of(text)
    return Unread(text) if found is None else found


_DISPLAYS = (
    "none",
    "inline",
    "block",
    "inline-block",
    "list-item",
    "table",
    "inline-table",
    "flex",
    "grid",
    "contents",
)
_REFERENCE = Property(values.reference, "none")
_MARKER = Property(values.reference, "none", inherits=True)
_GEOMETRY = ("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry")

PROPERTIES: dict[str, Property] = {
    "color": Property(values.colour, Colour(0.0, 1.0), inherits=True),
    "fill": Property(values.paint, Colour(0.0, 1.0), inherits=True),
    "fill-opacity": Property(values.share, 1.0, inherits=True),
    "fill-rule": Property(values.keyword("nonzero", "evenodd"), "nonzero", inherits=True),
    "clip-rule": Property(values.keyword("nonzero", "evenodd"), "nonzero", inherits=True),
    "stroke": Property(values.paint, "none", inherits=True),
    "stroke-opacity": Property(values.share, 1.0, inherits=True),
    "stroke-width": Property(values.extent, Length(1.0), inherits=True),
    "stroke-linecap": Property(values.keyword("butt", "round", "square"), "butt", inherits=True),
    "stroke-linejoin": Property(
        values.keyword("miter", "round", "bevel", "miter-clip", "arcs"), "miter", inherits=True
    ),
    "stroke-miterlimit": Property(values.mitre_limit, 4.0, inherits=True),
    "stroke-dasharray": Property(values.lengths, (), inherits=True),
    "stroke-dashoffset": Property(values.length, Length(0.0), inherits=True),
    "paint-order": Property(values.order, ("fill", "stroke", "markers"), inherits=True),
    "visibility": Property(values.keyword("visible", "hidden", "collapse"), "visible", inherits=True),
    **{name: Property(parse, initial, inherits=True) for name, (parse, initial) in fonts.INHERITED.items()},
    "baseline-shift": Property(fonts.shift, Length(0.0)),
    "alignment-baseline": Property(fonts.word, "auto"),
    "marker-start": _MARKER,
    "marker-mid": _MARKER,
    "marker-end": _MARKER,
    "opacity": Property(values.share, 1.0),
    "display": Property(values.keyword(*_DISPLAYS), "inline"),
    "overflow": Property(values.keyword("visible", "hidden", "scroll", "auto"), "hidden"),
    "clip-path": _REFERENCE,
    "mask": _REFERENCE,
    "mask-type": Property(values.keyword("luminance", "alpha"), "luminance"),
    "filter": Property(_raw, "none"),
    "mix-blend-mode": Property(_raw, "normal", attribute=False),
    "vector-effect": Property(_raw, "none"),
    "transform": Property(_transform, IDENTITY),
    "transform-origin": Property(_raw, ""),
    "transform-box": Property(_raw, "view-box"),
    "stop-color": Property(values.colour, Colour(0.0, 1.0)),
    "stop-opacity": Property(values.share, 1.0),
    "d": Property(_raw, None, attribute=False),
    **{name: Property(_raw, None, attribute=False) for name in _GEOMETRY},  # SVG 2: geometry may come from CSS
}

INITIAL = {name: entry.initial for name, entry in PROPERTIES.items()}
INHERITED = frozenset(name for name, entry in PROPERTIES.items() if entry.inherits)
ATTRIBUTES = frozenset(name for name, entry in PROPERTIES.items() if entry.attribute)


def longhands(name: str, text: str) -> tuple[tuple[str, str], ...] | None:
    """What a shorthand stands for; None for a name that is none, and nothing for a value that is not read."""
    if name == "marker":
        return tuple((part, text) for part in ("marker-start", "marker-mid", "marker-end"))
    return fonts.longhands(text) if name == "font" else None


UNREAD = frozenset(
    {"all", "translate", "rotate", "scale", "offset-path", "offset", "perspective", "zoom", "clip", "mask-image"}
    | {"mask-border", "backdrop-filter", "background", "background-color", "background-image"}
    | {"inline-size", "shape-inside", "shape-subtract", "text-shadow"}
)
"""Properties that change what is seen and are not read: told, unless their value does nothing."""

HARMLESS = frozenset({"none", "auto", "normal", "transparent", "white", "#fff", "#ffffff", "1"})


@lru_cache(maxsize=4096)
def parsed(name: str, text: str) -> Any:  # noqa: ANN401  each property has its own type
    """Value of a property; None when it does not parse."""
    return PROPERTIES[name].parse(text)
