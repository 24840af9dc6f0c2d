"""Vertices of a path and the direction of the path there (SVG 2: Paths, Directionality; Painting, Markers)."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from stampwright.artwork.paths import Node, Path

    Way = tuple[float, float]

_ALONG_X: Way = (1.0, 0.0)


class Vertex(NamedTuple):
    """An end of a segment, and the direction there: halfway between that of arriving and that of leaving."""

    x: float
    y: float
    along_deg: float


class _Segment(NamedTuple):
    end: Node
    first: Way | None  # direction at its start and at its end; None when it has no length
    last: Way | None


def vertices_of(path: Path) -> list[Vertex]:
    """Every vertex of a path, subpath after subpath; a closed one comes back to its first vertex."""
    curves = {int(row[0]): row for row in (*path.cubics, *path.arcs)}
    cubics = {int(row[0]) for row in path.cubics}
    found: list[Vertex] = []
    closed_at: Node | None = None  # after Z the next subpath may begin where the last one did, without a move
    for first, stop, closed in path.subpaths:
        nodes = path.nodes[first:stop]
        segments = [
            _segment(nodes[i - 1], nodes[i], curves.get(first + i), cubic=first + i in cubics)
            for i in range(1, len(nodes))
        ]
        if closed:
            segments.append(_segment(nodes[-1], nodes[0], None, cubic=False))
        vertices = _along(nodes[0], segments, closed=closed)
        found += vertices[1:] if nodes[0] == closed_at else vertices
        closed_at = nodes[0] if closed else None
    return found


def _along(start: Node, segments: list[_Segment], *, closed: bool) -> list[Vertex]:
    ways = _directed(segments)
    arriving: list[Way | None] = [ways[-1][1] if closed else None, *(last for _, last in ways)]
    leaving: list[Way | None] = [*(first for first, _ in ways), ways[0][0] if closed else None]
    places = [start, *(segment.end for segment in segments)]
    return [Vertex(*place, _halfway_deg(*both)) for place, *both in zip(places, arriving, leaving, strict=True)]


def _directed(segments: list[_Segment]) -> list[tuple[Way, Way]]:
    """Directions of all segments: one without length takes that of the last with length before it, else after it."""
    way = next((segment.first for segment in segments if segment.first is not None), _ALONG_X)
    ways: list[tuple[Way, Way]] = []
    for segment in segments:
        pair = (segment.first or way, segment.last or way)
        ways.append(pair)
        way = pair[1]
    return ways


def _halfway_deg(arriving: Way | None, leaving: Way | None) -> float:
    ways = [way for way in (arriving, leaving) if way is not None]
    degrees = [math.degrees(math.atan2(y, x)) for x, y in ways or [_ALONG_X]]
    spread = max(degrees) - min(degrees)
    return sum(degrees) / len(degrees) + (180.0 if spread > 180 else 0.0)


def _segment(start: Node, end: Node, curve: tuple[float, ...] | None, *, cubic: bool) -> _Segment:
    if curve is None:
        way = _from_to(start, end)
        return _Segment(end, way, way)
    return _cubic(curve) if cubic else _arc(curve, end)


def _cubic(row: tuple[float, ...]) -> _Segment:
    """At each end a cubic heads for the next control point that is not the same."""
    points = list(zip(row[1::2], row[2::2], strict=True))
    first = next((way for point in points[1:] if (way := _from_to(points[0], point))), None)
    last = next((way for point in points[-2::-1] if (way := _from_to(point, points[-1]))), None)
    return _Segment(points[-1], first, last)


def _arc(row: tuple[float, ...], end: Node) -> _Segment:
    _, _, _, ux, uy, vx, vy, start, sweep = row
    onward = math.copysign(1.0, sweep)

    def way(angle: float) -> Way:
        cos, sin = onward * math.cos(angle), onward * math.sin(angle)
        return vx * cos - ux * sin, vy * cos - uy * sin

    return _Segment(end, way(start), way(start + sweep))


def _from_to(start: Node, end: Node) -> Way | None:
    return None if start == end else (end[0] - start[0], end[1] - start[1])
