"""The modelspace and the blocks inserted there, entity by entity; everything is counted before anything expands."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from ezdxf.math import Matrix44, Vec3

from stampwright.artwork.limits import keep_within
from stampwright.base import StampwrightError

from .document import FAULTS
from .placed import Placed, attribute, named
from .splines import is_exact

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from ezdxf.document import Drawing

    from .placed import Entity
    from .remarks import Remarks

_PLAIN_LAYER = "0"  # in a block it stands for the layer of the insert
_FITTED = 50  # segments that a control point of a spline costs which has to be fitted
_NEVER_PLOTTED = "defpoints"


class _Cost(NamedTuple):
    entities: int
    points: int


@dataclass(slots=True)
class Walk:
    """Yields what shows, placed. Raises `TooComplex` when inserts would come to more than is let in."""

    document: Drawing
    remarks: Remarks
    _costs: dict[str, _Cost] = field(default_factory=dict)
    _hides: dict[str, str] = field(default_factory=dict)

    def placed(self, mm: float) -> Iterator[Placed]:
        """Every entity that shows, `mm` millimetres a unit."""
        entities = list(self.document.modelspace())
        cost = self._cost_of(entities, ())
        keep_within("drawn", cost.entities)
        keep_within("segments", cost.points)
        yield from self._in(
            entities, Placed(self.document.modelspace().block_record, Matrix44.scale(mm), _PLAIN_LAYER), ()
        )

    def _cost_of(self, entities: Iterable[Entity], above: tuple[str, ...]) -> _Cost:
        keep_within("depth", len(above))
        count = points = 0
        for entity in entities:
            each, times = _Cost(1, _points_of(entity)), 1
            if entity.dxftype() == "INSERT":
                each, times = self._cost_of_block(_block_name(entity), above), _rows(entity) * _columns(entity)
            count += times * max(each.entities, 1)
            points += times * each.points
        return _Cost(count, points)

    def _cost_of_block(self, name: str, above: tuple[str, ...]) -> _Cost:
        if name in above or name not in self.document.blocks:
            return _Cost(0, 0)
        if name not in self._costs:
            self._costs[name] = self._cost_of(self.document.blocks.get(name), (*above, name))
        return self._costs[name]

    def _in(self, entities: Iterable[Entity], parent: Placed, above: tuple[str, ...]) -> Iterator[Placed]:
        for entity in entities:
            layer = attribute(entity, "layer", _PLAIN_LAYER)
            own = Placed(entity, parent.to_world, parent.layer if layer == _PLAIN_LAYER else layer, parent.inside)
            hidden = self._hidden(own)
            if entity.dxftype() == "INSERT":
                if hidden not in {"frozen", "invisible"}:  # a layer that is off hides no more than what lies on it
                    yield from self._inserted(own, above)
                else:
                    self.remarks.note("hidden-layer", own, what=own.layer)
            elif hidden:
                self.remarks.note("hidden-layer", own, what=own.layer if hidden != "invisible" else "invisible")
            else:
                yield own

    def _inserted(self, insert: Placed, above: tuple[str, ...]) -> Iterator[Placed]:
        name = _block_name(insert.entity)
        yield from (Placed(attrib, insert.to_world, insert.layer, insert.inside) for attrib in insert.entity.attribs)
        if name not in self.document.blocks:
            self.remarks.note("broken-reference", insert, what=name[:40])
            return
        block = self.document.blocks.get(name)
        if name in above:
            self.remarks.note("use-cycle", insert)
            return
        if block.block is not None and block.block.is_xref:
            self.remarks.note("external-reference", insert)
            return
        for matrix in _matrices(insert):
            inner = Placed(insert.entity, matrix, insert.layer, (*insert.inside, named(insert.entity)))
            yield from self._in(block, inner, (*above, name))

    def _hidden(self, placed: Placed) -> str:
        """Why an entity does not show; empty when it does."""
        if attribute(placed.entity, "invisible", 0):
            return "invisible"
        name = placed.layer.lower()
        if name not in self._hides:
            self._hides[name] = self._layer_hides(name)
        return self._hides[name]

    def _layer_hides(self, name: str) -> str:
        if name == _NEVER_PLOTTED:
            return "not plotted"
        if not self.document.layers.has_entry(name):
            return ""
        layer = self.document.layers.get(name)
        if layer.is_frozen():
            return "frozen"
        return "off" if layer.is_off() else "" if attribute(layer, "plot", 1) else "not plotted"


def _block_name(insert: Entity) -> str:
    return str(attribute(insert, "name", ""))


def _rows(insert: Entity) -> int:
    return max(int(attribute(insert, "row_count", 1)), 1) if attribute(insert, "row_spacing", 0.0) else 1


def _columns(insert: Entity) -> int:
    return max(int(attribute(insert, "column_count", 1)), 1) if attribute(insert, "column_spacing", 0.0) else 1


def _matrices(insert: Placed) -> Iterator[Matrix44]:
    """One map for each place of an insert and its array: the grid is turned with it and not scaled."""
    entity = insert.entity
    try:
        first, ocs = entity.matrix44(), entity.ocs()
        dx, dy, turn = (float(attribute(entity, name, 0.0)) for name in ("column_spacing", "row_spacing", "rotation"))
    except StampwrightError:
        raise
    except FAULTS:
        return
    for row in range(_rows(entity)):
        for column in range(_columns(entity)):
            step = ocs.to_wcs(Vec3(column * dx, row * dy).rotate_deg(turn))
            yield first * Matrix44.translate(step.x, step.y, step.z) * insert.to_world


def _points_of(entity: Entity) -> int:
    """Points that an entity will have, near enough."""
    kind = entity.dxftype()
    if kind == "LWPOLYLINE":
        return len(entity)
    if kind == "POLYLINE":
        return len(entity.vertices)
    if kind in {"SPLINE", "HELIX"}:
        each = 4 if is_exact(entity) else _FITTED
        return each * int(entity.control_point_count() + entity.fit_point_count())
    if kind in {"HATCH", "MPOLYGON"}:
        return sum(len(path.vertices) if hasattr(path, "vertices") else len(path.edges) for path in entity.paths)
    return 1
