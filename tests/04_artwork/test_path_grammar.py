"""Path data against a second opinion: svgelements parses the same text and gives the same points."""

import itertools

import numpy as np
import pytest
import shapely
import svgelements
from hypothesis import given
from hypothesis import strategies as st

from stampwright.artwork.flatten import flatten
from stampwright.artwork.svg.grammar import path_of

NUMBER = st.one_of(
    st.integers(-50, 50).map(str),
    st.decimals(-50, 50, places=2, allow_nan=False).map(str),
    st.sampled_from([".5", "-.5", "+3", "1e1", "2.5E-1", "-0"]),
)
RADIUS = st.integers(1, 30).map(str)
FLAG = st.sampled_from("01")
COUNTS = {"L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2}


@st.composite
def segments(draw):
    """One command with one to three sets of arguments, separated in any legal way."""
    command = draw(st.sampled_from([*COUNTS, *map(str.lower, COUNTS), "A", "a", "Z", "z", "M", "m"]))
    if command in "Zz":
        return command
    separator = draw(st.sampled_from([" ", ",", " , ", "\n"]))
    sets = draw(st.integers(1, 3))
    if command in "Aa":
        one = st.tuples(RADIUS, RADIUS, NUMBER, FLAG, FLAG, NUMBER, NUMBER)
        arguments = [number for _ in range(sets) for number in draw(one)]
    else:
        count = sets * COUNTS.get(command.upper(), 2)
        arguments = draw(st.lists(NUMBER, min_size=count, max_size=count))
    return command + separator.join(arguments)


def alike(commands):
    """Whether both parsers reflect alike: the second reflects across the kinds of curve, which SVG 2, 9.3 forbids."""
    kinds = [command[0].upper() for command in commands]
    return not any(a + b in {"CT", "ST", "QS", "TS"} for a, b in itertools.pairwise(kinds))


DATA = st.tuples(NUMBER, NUMBER, st.lists(segments(), min_size=1, max_size=8).filter(alike)).map(
    lambda parts: f"M{parts[0]} {parts[1]}" + "".join(parts[2])
)


def points_of(data, per_curve=200):
    """The path as svgelements has it, sampled along every segment."""
    return np.array(
        [
            (point.x, point.y)
            for segment in svgelements.Path(data)
            if not isinstance(segment, (svgelements.Move, svgelements.Close))
            for t in np.linspace(0, 1, per_curve)
            if (point := segment.point(t)) is not None
        ]
    ).reshape(-1, 2)


@given(DATA)
def test_every_legal_path_is_read_as_a_second_parser_reads_it(data):
    ours, theirs = path_of(data), points_of(data)
    assert not ours.broken
    lines = [shapely.linestrings(points) for points, _ in flatten(ours, sagitta=1e-3) if len(points) > 1]
    if lines and len(theirs):
        away = shapely.distance(shapely.points(theirs), shapely.multilinestrings(lines))
        assert away.max() <= 2e-3


@given(DATA)
def test_nothing_is_drawn_that_the_second_parser_does_not_draw(data):
    ours = path_of(data)
    ends = {(round(node[0], 6), round(node[1], 6)) for node in ours.nodes}
    theirs = {(round(s.end.x, 6), round(s.end.y, 6)) for s in svgelements.Path(data) if s.end is not None}
    assert {(x + 0.0, y + 0.0) for x, y in ends} <= {(x + 0.0, y + 0.0) for x, y in theirs}


@pytest.mark.parametrize("data", ["M0 0C5 9 9 9 9 0T20 0", "M0 0Q5 9 9 0S15 9 20 0"])  # SVG 2, 9.3.6 and 9.3.7
def test_a_smooth_curve_reflects_only_its_own_kind(data):
    start, control = np.split(np.array(path_of(data).cubics[1][1:5]), 2)
    assert control == pytest.approx(start)


# SVG 2, Paths: "render up to the erroneous segment"
@pytest.mark.parametrize(
    ("data", "nodes"),
    [
        ("M1 2 L3 4 5", [(1, 2), (3, 4)]),
        ("M1 2 L3 4 X 5 6", [(1, 2), (3, 4)]),
        ("M1 2 L3 4,, 5 6", [(1, 2), (3, 4)]),
        ("M1 2 A3 3 0 2 0 9 9", [(1, 2)]),
        ("L1 2 3 4", []),
        ("M1 2 C3 4 5 6", [(1, 2)]),
    ],
)
def test_what_precedes_an_error_is_kept(data, nodes):
    path = path_of(data)
    assert path.broken
    assert path.nodes == nodes
