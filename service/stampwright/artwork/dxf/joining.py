"""Strands to closed outlines: ends that meet, then ends that all but meet, then what is left over and why."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.artwork.paths import Path

from .network import Trail, circuits, meeting, nearest_pairs, trails, without_tails
from .strands import Strand, ahead, backwards, length_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .network import Ends, Step
    from .strands import Point

GAP_MM = 0.1  # on the finished face: common practice for joining, no source; below what a small mill shows
MEETS_MM = 0.001  # on the finished face: ends nearer than this are the same, and not worth a word
_NOISE = 1e-3  # of that: still nearer ends have no corner of their own
_OWN_LENGTH = 3.0  # a strand closes over its own ends only if it is so many times longer than the gap


@dataclass(slots=True)
class Joined:
    """Closed outlines, each with the strands that it is made of; what stays open; what parts at a node."""

    outlines: list[Strand] = field(default_factory=list)
    opened: list[Strand] = field(default_factory=list)
    parting: list[Strand] = field(default_factory=list)
    bridges: list[float] = field(default_factory=list)  # lengths of the gaps closed, as drawn


class _Chain(NamedTuple):
    strands: list[Strand]  # turned so that each ends where the next begins
    ends: Ends


class _Corners(NamedTuple):
    """Ends closer than `same` may be taken as one; their common corner lies ahead of both by no more than `reach`."""

    same: float
    reach: float


def joined(strands: Sequence[Strand], *, scale: float) -> Joined:
    """Join strands end to end. `scale`: millimetres on the face per millimetre drawn."""
    found = Joined()
    found.outlines += [strand for strand in strands if strand.closed]
    pieces = [strand for strand in strands if not strand.closed]
    if not pieces:
        return found
    points = np.array([node for strand in pieces for node in (strand.path.nodes[0], strand.path.nodes[-1])])
    nodes = meeting(points, MEETS_MM / scale).reshape(-1, 2)
    ends: list[Ends] = [(a, b) for a, b in nodes.tolist()]
    kept = [i for i, (a, b) in enumerate(ends) if a != b or length_of(pieces[i].path) > 4 * MEETS_MM / scale]
    pieces, ends = [pieces[i] for i in kept], [ends[i] for i in kept]
    chains = [_chain(trail.steps, pieces, ends) for trail in trails(ends)]
    chains = _bridged(chains, found, gap=GAP_MM / scale)
    _close(chains, found, _Corners(MEETS_MM / scale, GAP_MM / scale))
    return found


def _chain(steps: Sequence[Step], pieces: Sequence[Strand], ends: Sequence[Ends]) -> _Chain:
    strands = [pieces[i] if on else Strand(pieces[i].placed, backwards(pieces[i].path)) for i, on in steps]
    (first, on), (last, to) = steps[0], steps[-1]
    return _Chain(strands, (ends[first][not on], ends[last][to]))


def _bridged(chains: list[_Chain], found: Joined, *, gap: float) -> list[_Chain]:
    """Chains whose free ends are no farther apart than the gap, taken as meeting; nearest ends first."""
    every = [node for chain in chains for node in chain.ends]
    count = np.bincount(np.array(every, dtype=np.int64), minlength=1)
    free = [(i, side) for i, chain in enumerate(chains) for side in (0, 1) if count[chain.ends[side]] == 1]
    places = {end: k for k, end in enumerate(free)}
    lengths = [sum(length_of(strand.path) for strand in chain.strands) / _OWN_LENGTH for chain in chains]
    barred = [(places.get((i, 1 - side), -1), lengths[i]) for i, side in free]
    points = np.array([_end(chains[i], side) for i, side in free]).reshape(-1, 2)
    same = {node: node for node in every}
    for a, b, distance in nearest_pairs(points, gap, barred):
        (i, side), (j, other) = free[a], free[b]
        same[chains[i].ends[side]] = same[chains[j].ends[other]]
        found.bridges.append(distance)
    return [_Chain(chain.strands, (same[chain.ends[0]], same[chain.ends[1]])) for chain in chains]


def _end(chain: _Chain, side: int) -> Point:
    return chain.strands[-1].path.nodes[-1] if side else chain.strands[0].path.nodes[0]


def _close(chains: Sequence[_Chain], found: Joined, corners: _Corners) -> None:
    """Sort chains into outlines, tails and networks."""
    every = [chain.ends for chain in chains]
    ways = trails(every)
    found.outlines += [_outline(trail.steps, chains, corners) for trail in ways if trail.closed]
    rest = [trail for trail in ways if not trail.closed]
    ends = [_ends_of(trail, every) for trail in rest]
    kept = without_tails(ends, range(len(rest)))
    around, parting = circuits(ends, kept)
    for steps in around:
        found.outlines.append(_outline([step for i, on in steps for step in _steps(rest[i], on)], chains, corners))
    tails = sorted(set(range(len(rest))) - set(kept))
    found.opened += [_piece(rest[i], chains, corners) for i in tails]
    found.parting += [_piece(rest[i], chains, corners) for i in parting]


def _ends_of(trail: Trail, ends: Sequence[Ends]) -> Ends:
    (first, on), (last, to) = trail.steps[0], trail.steps[-1]
    return ends[first][not on], ends[last][to]


def _steps(trail: Trail, on: bool) -> list[Step]:  # noqa: FBT001  half of a step
    return trail.steps if on else [(i, not way) for i, way in reversed(trail.steps)]


def _piece(trail: Trail, chains: Sequence[_Chain], corners: _Corners) -> Strand:
    return _laid(_in_order(trail.steps, chains), corners, closed=False)


def _outline(steps: Sequence[Step], chains: Sequence[_Chain], corners: _Corners) -> Strand:
    return _laid(_in_order(steps, chains), corners, closed=True)


def _in_order(steps: Sequence[Step], chains: Sequence[_Chain]) -> list[Strand]:
    strands = []
    for i, on in steps:
        own = chains[i].strands
        strands += own if on else [Strand(strand.placed, backwards(strand.path)) for strand in reversed(own)]
    return strands


def _laid(strands: Sequence[Strand], corners: _Corners, *, closed: bool) -> Strand:
    """Strands one after the other as a path of one subpath; where they do not quite meet, by their common corner."""
    whole = Path()
    paths = [strand.path for strand in strands]
    for path, after in zip(paths, [*paths[1:], *(paths[:1] if closed else [None])], strict=True):
        at = len(whole.nodes)
        whole.nodes += path.nodes
        whole.cubics += [(row[0] + at, *row[1:]) for row in path.cubics]
        whole.arcs += [(row[0] + at, *row[1:]) for row in path.arcs]
        if after and (corner := _corner(path, after, corners)):
            whole.nodes.append(corner)
        elif after and _meet(path, after, corners):
            whole.nodes.pop()
    whole.subpaths = [(0, len(whole.nodes), closed)]
    return Strand(strands[0].placed, whole)


def _meet(path: Path, after: Path, corners: _Corners) -> bool:
    """Whether a straight end can as well be where the next strand begins."""
    last = len(path.nodes) - 1
    bent = any(rows and rows[-1][0] == last for rows in (path.arcs, path.cubics))
    return not bent and last > 0 and math.dist(path.nodes[-1], after.nodes[0]) <= corners.same


def _corner(path: Path, after: Path, corners: _Corners) -> Point | None:
    """Where two strands with a gap between them would meet if both went straight on, unless that is farther off."""
    (ax, ay), (bx, by) = path.nodes[-1], after.nodes[0]
    gx, gy = bx - ax, by - ay
    gap = math.hypot(gx, gy)
    (ux, uy), (vx, vy) = ahead(path), ahead(backwards(after))
    u, v = math.hypot(ux, uy), math.hypot(vx, vy)
    across = ux * vy - uy * vx
    if gap <= _NOISE * corners.same or abs(across) <= 1e-6 * u * v:
        return None
    s, t = (gx * vy - gy * vx) / across, (gx * uy - gy * ux) / across
    near = 0 <= s * u <= corners.reach and 0 <= t * v <= corners.reach
    return (ax + s * ux, ay + s * uy) if near else None
