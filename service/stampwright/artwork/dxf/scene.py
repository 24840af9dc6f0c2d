"""What the entities of a drawing come to: strands still to be joined, areas filled by themselves, wide lines."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from stampwright.artwork.affine import moved_box, stretch
from stampwright.artwork.limits import LIMITS, keep_within

from .strands import Strand

if TYPE_CHECKING:
    from stampwright.artwork.affine import Affine
    from stampwright.artwork.paths import Path
    from stampwright.base import Bounds

    from .placed import Placed
    from .remarks import Remarks


class Area(NamedTuple):
    """A hatch, SOLID or TRACE: what bounds it."""

    placed: Placed
    strands: list[Strand]


class Wide(NamedTuple):
    """A polyline with a width, in its own plane."""

    placed: Placed
    path: Path
    to_world: Affine
    width: float


@dataclass(slots=True)
class Scene:
    """All that shows and is read."""

    remarks: Remarks
    strands: list[Strand] = field(default_factory=list)
    areas: list[Area] = field(default_factory=list)
    tapers: list[Area] = field(default_factory=list)  # pieces of wide lines
    wide: list[Wide] = field(default_factory=list)

    def add(self, placed: Placed, path: Path) -> None:
        """Take in what may be joined; a point is nothing."""
        if len(path.nodes) > 1:
            self.strands.append(Strand(placed, path))

    def keep_finite(self) -> None:
        """Refuse numbers beyond all bounds before anything is flattened, with the entity that has them."""
        strands = [strand for area in (*self.areas, *self.tapers) for strand in area.strands]
        for strand in (*strands, *self.strands):
            _keep_finite(strand.placed, strand.path.reach())
        for wide in self.wide:
            reach = wide.path.reach()
            _keep_finite(wide.placed, reach and moved_box(reach, wide.to_world))
            keep_within("reach", wide.width * stretch(wide.to_world), element=wide.placed.name)


def _keep_finite(placed: Placed, reach: Bounds | None) -> None:
    x0, y0, x1, y1 = reach or (0.0,) * 4
    far, size = max(abs(x0), abs(y0), abs(x1), abs(y1)), max(x1 - x0, y1 - y0)
    if not (far <= LIMITS["far"].most and size <= LIMITS["reach"].most):  # naming the entity costs more than the look
        keep_within("far", far, element=placed.name)
        keep_within("reach", size, element=placed.name)
