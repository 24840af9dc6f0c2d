"""Curves to chords within a stated sagitta, all curves of a path at once.

A cubic is cut into ceil(sqrt(3/4 · M / s)) equal parts, M the larger second difference of its control points: by the
bound from the second derivative a chord then strays from the curve by at most s. An arc is cut so that
r (1 − cos(step/2)) is s, r its larger half axis. Either is cut once at least, unless it is all but straight.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from stampwright.base.counting import counted

from .limits import keep_within

if TYPE_CHECKING:
    from .paths import Path

Asked = Callable[[NDArray[np.float64]], NDArray[np.float64]]
"""The chord error asked for within n boxes, each around k points (k, n, 2) in a path's own space; else infinite."""

_BENT = 0.1  # parts: a curve that needs fewer is off its only chord by a hundredth of the sagitta


class Curves(NamedTuple):
    """The curves of a path as rows, and into how many parts each is cut."""

    cubics: NDArray[np.float64]  # (n, 9): the node it ends in, four points
    arcs: NDArray[np.float64]  # (n, 9): the node it ends in, centre, two half axes, first angle, sweep
    cubic_parts: NDArray[np.float64]
    arc_parts: NDArray[np.float64]


class Inner(NamedTuple):
    """Points strictly inside curves: place in the order of nodes (node − 1 + parameter), point, direction."""

    at: NDArray[np.float64]
    points: NDArray[np.float64]
    ahead: NDArray[np.float64]


def flatten(path: Path, *, sagitta: float, asked: Asked | None = None) -> list[tuple[NDArray[np.float64], bool]]:
    """Polylines of a path's subpaths, each (n, 2), and whether each is closed (without repeating its first point).

    `asked`: where curves are cut finer. Raises `TooComplex` when more points would come out than are let in.
    """
    if not path.nodes:
        return []
    nodes = np.array(path.nodes, dtype=np.float64)
    if not path.cubics and not path.arcs:
        return [(nodes[first:stop], closed) for first, stop, closed in path.subpaths]
    curves = curves_of(path, sagitta=sagitta)
    inner = inner_points(curves)
    points, place, _, at = merged(nodes, inner)
    if asked is not None:
        parts = np.ceil(np.maximum(np.sqrt(sagitta / asked(np.array([points[:-1], points[1:]]))), 1.0)).astype(np.int64)
        inner = with_parts(curves, inner, at, parts)
        points, place, _, _ = merged(nodes, inner)
    return [(points[place[first] : place[stop - 1] + 1], closed) for first, stop, closed in path.subpaths]


def length_of(path: Path) -> float:
    """Length of a path along its subpaths, the way back to the start of closed ones with it; to 1e-6 of its size."""
    reach = path.reach()
    if reach is None:
        return 0.0
    size = max(reach[2] - reach[0], reach[3] - reach[1], 1e-12)
    lines = [(np.vstack([line, line[:1]]) if closed else line) for line, closed in flatten(path, sagitta=size * 1e-6)]
    return float(sum(np.hypot(*np.diff(line, axis=0).T).sum() for line in lines))


def curves_of(path: Path, *, sagitta: float, half: float = 0.0) -> Curves:
    """The curves of a path, cut for a sagitta; arcs also where they are offset by `half`."""
    cubics = np.array(path.cubics).reshape(-1, 9)
    arcs = np.array(path.arcs).reshape(-1, 9)
    return Curves(cubics, arcs, _parts_of_cubics(cubics, sagitta), _parts_of_arcs(arcs, sagitta, half))


def _parts_of_cubics(rows: NDArray[np.float64], sagitta: float) -> NDArray[np.float64]:
    if not len(rows):
        return rows[:, 0]
    p = rows[:, 1:].reshape(-1, 4, 2)
    bend = p[:, :2] - 2 * p[:, 1:3] + p[:, 2:]
    return _bent(np.sqrt(0.75 * np.hypot(bend[..., 0], bend[..., 1]).max(axis=1) / sagitta))


def _parts_of_arcs(rows: NDArray[np.float64], sagitta: float, half: float) -> NDArray[np.float64]:
    if not len(rows):
        return rows[:, 0]
    radius = np.hypot(rows[:, 3:6:2], rows[:, 4:7:2]).max(axis=1) + half
    step = 2 * np.arccos(1 - np.minimum(sagitta / radius, 1.0))
    return _bent(np.abs(rows[:, 8]) / np.minimum(step, math.pi / 2))


