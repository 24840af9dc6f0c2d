"""An entity where it is drawn: through the inserts that lead to it, on the layer that decides whether it shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ezdxf.math import Matrix44

    from stampwright.artwork.affine import Affine

Entity = Any
"""An entity of ezdxf: each kind has a class of its own, chosen by the name that the file gives."""

_LONGEST_NAME = 40


@dataclass(eq=False, slots=True)
class Placed:
    """`to_world` takes the space of the entity's block, in its unit, to millimetres, x right, y up."""

    entity: Entity
    to_world: Matrix44
    layer: str
    inside: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Layer, inserts on the way, kind and handle: `/CUT/INSERT[3A]/LINE[2F]`."""
        return "/" + "/".join((_short(self.layer), *self.inside, named(self.entity)))

    def plane(self, elevation: float = 0.0) -> Affine:
        """The map from the entity's own plane (DXF reference, object coordinate system) to the world."""
        ocs = self.entity.ocs()
        x, y = (self.to_world.transform_direction(axis) for axis in (ocs.ux, ocs.uy))
        origin = self.to_world.transform(ocs.uz * elevation)
        return (x.x, x.y, y.x, y.y, origin.x, origin.y)


def attribute(entity: Entity, name: str, default: Any) -> Any:  # noqa: ANN401  numbers, text, vectors
    """An attribute of an entity, or the default where it has none, or its kind knows none of this name."""
    return entity.dxf.get(name, default) if entity.dxf.is_supported(name) else default


def named(entity: Entity) -> str:
    """Kind and handle."""
    return f"{entity.dxftype()}[{attribute(entity, 'handle', '?')}]"


def _short(name: str) -> str:
    return "".join(sign if sign.isprintable() and sign != "/" else "_" for sign in name[:_LONGEST_NAME])
