"""What a drawing would cost is judged before it is done: counts by brute force, drawings that hide their cost."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import CrossSection

from features import svg
from stampwright.artwork import read_artwork
from stampwright.artwork.ink import painted_over
from stampwright.artwork.tangle import crossings, side_by_side
from stampwright.base import TooComplex
from stampwright.job import ArtworkChoice
from stampwright.plane import section_of

ZIGZAG = "l.01 20 .01-20" * 4000
RNG = np.random.default_rng(7)


def lines(count, *, across):
    """A hatch of single strokes, half of them across the others when asked."""
    strokes = [f"M{i * 60 / count} 0V40" for i in range(count)]
    strokes += [f"M0 {i * 40 / count}H60" for i in range(count)] if across else []
    return "".join(f'<path stroke="black" stroke-width=".01" d="{d}"/>' for d in strokes)


def scribble(count):
    return " ".join(f"{x:.2f} {y:.2f}" for x, y in RNG.uniform((0, 0), (60, 40), (count, 2)))


COSTLY = {
    "a hatch of strokes that cross": lines(400, across=True),
    "dashes side by side": '<path stroke="black" stroke-width="30" stroke-dasharray=".02" d="M0 20H50"/>' * 60,
    "a scribble": f'<path d="M{scribble(1500)}z"/>',
    "a scribble drawn with a pen": f'<path fill="none" stroke="black" d="M{scribble(900)}"/>',
    "rings in rings": "".join(
        f'<circle cx="30" cy="20" r="{19 - i * 0.006}" fill="{("#000", "#fff")[i % 2]}"/>' for i in range(3000)
    ),
    "a pen wider than its zigzag": f'<path fill="none" stroke="black" stroke-width="20" d="M0 9{ZIGZAG}"/>',
}


@pytest.mark.parametrize("name", sorted(COSTLY))
def test_a_drawing_that_hides_its_cost_is_refused_before_it_is_paid(name):
    with pytest.raises(TooComplex) as refused:
        read_artwork(svg(COSTLY[name]), ArtworkChoice(), scale_of=lambda _box: 1.0)
    assert refused.value.refusals[0].code in {"too-tangled", "too-many-points"}


@pytest.mark.parametrize("body", [lines(400, across=False), f'<path d="M{scribble(200)}z"/>'])
def test_a_drawing_that_only_looks_costly_is_read(body):
    assert not read_artwork(svg(body), ArtworkChoice(), scale_of=lambda _box: 1.0).ink.is_empty


LAYERS = st.lists(st.tuples(st.booleans(), st.integers(0, 9), st.integers(0, 9), st.integers(1, 9)), max_size=24)


@given(LAYERS)
def test_the_painters_tree_leaves_what_covering_one_by_one_leaves(layers):
    squares = [(adds, shapely.box(x, y, x + side, y + side)) for adds, x, y, side in layers]
    ink = shapely.Polygon()
    for adds, square in squares:  # GEOS, layer after layer
        ink = shapely.union(ink, square) if adds else shapely.difference(ink, square)
    assert painted_over([(adds, section_of(square)) for adds, square in squares]).area() == pytest.approx(ink.area)


def test_the_painters_tree_handles_each_corner_about_log_n_times(monkeypatch):
    layers = [(not i % 2, CrossSection.square((2, 2)).translate((i // 2 * 3, i % 2))) for i in range(1000)]
    handled = []
    for name in ("__add__", "__sub__"):
        plain = getattr(CrossSection, name)
        counted = lambda a, b, plain=plain: handled.append(a.num_vert() + b.num_vert()) or plain(a, b)  # noqa: E731
        monkeypatch.setattr(CrossSection, name, counted)
    assert painted_over(layers).area() == pytest.approx(500 * 2)
    corners = sum(area.num_vert() for _, area in layers)
    assert sum(handled) <= 3 * corners * np.log2(len(layers))  # one by one it is 250 times the corners


SPANS = st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=1, max_size=30)


@given(SPANS)
def test_pairs_side_by_side_are_counted_exactly(spans):
    low_high = [(min(s), max(s)) for s in spans]
    pairs = sum(a[0] <= b[1] and b[0] <= a[1] for i, a in enumerate(low_high) for b in low_high[:i])
    assert side_by_side(*np.array(spans, dtype=float).T) == pairs


def test_crossings_of_a_hatch_are_counted():
    at = np.arange(100.0)
    starts = np.concatenate([np.column_stack([at, at * 0 - 1]), np.column_stack([at * 0 - 1, at])])
    ends = np.concatenate([np.column_stack([at, at * 0 + 200]), np.column_stack([at * 0 + 200, at])])
    assert crossings(starts, ends) == pytest.approx(100 * 100, rel=0.02)


def test_crossings_of_the_few_edges_that_have_them_are_counted():
    at = np.arange(300.0)
    across = np.column_stack([at, at * 0 - 1]), np.column_stack([at * 0 - 1, at])
    beyond = np.column_stack([at, at * 0 + 300]), np.column_stack([at * 0 + 300, at])
    apart = np.column_stack([np.arange(60_000.0) + 400, np.zeros(60_000)])
    edges = np.concatenate(
        [np.hstack([np.concatenate(across), np.concatenate(beyond)]), np.hstack([apart, apart + 0.5])]
    )
    starts, ends = np.hsplit(np.random.default_rng(3).permutation(edges), 2)
    assert crossings(starts, ends) == pytest.approx(300 * 300, rel=0.3)
