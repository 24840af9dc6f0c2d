"""What of a scene is ink: hatches where there are any, else closed outlines by even-odd nesting; wide lines always."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.spatial import cKDTree

from stampwright.artwork.affine import IDENTITY, moved_box, shift, stretch, times
from stampwright.artwork.boxes import around, common
from stampwright.artwork.display import Pen, Shape
from stampwright.artwork.ink import Painter
from stampwright.artwork.paths import Path
from stampwright.artwork.reach import around_px

from .alike import ALIKE_MM, copies
from .beside import beside
from .doubt import doubts
from .extent import extent_of
from .joining import GAP_MM, Joined, joined

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from stampwright.artwork.affine import Affine
    from stampwright.base import Bounds

    from .placed import Placed
    from .remarks import Remarks
    from .scene import Scene, Wide
    from .strands import Strand

_ROUNDS = 4  # of joining, should the ink turn out smaller than thought, so that it is enlarged more
_SETTLED = 1.02
_FINE = 2e-5  # of the drawing's size: how near the painted box is to the true one
_LEAST_MM = 1e-6
_MITRE_LIMIT = 4.0  # of wide polylines: what SVG takes when nothing is said; the DXF reference is silent


class Filled(NamedTuple):
    """A path to be filled by the even-odd rule."""

    placed: Placed
    path: Path


@dataclass(slots=True)
class Found:
    """All ink."""

    filled: list[Filled] = field(default_factory=list)
    wide: list[Wide] = field(default_factory=list)

    def shapes(self, to_page: Affine) -> list[Shape]:
        """As painted shapes; `to_page` takes the world to px of the page."""
        shapes = [Shape(placed, path, to_page, rule="evenodd") for placed, path in self.filled]
        for wide in self.wide:
            pen = Pen(wide.width, "butt", "miter", _MITRE_LIMIT, (), 0.0, non_scaling=False)
            shapes.append(Shape(wide.placed, wide.path, times(to_page, wide.to_world), pen=pen))
        return shapes

    def box(self) -> Bounds | None:
        """The box of the ink; None when there is none. What has no area, such as a line there and back, is none."""
        shapes = self.shapes(IDENTITY)
        reach = around_px(shapes)
        if reach is None or _with_size(reach) is None:
            return None
        x0, y0, x1, y1 = reach
        fine = _FINE * max(x1 - x0, y1 - y0)
        near = [replace(shape, to_page=times(shift(-x0, -y0), shape.to_page)) for shape in shapes]
        ink = Painter(sagitta_px=fine).ink(near)
        if ink.is_empty():
            return None
        a, b, c, d = ink.bounds()
        loose = (a + x0 - fine, b + y0 - fine, c + x0 + fine, d + y0 + fine)
        exact = None if self.wide else extent_of([path for _, path in self.filled])
        return _with_size(common(loose, exact) if exact else loose)


@dataclass(slots=True)
class _Look:
    """One round of joining, at one scale."""

    found: Found
    outlines: list[Strand]
    parts: list[Joined]
    strays: list[Strand]
    copied: list[Strand]


def found_in(scene: Scene, scale_of: Callable[[Bounds], float]) -> Found:
    """Find the ink, ends joined within a gap on the face; tell of all that was joined, dropped or left out."""
    box = _reach(scene)
    if box is None:
        return Found()
    scale = scale_of(box)
    for _ in range(_ROUNDS):
        look = _look(scene, scale)
        box = look.found.box()
        true_scale = scale_of(box) if box else scale
        if true_scale <= scale * _SETTLED:
            break
        scale = true_scale
    _tell(look, scene.remarks, scale)
    return look.found


def _reach(scene: Scene) -> Bounds | None:
    """A box that holds all that may turn out to be ink; None when it has no width or no height."""
    filled = [strand for area in (*scene.areas, *scene.tapers) for strand in area.strands]
    boxes = [strand.path.reach() for strand in (*filled, *(() if scene.areas else scene.strands))]
    for wide in scene.wide:
        reach, half = wide.path.reach(), stretch(wide.to_world) * wide.width / 2
        x0, y0, x1, y1 = moved_box(reach, wide.to_world) if reach else (0.0,) * 4
        boxes.append((x0 - half, y0 - half, x1 + half, y1 + half))
    return _with_size(around(boxes))


def _with_size(box: Bounds | None) -> Bounds | None:
    """The box, unless it has no width or no height: a drawing is larger."""
    return box if box and min(box[2] - box[0], box[3] - box[1]) > _LEAST_MM else None


def _look(scene: Scene, scale: float) -> _Look:
    hatched = [(area.placed, joined(area.strands, scale=scale)) for area in scene.areas]
    filled = [Filled(area.placed, Path.joined([strand.path for strand in area.strands])) for area in scene.tapers]
    filled += [Filled(placed, _as_one(parts.outlines)) for placed, parts in hatched if parts.outlines]
    parts = [part for _, part in hatched]
    if hatched:
        bounds = [outline for part in parts for outline in part.outlines]
        return _Look(Found(filled, scene.wide), [], parts, beside(scene.strands, bounds, within=GAP_MM / scale), [])
    twice = copies(scene.strands, scale=scale)
    part = joined([strand for i, strand in enumerate(scene.strands) if i not in twice], scale=scale)
    spare = [scene.strands[i] for i in sorted(twice)]
    used = _with_copies(part, spare, scale=scale)
    again = copies(part.outlines, scale=scale)
    outlines = [outline for i, outline in enumerate(part.outlines) if i not in again]
    copied = [strand for strand in spare if id(strand) not in used] + [part.outlines[i] for i in sorted(again)]
    if outlines:
        filled.append(Filled(outlines[0].placed, _as_one(outlines)))
    return _Look(Found(filled, scene.wide), outlines, [part], [], copied)


def _with_copies(part: Joined, spare: Sequence[Strand], *, scale: float) -> set[int]:
    """Close what parts at a point by the second copies of its lines: areas that share a side have drawn it twice.

    Returns the copies that were needed for it, by identity.
    """
    if not part.parting or not spare:
        return set()
    off = {id(strand) for strand in beside(spare, part.parting, within=ALIKE_MM / scale)}
    shared = [strand for strand in spare if id(strand) not in off]
    whole = joined([*part.parting, *shared], scale=scale)
    if whole.parting or whole.opened:
        return set()
    part.outlines += whole.outlines
    part.parting.clear()
    return {id(strand) for strand in shared}


def _as_one(outlines: Sequence[Strand]) -> Path:
    return Path.joined([outline.path for outline in outlines])


def _tell(look: _Look, remarks: Remarks, scale: float) -> None:
    bridges = [gap for part in look.parts for gap in part.bridges]
    if bridges:
        remarks.note("gap-bridged", what=f"the largest {max(bridges) * scale:.2g} mm on the face", count=len(bridges))
    opened = [strand for part in look.parts for strand in part.opened]
    _each("open-contour", opened, remarks, what=_nearest(opened, scale))
    _each("outline-branches", [strand for part in look.parts for strand in part.parting], remarks)
    _each("outline-beside-hatch", look.strays, remarks)
    _each("duplicate-outline", look.copied, remarks)
    doubt = doubts(look.outlines, scale=scale)
    what = f"{doubt.area:.3g} mm² as drawn lie in more than one of them"
    _each("outlines-cross", [look.outlines[i] for i in doubt.outlines], remarks, what=what)


def _each(code: str, strands: Sequence[Strand], remarks: Remarks, *, what: str = "") -> None:
    for strand in strands:
        remarks.note(code, strand.placed, what=what, box=strand.path.reach())


def _nearest(opened: Sequence[Strand], scale: float) -> str:
    """How far the nearest two open ends are apart, on the face."""
    if not opened:
        return ""
    ends = np.array([node for strand in opened for node in (strand.path.nodes[0], strand.path.nodes[-1])])
    apart = float(cKDTree(ends).query(ends, k=2)[0][:, 1].min()) * scale
    return f"the nearest two ends are {apart:.2g} mm apart on the face"
