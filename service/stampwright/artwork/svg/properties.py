"""The properties that are read: how each parses, where it starts, and whether it is inherited (SVG 2, CSS)."""

from __future__ import annotations

from functools import lru_cache, partial
from typing import TYPE_CHECKING, Any, NamedTuple

from stampwright.artwork.affine import IDENTITY
from stampwright.artwork.paint import Colour

from . import fonts, lengths, values
from .lengths import Length
from .regions import region
from .transforms import css_origin_of, css_transform_of, origin_of, rotate_of, scale_of, transform_of, translate_of

if TYPE_CHECKING:
    from collections.abc import Callable


class Property(NamedTuple):
    """How a property parses, its initial value, whether it is inherited, and whether an attribute may set it.

    `css`: how it parses in a style sheet, where that is another grammar. `usual`: its value where nothing is declared,
    where the browsers' own style sheet has another than the initial one.
    """

    parse: Callable[[str], Any]
    initial: Any
    inherits: bool = False
    attribute: bool = True
    css: Callable[[str], Any] | None = None
    usual: Any = None


def _raw(text: str) -> str:
    return text.strip()


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
_BOXES = ("view-box", "fill-box", "stroke-box", "content-box", "border-box")
_REFERENCE = Property(values.reference, "none")
_MARKER = Property(values.reference, "none", inherits=True)
_PLACES, _SIZES = ("x", "y", "cx", "cy"), ("width", "height", "r", "rx", "ry")

PROPERTIES: dict[str, Property] = {
    "color": Property(values.colour, Colour(0.0, 1.0), inherits=True),
    "fill": Property(values.paint, Colour(0.0, 1.0), inherits=True),
    "fill-opacity": Property(values.share, 1.0, inherits=True),
    "fill-rule": Property(values.keyword("nonzero", "evenodd"), "nonzero", inherits=True),
    "clip-rule": Property(values.keyword("nonzero", "evenodd"), "nonzero", inherits=True),
    "stroke": Property(values.paint, "none", inherits=True),
    "stroke-opacity": Property(values.share, 1.0, inherits=True),
    "stroke-width": Property(lengths.extent, Length(1.0), inherits=True),
    "stroke-linecap": Property(values.keyword("butt", "round", "square"), "butt", inherits=True),
    "stroke-linejoin": Property(
        values.keyword("miter", "round", "bevel", "miter-clip", "arcs"), "miter", inherits=True
    ),
    "stroke-miterlimit": Property(values.mitre_limit, 4.0, inherits=True),
    "stroke-dasharray": Property(lengths.lengths, (), inherits=True),
    "stroke-dashoffset": Property(lengths.length, Length(0.0), inherits=True),
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
    "overflow": Property(values.overflow, "visible", usual="hidden"),  # of views, symbols, markers (SVG 2, 3.5.1)
    "clip-path": Property(lambda text: region(text) or values.reference(text), "none"),
    "mask": _REFERENCE,
    "mask-type": Property(values.keyword("luminance", "alpha"), "luminance"),
    "filter": Property(_raw, "none"),
    "mix-blend-mode": Property(_raw, "normal", attribute=False),
    "vector-effect": Property(_raw, "none"),
    "transform": Property(transform_of, IDENTITY, css=css_transform_of),
    "translate": Property(translate_of, IDENTITY, attribute=False),
    "rotate": Property(rotate_of, IDENTITY, attribute=False),
    "scale": Property(scale_of, IDENTITY, attribute=False),
    "transform-origin": Property(origin_of, (Length(0.0), Length(0.0)), css=css_origin_of),
    "transform-box": Property(values.keyword(*_BOXES), "view-box", attribute=False),
    "stop-color": Property(values.colour, Colour(0.0, 1.0)),
    "stop-opacity": Property(values.share, 1.0),
    "d": Property(values.path_data, None, attribute=False),  # SVG 2: geometry may come from CSS
    **{name: Property(values.geometry, None, attribute=False) for name in _PLACES},
    **{name: Property(partial(values.geometry, negative=False), None, attribute=False) for name in _SIZES},
}

INITIAL = {name: entry.initial for name, entry in PROPERTIES.items()}
USUAL = INITIAL | {name: entry.usual for name, entry in PROPERTIES.items() if entry.usual is not None}
INHERITED = frozenset(name for name, entry in PROPERTIES.items() if entry.inherits)
GEOMETRY = frozenset((*_PLACES, *_SIZES))
ATTRIBUTES = frozenset(name for name, entry in PROPERTIES.items() if entry.attribute)


def longhands(name: str, text: str) -> tuple[tuple[str, str], ...] | None:
    """What a shorthand stands for; None for a name that is none, and nothing for a value that is not read."""
    if name == "marker":
        return tuple((part, text) for part in ("marker-start", "marker-mid", "marker-end"))
    return fonts.longhands(text) if name == "font" else None


UNREAD = frozenset(
    {"all", "offset-path", "offset", "perspective", "zoom", "clip", "mask-image"}
    | {
        "mask-border",
        "mask-mode",
        "mask-clip",
        "mask-composite",
        "backdrop-filter",
        "background",
        "background-color",
        "background-image",
    }
    | {"inline-size", "shape-inside", "shape-subtract", "text-shadow", "overflow-x", "overflow-y"}
)
"""Properties that change what is seen and are not read: told, unless their value does nothing."""

_HARMLESS = frozenset({"none", "auto", "normal", "transparent", "white", "#fff", "#ffffff", "1"})
_HARMLESS |= {"match-source", "border-box", "add"}
_EDGES = ("", "-top", "-right", "-bottom", "-left")
_LINES = frozenset({"border-style", "outline", "outline-style", *(f"border{edge}" for edge in _EDGES)})
_LINE_STYLES = frozenset({"auto", "dotted", "dashed", "solid", "double", "groove", "ridge", "inset", "outset"})
_ROOM = frozenset({"border-radius", *(f"{name}{edge}" for name in ("margin", "padding") for edge in _EDGES)})


def changes_unread(name: str, text: str, *, of_page: bool) -> bool:
    """Whether a property that is not read changes what is seen; some do `of_page` alone, the outermost element."""
    words = text.strip().lower().split()
    if name in _LINES:
        return (of_page or name.startswith("outline")) and not _LINE_STYLES.isdisjoint(words)
    if name in _ROOM:
        return of_page and any(word != "auto" and word.strip("0.pxem%") for word in words)
    if name == "box-shadow":
        return of_page and words != ["none"]
    return name in UNREAD and " ".join(words) not in _HARMLESS


@lru_cache(maxsize=4096)
def parsed(name: str, text: str, *, in_css: bool) -> Any:  # noqa: ANN401  each property has its own type
    """Value of a property, declared in a style sheet or by an attribute; None when it does not parse."""
    entry = PROPERTIES[name]
    return entry.css(text) if in_css and entry.css else entry.parse(text)