def _bent(parts: NDArray[np.float64]) -> NDArray[np.float64]:
    """Whole parts, two at least unless a curve is all but straight: by its own points it shows how it turns."""
    return np.asarray(np.maximum(np.ceil(parts), np.where(parts > _BENT, 2.0, 1.0)))


def inner_points(curves: Curves) -> Inner:
    """Points inside the curves, where their parts meet. Raises `TooComplex` when there would be too many."""
    keep_within("points", float(curves.cubic_parts.sum() + curves.arc_parts.sum()))
    kinds = (curves.cubics, curves.cubic_parts, _on_cubics), (curves.arcs, curves.arc_parts, _on_arcs)
    return _together([on(rows, *_cuts(parts)) for rows, parts, on in kinds if len(rows)])


def points_on(curves: Curves, node: NDArray[np.int64], t: NDArray[np.float64]) -> Inner:
    """Points at parameters `t` of the curves that end in the nodes `node`, in no order; others have none."""
    found = []
    for rows, on in ((curves.cubics, _on_cubics), (curves.arcs, _on_arcs)):
        if len(rows):
            which = np.searchsorted(rows[:, 0], node)
            here = np.append(rows[:, 0], -1.0)[which] == node
            found.append(on(rows, which[here], t[here]))
    return _together(found)


def with_parts(curves: Curves, inner: Inner, at: NDArray[np.float64], parts: NDArray[np.int64]) -> Inner:
    """The points inside the curves, with those that cut each chord into its parts. Raises `TooComplex`.

    `at`: all points in order; `parts`: one fewer, for the chords between them. Straight lines are left as they are.
    """
    more = parts - 1
    keep_within("points", len(at) + float(more.sum()))
    chord = np.repeat(np.arange(len(more)), more)
    share = (counted(more) + 1) / parts[chord]
    between = at[chord] + share * (at[chord + 1] - at[chord])
    node = np.ceil(at).astype(np.int64)[chord + 1]
    added = points_on(curves, node, between - (node - 1))
    return Inner(*(np.concatenate(pair) for pair in zip(inner, added, strict=True)))


def _together(found: list[Inner]) -> Inner:
    return found[0] if len(found) == 1 else Inner(*(np.concatenate(pair) for pair in zip(*found, strict=True)))


def merged(
    nodes: NDArray[np.float64], inner: Inner
) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]:
    """All points in order, the place of each node among them, the order of (inner points, then nodes), their `at`."""
    at = np.concatenate([inner.at, np.arange(len(nodes))])
    order = at.argsort(kind="stable")
    place = np.empty_like(order)
    place[order] = np.arange(len(order))
    return np.concatenate([inner.points, nodes])[order], place[len(inner.at) :], order, at[order]


def _on_cubics(cubics: NDArray[np.float64], which: NDArray[np.intp], t: NDArray[np.float64]) -> Inner:
    rows = cubics[which]
    p0, p1, p2, p3 = (rows[:, i : i + 2] for i in (1, 3, 5, 7))
    u, v = (1 - t)[:, None], t[:, None]
    uu, uv, vv = u * u, u * v, v * v
    points = u * uu * p0 + 3 * u * uv * p1 + 3 * v * uv * p2 + v * vv * p3
    ahead = uu * (p1 - p0) + 2 * uv * (p2 - p1) + vv * (p3 - p2)
    return Inner(rows[:, 0] - 1 + t, points, ahead)


def _on_arcs(arcs: NDArray[np.float64], which: NDArray[np.intp], t: NDArray[np.float64]) -> Inner:
    rows = arcs[which]
    node, start, sweep = rows[:, 0], rows[:, 7], rows[:, 8]
    centre, u, v = (rows[:, i : i + 2] for i in (1, 3, 5))
    angle = start + sweep * t
    cos, sin = np.cos(angle)[:, None], np.sin(angle)[:, None]
    ahead = np.sign(sweep)[:, None] * (v * cos - u * sin)
    return Inner(node - 1 + t, centre + u * cos + v * sin, ahead)


def _cuts(parts: NDArray[np.float64]) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """For curves cut into `parts`, the index of the curve and the parameter of each inner point."""
    inner = np.maximum(parts.astype(np.int64) - 1, 0)
    which = np.repeat(np.arange(len(inner)), inner)
    rank = counted(inner) + 1
    return which, rank / np.repeat(np.maximum(parts, 1), inner)
