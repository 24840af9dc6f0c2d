"""DXF drawings that nobody draws: inserts without end, numbers beyond all bounds, knots of lines, damaged bytes."""

from __future__ import annotations

import math
import random

from dxf_drawings import dxf, square


def _cycle(model):
    blocks = {name: model.doc.blocks.new(name) for name in "AB"}
    blocks["A"].add_blockref("B", (0, 0))
    blocks["B"].add_blockref("A", (0, 0))
    model.add_blockref("A", (0, 0))


def _inserts(levels, each):
    def draw(model):
        model.doc.blocks.new("L0").add_circle((0, 0), 1)
        for level in range(1, levels):
            block = model.doc.blocks.new(f"L{level}")
            for i in range(each):
                block.add_blockref(f"L{level - 1}", (i, level))
        model.add_blockref(f"L{levels - 1}", (0, 0))

    return draw


def _array(model):
    model.doc.blocks.new("DOT").add_circle((0, 0), 1)
    model.add_blockref("DOT", (0, 0)).grid((30_000, 30_000), (3, 3))


def _lines(points):
    def draw(model):
        for start, end in points:
            model.add_line(start, end)

    return draw


def _around(radius, count):
    return [((0, 0), (radius * math.cos(i), radius * math.sin(i))) for i in range(count)]


def _scribble(corners):
    chance = random.Random(1)  # noqa: S311  the same scribble each time
    return [(30 * chance.random(), 20 * chance.random()) for _ in range(corners)]


def _scribbled_lines(corners):
    points = _scribble(corners)
    return _lines(zip(points, [*points[1:], points[0]], strict=True))


def _copies(count):
    def draw(model):
        for i in range(count):
            model.add_lwpolyline([(0, 0), (9, 0), (9, 9), (4, 8 - 7 * i / count), (0, 9)], close=True)

    return draw


def _spline(degree, count):
    def draw(model):
        weights = [1 + i % 7 for i in range(count)]
        model.add_rational_spline(_scribble(count), weights, degree=degree)

    return draw


def _hatches(model):
    for _ in range(60):
        paths = model.add_hatch().paths
        for i in range(60):
            paths.add_polyline_path([(i, 0), (i + 1, 0), (i + 1, 30), (i, 20)])


HOSTILE = {
    "inserts in a circle": _cycle,
    "a hundred million inserts": _inserts(9, 10),
    "inserts five hundred deep": _inserts(500, 1),
    "an array of nine hundred million": _array,
    "a circle of 1e308": lambda m: m.add_circle((0, 0), 1e308),
    "a circle of 1e9": lambda m: m.add_circle((0, 0), 1e9),
    "a circle of 1e-300": lambda m: m.add_circle((0, 0), 1e-300),
    "lines of the least number": _lines([((0, 0), (5e-324, 0)), ((5e-324, 0), (0, 5e-324)), ((0, 5e-324), (0, 0))]),
    "a circle of no number": lambda m: m.add_circle((0, 0), math.nan),
    "a corner at infinity": lambda m: m.add_lwpolyline([(0, 0), (math.inf, 0), (0, 9)], close=True),
    "a width of 1e308": lambda m: m.add_lwpolyline([(0, 0), (9, 0)], dxfattribs={"const_width": 1e308}),
    "a bulge of 1e-300": lambda m: m.add_lwpolyline([(0, 0, 1e-300), (9, 0, 1e300)], format="xyb", close=True),
    "an insert of 1e308": lambda m: (
        square(m.doc.blocks.new("A")),
        m.add_blockref("A", (0, 0), dxfattribs={"xscale": 1e308, "yscale": 1e308}),
    ),
    "five thousand lines meeting in a point": _lines(_around(10, 5000)),
    "two thousand lines within a gap": _lines(_around(1e-3, 2000)),
    "a scribble": lambda m: m.add_lwpolyline(_scribble(3000), close=True),
    "a scribble of lines": _scribbled_lines(1500),
    "a wide scribble": lambda m: m.add_lwpolyline(_scribble(3000), dxfattribs={"const_width": 2}),
    "three hundred that share sides": _copies(300),
    "a rational spline of many points": _spline(5, 5000),
    "hatches over hatches": _hatches,
}


ODD = [b"0", b"-1", b"7", b"1e308", b"-1e-308", b"nan", b"inf", b"", b"\xff\xfe", b"LINE", b"9" * 400]


def damaged(seed, *, data):
    """The bytes of a drawing with some tags changed, lost, doubled, swapped or cut off; at times a single line."""
    chance = random.Random(seed)  # noqa: S311  the same damage each time
    lines = data.split(b"\n")
    tags = [lines[i : i + 2] for i in range(0, len(lines), 2)]
    begin = next(i for i, tag in enumerate(tags) if tag[-1] == b"BLOCKS") if chance.random() < 0.8 else 0
    for _ in range(chance.randint(1, 6)):
        at, other = chance.randrange(begin, len(tags)), chance.randrange(begin, len(tags))
        match chance.randrange(6):
            case 0 | 1:
                tags[at] = [tags[at][0], chance.choice(ODD)]
            case 2:
                tags[at] = [str(chance.choice([0, 10, 11, 20, 40, 42, 70, 90, 330])).encode(), *tags[at][1:]]
            case 3:
                del tags[at : at + chance.randint(0, 3)]
            case 4:
                tags[at], tags[other] = tags[other], tags[at]
            case _:
                tags[at] = tags[at][: chance.randint(1, 2)]
        tags = tags[:at] if chance.random() < 0.02 else tags
        begin = min(begin, len(tags) - 1)
    return b"\n".join(line for tag in tags for line in tag)


def many_corners(count):
    """A polyline of so many corners, in as few bytes as there are."""
    data = dxf(lambda model: model.add_lwpolyline([(7, 7), (8, 7), (8, 8)], close=True))
    corners = b"".join(b" 10\n%d\n 20\n%d\n" % (i % 317, i * i % 211) for i in range(count))
    return data.replace(b" 10\n7.0\n 20\n7.0\n", corners, 1)


def of_everything(*, version="R2010", binary=False):
    """A drawing with every kind of entity that is read: outlines alone in R12, hatches beside them in later ones."""

    def draw(model):
        block = model.doc.blocks.new("A")
        block.add_polyline2d([(0, 0), (9, 0), (0, 9)], close=True)
        model.add_blockref("A", (20, 0), dxfattribs={"rotation": 30})
        model.add_circle((0, 0), 4)
        model.add_arc((40, 0), 4, 0, 180)
        model.add_line((44, 0), (36, 0))
        model.add_polyline2d([(0, 50), (9, 50), (9, 59)], close=True)
        if version == "R12":
            return
        square(model, 5, 5, dxfattribs={"const_width": 0.5})
        model.add_ellipse((60, 0), (5, 0), 0.5)
        model.add_open_spline([(0, 30), (9, 30), (9, 39), (0, 30)])
        block.add_solid([(0, 0), (9, 0), (0, 9)])
        edges = model.add_hatch().paths.add_edge_path()
        edges.add_arc((80, 0), 5, 0, 180)
        edges.add_line((75, 0), (85, 0))

    return dxf(draw, version=version, binary=binary)
