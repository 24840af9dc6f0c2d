"""Mesh: triangles over columns of the plan grid, welded by exact position, and the laws a solid must keep."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.base import InternalFault
from stampwright.base.counting import picked
from stampwright.base.tolerances import GRID_PER_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Corners = NDArray[np.float64]  # (m, 3, 3): triangles by corner by x, y, z

_AT_ONCE = 100_000  # triangles
_HALF = 2**31
_VOLUME_SHARE = 1e-9  # mesh against polygons; both are sums over the same grid places, so only rounding parts them


@dataclass(frozen=True)
class Mesh:
    """`vertices` (n, 3) in mm and `triangles` (m, 3) that index them, counter-clockwise seen from outside."""

    vertices: NDArray[np.float64]
    triangles: NDArray[np.int32]

    @property
    def volume_mm3(self) -> float:
        """Signed volume, by the divergence theorem."""
        return self._measures[0]

    @property
    def surface_mm2(self) -> float:
        """Area of all triangles."""
        return self._measures[1]

    def faults(self) -> list[str]:
        """Ways in which this is no closed, oriented surface of proper triangles; empty when it is one."""
        codes = self._codes()
        repeated = int(np.count_nonzero(codes[1:] == codes[:-1]))
        are_paired = len(codes) % 2 == 0 and np.array_equal(codes[0::2] ^ 1, codes[1::2])
        lone = 0 if are_paired else int(np.count_nonzero(~np.isin(codes ^ 1, codes)))
        _, _, flat = self._measures
        counts = {"edges occur twice": repeated, "edges have no partner": lone, "triangles have no area": flat}
        return [f"{count} {what}" for what, count in counts.items() if count]

    @cached_property
    def _measures(self) -> tuple[float, float, int]:
        """Signed volume, surface, and how many triangles have none; so many at once that what is reckoned is small."""
        volumes_mm3, areas_mm2, flat = 0.0, 0.0, 0
        for part in np.array_split(self.triangles, len(self.triangles) // _AT_ONCE + 1):
            a, b, c = (picked(self.vertices, part[:, i]).T for i in range(3))
            (ux, uy, uz), (vx, vy, vz) = b - a, c - a
            normal = np.stack([uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx])
            length = np.sqrt(np.sum(normal * normal, axis=0))
            volumes_mm3 += float(np.sum(a * normal)) / 6
            areas_mm2 += float(np.sum(length)) / 2
            flat += int(np.count_nonzero(length == 0))
        return volumes_mm3, areas_mm2, flat

    def _codes(self) -> NDArray[np.int64]:
        """A number for each directed edge, in rising order; for its reverse it differs in the last bit."""
        origin, target = self.triangles.T.ravel(), np.roll(self.triangles.T, -1, axis=0).ravel()
        codes = np.minimum(origin, target).astype(np.int64) * len(self.vertices)
        codes += np.maximum(origin, target)
        codes <<= 1
        codes += origin < target
        codes.sort()
        return codes


def check(mesh: Mesh, *, expected_mm3: float | None) -> None:
    """Raise `InternalFault` (open-solid) unless a mesh is one closed, oriented surface of the volume that is known."""
    faults = mesh.faults()
    if expected_mm3 is not None and abs(mesh.volume_mm3 - expected_mm3) > _VOLUME_SHARE * expected_mm3:
        faults.append(f"it has {mesh.volume_mm3!r} mm³, not {expected_mm3!r} mm³")
    if faults:
        raise InternalFault.at("open-solid", f"the solid failed its own check: {', '.join(faults)}")


def plan_keys(xy_mm: NDArray[np.float64]) -> NDArray[np.int64]:
    """One integer per place of the plan grid: (..., 2) → (...). Exact, since grid places are."""
    keys: NDArray[np.int64] = np.rint(xy_mm[..., 0] * GRID_PER_MM).astype(np.int64)
    keys <<= 32
    keys += np.rint(xy_mm[..., 1] * GRID_PER_MM).astype(np.int64)
    return keys


def _of_keys(keys: NDArray[np.int64]) -> NDArray[np.float64]:
    """The places (n, 2) that keys (n) stand for."""
    y = ((keys + _HALF) & (2 * _HALF - 1)) - _HALF
    return np.column_stack([(keys - y) >> 32, y]) / GRID_PER_MM


class Patch(NamedTuple):
    """Part of a surface whose corners are named once: `vertices` (n, 3), all of them used, `triangles` (m, 3)."""

    vertices: NDArray[np.float64]
    triangles: NDArray[np.int32]

    @classmethod
    def of_used(cls, vertices: NDArray[np.float64], triangles: NDArray[np.int32]) -> Patch:
        """Leave out the vertices that no triangle names."""
        used = np.zeros(len(vertices), dtype=bool)
        used[triangles] = True
        return cls(picked(vertices, used), picked(np.cumsum(used, dtype=np.int32) - 1, triangles))


def welded(pieces: Sequence[Corners | Patch]) -> Mesh:
    """Join triangles into one mesh: corners at exactly the same place become one vertex, in order of place."""
    patches = [piece if isinstance(piece, Patch) else _patch(piece) for piece in pieces]
    vertices = np.concatenate([patch.vertices for patch in patches])
    places, place = np.unique(plan_keys(vertices[:, :2]), return_inverse=True)
    levels, level = np.unique(vertices[:, 2], return_inverse=True)
    place *= len(levels)  # one number for each place and level, made where the places were: arrays are large here
    place += level
    del level, vertices
    corners, index = np.unique(place, return_inverse=True)
    del place
    of_place, of_level = np.divmod(corners, len(levels))
    ends = np.cumsum([len(patch.vertices) for patch in patches])
    own = np.split(index.astype(np.int32), ends[:-1])
    triangles = np.concatenate([picked(number, patch.triangles) for number, patch in zip(own, patches, strict=True)])
    return Mesh(np.column_stack([_of_keys(places[of_place]), levels[of_level]]), triangles)


def _patch(corners: Corners) -> Patch:
    return Patch(corners.reshape(-1, 3), np.arange(3 * len(corners), dtype=np.int32).reshape(-1, 3))


def at_height(triangles_xy: NDArray[np.float64], z_mm: float, *, facing_up: bool) -> Corners:
    """Lift plan triangles (m, 3, 2), counter-clockwise, to one height."""
    z = np.full((*triangles_xy.shape[:2], 1), z_mm)
    lifted = np.concatenate([triangles_xy, z], axis=2)
    return lifted if facing_up else lifted[:, ::-1]


def walls(edges: NDArray[np.float64], upper_mm: float, lower_mm: float) -> Patch:
    """Vertical walls under directed plan edges (n, 2, 2) with the metal on their left, between two heights."""
    ends = edges.reshape(-1, 2)
    vertices = np.column_stack([np.tile(ends, (2, 1)), np.repeat([lower_mm, upper_mm], len(ends))])
    low_a = np.arange(0, len(ends), 2, dtype=np.int32)
    low_b, up_a, up_b = low_a + 1, low_a + len(ends), low_a + len(ends) + 1
    first, second = np.stack([low_a, low_b, up_b], axis=1), np.stack([low_a, up_b, up_a], axis=1)
    return Patch(vertices, np.concatenate([first, second]))


def bands(lower: NDArray[np.float64], upper: NDArray[np.float64]) -> Corners:
    """Two triangles between each lower edge and the upper edge over it, both (n, 2, 3), metal on the left."""
    low_a, low_b, up_a, up_b = lower[:, 0], lower[:, 1], upper[:, 0], upper[:, 1]
    first, second = np.stack([low_a, low_b, up_b], axis=1), np.stack([low_a, up_b, up_a], axis=1)
    return np.concatenate([first, second])
