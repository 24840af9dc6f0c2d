"""Drawings by the grammar of SVG alone: every element where it may stand, most values sound, some wild."""

from __future__ import annotations

from random import Random

WILD = (
    "0",
    "-3",
    "1e3",
    "1e-9",
    "1e30",
    "1e308",
    "nan",
    "inf",
    "50%",
    "120%",
    "2em",
    "3mm",
    "1.5.2",
    "x",
    "",
    "9" * 30,
)
ARGUMENTS = {"l": 2, "h": 1, "v": 1, "c": 6, "s": 4, "q": 4, "t": 2, "a": 7, "z": 0, "m": 2}
PAINTS = ("#000", "none", "#fff", "#0008", "url(#gradient)", "url(#pattern) black", "currentColor", "var(--a, red)")
WORDS = {
    "fill": PAINTS,
    "stroke": PAINTS,
    "fill-rule": ("evenodd", "nonzero"),
    "stroke-linejoin": ("round", "bevel", "miter", "arcs"),
    "stroke-linecap": ("round", "square", "butt"),
    "clip-path": ("url(#clip)", "none", "url(#nobody)", "circle(30%) fill-box", "inset(1px 10% round 2px)"),
    "mask": ("url(#mask)", "none"),
    "marker-start": ("url(#marker)", "none"),
    "marker-mid": ("url(#marker)", "none"),
    "marker-end": ("url(#marker)", "none"),
    "vector-effect": ("non-scaling-stroke", "none"),
    "paint-order": ("stroke", "normal"),
    "display": ("none", "inline"),
    "visibility": ("hidden", "visible"),
    "filter": ("url(#nobody)", "none"),
    "text-anchor": ("middle", "end"),
    "mix-blend-mode": ("multiply", "normal"),
}
NUMBERS = ("stroke-width", "opacity", "fill-opacity", "stroke-miterlimit", "stroke-dashoffset", "pathLength")
STYLES = (
    "--a:calc(1px*2)",
    "stroke-width:var(--a)",
    "transform:rotate(9deg) scale(2)",
    "clip-path:polygon(0 0,9px 0,0 9px)",
)
PLACED = {
    "rect": ("x", "y", "width", "height", "rx", "ry"),
    "circle": ("cx", "cy", "r"),
    "ellipse": ("cx", "cy", "rx", "ry"),
    "line": ("x1", "y1", "x2", "y2"),
    "use": ("x", "y", "width", "height"),
    "svg": ("x", "y", "width", "height"),
    "image": ("x", "y", "width", "height"),
    "foreignObject": ("x", "y", "width", "height"),
    "text": ("x", "y", "dx", "dy", "rotate", "textLength", "font-size", "letter-spacing", "baseline-shift"),
    "linearGradient": ("x1", "y1", "x2", "y2"),
    "radialGradient": ("cx", "cy", "r", "fx", "fy", "fr"),
    "mask": ("x", "y", "width", "height"),
    "marker": ("markerWidth", "markerHeight", "refX", "refY"),
}
GROUPS = frozenset({"g", "svg", "switch"})
KINDS = (
    *GROUPS,
    "path",
    "path",
    "polygon",
    "rect",
    "circle",
    "ellipse",
    "line",
    "use",
    "text",
    "image",
    "foreignObject",
)


def any_svg(seed):
    """A drawing of some elements with all that they can refer to, and a square that is always ink."""
    return _Drawing(Random(seed)).whole()  # noqa: S311  nothing secret


class _Drawing:
    def __init__(self, random):
        self.random, self.one_of = random, random.choice

    def whole(self):
        defined = [
            self.holding("linearGradient", "gradient", self.stops()),
            self.holding("radialGradient", "gradient", self.stops()),
            self.holding("clipPath", "clip", self.element(2) + self.element(2)),
            self.holding("mask", "mask", self.element(2) + '<rect width="30" height="20" fill="#fff"/>'),
            self.holding("marker", "marker", self.element(2)),
            self.holding("pattern", "pattern", self.element(2)),
            self.holding("symbol", "shape", self.element(2)),
            f'<path id="track" d="{self.path()}"/>',
        ]
        body = "".join(self.element(0) for _ in range(self.random.randint(1, 6)))
        square = '<path d="M1 1h5v5h-5z"/>'
        head = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 20" font-family="DejaVu Sans">'
        return f"{head}{''.join(defined)}{body}{square}</svg>"

    def number(self):
        return (
            self.one_of(WILD) if self.random.random() < 0.1 else str(self.one_of((0, 1, 2, 3, 5, 8, 13, 20, -4, 0.5)))
        )

    def numbers(self, count):
        return " ".join(self.number() for _ in range(count))

    def path(self):
        drawn = ["M2 3"]
        for _ in range(self.random.randint(1, 8)):
            command = self.one_of("LlHhVvCcSsQqTtAaZzMm")
            given = [self.number() for _ in range(ARGUMENTS[command.lower()])]
            if command in "Aa":
                given[3:5] = [self.one_of("01"), self.one_of("01")]
            drawn.append(command + " ".join(given))
        return "".join(drawn)

    def transform(self):
        counts = {"translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewX": (1,), "matrix": (6,)}
        name = self.one_of([*counts])
        return f"{name}({self.numbers(self.one_of(counts[name]))})"

    def attributes(self, kind):
        given = {name: self.one_of(WORDS[name]) for name in self.random.sample([*WORDS], self.random.randint(0, 3))}
        given |= {name: self.number() for name in self.random.sample(NUMBERS, self.random.randint(0, 2))}
        given |= {name: self.number() for name in PLACED.get(kind, ()) if self.random.random() < 0.8}
        more = {
            "transform": self.transform,
            "style": lambda: ";".join(self.random.sample(STYLES, 2)),
            "stroke-dasharray": lambda: self.numbers(self.random.randint(1, 4)),
            "viewBox": lambda: self.numbers(4),
            "clipPathUnits": lambda: "objectBoundingBox",
            "gradientUnits": lambda: "userSpaceOnUse",
            "orient": lambda: self.one_of(("auto", "auto-start-reverse", self.number())),
        }
        given |= {name: write() for name, write in more.items() if self.random.random() < 0.2}
        given |= {"path": {"d": self.path()}, "polygon": {"points": self.numbers(self.random.randint(0, 12))}}.get(
            kind, {}
        )
        if kind == "use":
            given["href"] = self.one_of(("#track", "#shape", "#clip", "#nobody"))
        return " ".join(f'{name}="{value}"' for name, value in given.items())

    def element(self, depth):
        kind = self.one_of(KINDS)
        inner = ""
        if kind in GROUPS and depth < 2:
            inner = "".join(self.element(depth + 1) for _ in range(self.random.randint(0, 3)))
        elif kind == "text":
            inner = self.letters()
        return f"<{kind} {self.attributes(kind)}>{inner}</{kind}>"

    def letters(self):
        inside = (
            "",
            f"<tspan {self.attributes('text')}>ee</tspan>",
            f'<textPath href="#track" startOffset="{self.number()}">on a way</textPath>',
            "<tref/>",
        )
        return self.one_of(("Apis", "fi", "A\u0301", "\U0001f41d", " ", "")) + self.one_of(inside)

    def stops(self):
        return "".join(
            f'<stop offset="{self.number()}" stop-color="{self.one_of(PAINTS[:4])}"/>'
            for _ in range(self.random.randint(0, 3))
        )

    def holding(self, kind, name, inner):
        return f'<{kind} id="{name}" {self.attributes(kind)}>{inner}</{kind}>'
