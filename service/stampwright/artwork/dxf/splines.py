"""Splines to cubics: exactly when they are clamped, of degree 3 and not rational, else within a share of their size."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np
from ezdxf.math import BSpline, Vec3, fit_points_to_cad_cv

if TYPE_CHECKING:
    from ezdxf.entities import Spline
    from ezdxf.entities.boundary_paths import SplineEdge
    from numpy.typing import NDArray

_STRAY = 1e-5  # of the spline's own size: 0.4 µm on a mark of 40 mm
_MOST_PARTS = 16  # of a knot span: the error falls by 16 with each halving
_HIGHEST_DEGREE = 25  # of the format; the cost of a point grows with its square
_INSIDE = 1e-9  # of a knot span: derivatives are taken just inside of it, for at a knot there may be two

Cubic = list[Vec3]


def cubics_of(spline: BSpline) -> list[Cubic]:
    """Cubics of four points each, end to end. Raises `ValueError` for what is no spline."""
    if not 1 <= spline.degree <= _HIGHEST_DEGREE:
        raise ValueError("degree")
    if spline.degree == 3 and not spline.is_rational and spline.is_clamped:
        return list(spline.bezier_decomposition())
    knots = np.unique(np.array(spline.knots())[spline.degree : spline.count + 1])
    size = float(np.ptp(np.array([tuple(p) for p in spline.control_points]), axis=0).max())
    return [cubic for a, b in itertools.pairwise(knots.tolist()) for cubic in _fitted(spline, a, b, _STRAY * size)]


def is_exact(spline: Spline) -> bool:
    """Whether a SPLINE is cubics already, but for the order of its numbers."""
    return bool(spline.dxf.degree == 3 and not len(spline.weights) and not spline.closed)


def _fitted(spline: BSpline, a: float, b: float, most: float) -> list[Cubic]:
    """One knot span by cubics that share points and directions with it, twice as many until they keep to it."""
    parts = 1
    while True:
        cubics, ends = _hermite(spline, np.linspace(a, b, parts + 1))
        middles = np.array([tuple(p) for p in spline.points((ends[:-1] + ends[1:]) / 2)])
        between = np.array([[tuple(p) for p in cubic] for cubic in cubics]) * np.array([1, 3, 3, 1])[:, None] / 8
        if parts == _MOST_PARTS or np.abs(between.sum(axis=1) - middles).max() <= most:
            return cubics
        parts *= 2


def _hermite(spline: BSpline, at: NDArray[np.float64]) -> tuple[list[Cubic], NDArray[np.float64]]:
    inner = np.clip(at, at[0] + _INSIDE * (at[-1] - at[0]), at[-1] - _INSIDE * (at[-1] - at[0]))
    found = list(spline.derivatives(inner.tolist(), n=1))
    third = float(at[-1] - at[0]) / (len(at) - 1) / 3
    cubics: list[Cubic] = [
        [p, p + way * third, q - back * third, q] for (p, way), (q, back) in itertools.pairwise(found)
    ]
    return cubics, inner


def of_entity(spline: Spline) -> BSpline:
    """The curve of a SPLINE or HELIX, by control points or through fit points."""
    if spline.dxf.degree > _HIGHEST_DEGREE:
        raise ValueError("degree")
    return spline.construction_tool()


def of_edge(edge: SplineEdge) -> BSpline:
    """The curve of a boundary's spline."""
    if edge.control_points:
        if edge.degree > _HIGHEST_DEGREE:
            raise ValueError("degree")
        points = [Vec3(point) for point in edge.control_points]
        weights = edge.weights or None
        return BSpline(points, order=edge.degree + 1, knots=edge.knot_values, weights=weights)
    ends = (edge.start_tangent, edge.end_tangent)
    tangents = [Vec3(end) for end in ends if end is not None]
    fit = [Vec3(point) for point in edge.fit_points]
    return fit_points_to_cad_cv(fit, tangents=tangents if len(tangents) == 2 else None)
