"""Build the solid: lands, floor, walls, back and hole, assembled over one grid, and checked before it leaves."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import shapely

from stampwright.base import JobError
from stampwright.base.tolerances import CHORD_MM
from stampwright.plane import diagram_of

from .bore import bore_of
from .drafted import drafted_front
from .joining import joined, without_crumbs
from .mesh import at_height, check, walls, welded
from .regions import regions_of, triangles_of
from .rim import rim_of
from .sharpened import sharpened_front
from .solid import Solid

if TYPE_CHECKING:
    from stampwright.job import Head
    from stampwright.layout import Face
    from stampwright.plane import Diagram

    from .bore import Bore
    from .mesh import Corners, Patch
    from .rim import Rim
    from .sharpened import Sharpened
    from .solid import Hole

_G_PER_MM3_AT_1_KG_M3 = 1e-6
_LEAST_REACH_MM = 0.001  # a foot narrower than this is a straight wall: below what the grid shapes well
_MOST_DRAFT_DEG = 80.0


class Front(NamedTuple):
    """The surface of the relief above the floor's level, and the plate under it, which names the same rim vertices."""

    surface: list[Corners | Patch]
    plate: shapely.Geometry
    volume_mm3: float | None = None  # of the lands above the floor, where the plan tells it


def build_solid(  # noqa: PLR0913  each a separate fact of the job
    face: Face,
    *,
    head: Head,
    hole: Hole | None,
    density_kg_m3: float,
    draft_deg: float = 0.0,
    chord_mm: float = CHORD_MM,
    left_uncut: shapely.MultiPolygon | None = None,
    sharpened: Sharpened | None = None,
    diagram: Diagram | None = None,
) -> Solid:
    """Build the relief of a face with its hole; with `left_uncut`, as the cutters leave it.

    Walls slope outwards by `draft_deg` from the vertical, the lands keep their outline at the top; what is round keeps
    `chord_mm`. `sharpened` is what a pointed cutter came to: beside straight walls its flank and its grooves are
    modelled. `diagram`: that of the face's outlines, where it has been made already.

    Raises `DoesNotFit` when the foot of a wall leaves the head, `JobError` for a draft that is none, and
    `InternalFault` (open-solid) when the result is not one closed, oriented surface of the right volume.
    """
    front = _front(
        *(face, diagram),
        draft_deg=draft_deg,
        chord_mm=chord_mm,
        left_uncut=left_uncut,
        sharpened=sharpened,
    )
    bore = bore_of(hole, thickness_mm=head.thickness_mm, chord_mm=chord_mm) if hole else None
    rim = rim_of(front.plate, head, relief_mm=face.relief_mm)
    mesh = welded([*front.surface, *rim.surface, *_back(rim, bore, thickness_mm=head.thickness_mm)])
    check(mesh, expected_mm3=_volume_mm3(front, rim, bore, plate_mm=head.thickness_mm - face.relief_mm))
    volume_mm3 = mesh.volume_mm3
    low, high = mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)
    return Solid(
        kind="as_drawn" if left_uncut is None else "as_cut",
        vertices=mesh.vertices,
        triangles=mesh.triangles,
        volume_mm3=volume_mm3,
        surface_mm2=mesh.surface_mm2,
        mass_g=volume_mm3 * density_kg_m3 * _G_PER_MM3_AT_1_KG_M3,
        bounds_mm=((float(low[0]), float(low[1]), float(low[2])), (float(high[0]), float(high[1]), float(high[2]))),
        watertight=True,
        hole=hole,
    )


def _front(  # noqa: PLR0913  each a separate fact of the job
    face: Face,
    diagram: Diagram | None,
    *,
    draft_deg: float,
    chord_mm: float,
    left_uncut: shapely.MultiPolygon | None,
    sharpened: Sharpened | None,
) -> Front:
    if not face.ink.is_empty and _reach_mm(face.relief_mm, draft_deg) >= _LEAST_REACH_MM:
        lands = _with(face, left_uncut)
        slope = drafted_front(
            lands,
            face.head,
            diagram=diagram if lands is face.ink else None,
            relief_mm=face.relief_mm,
            draft_deg=draft_deg,
            chord_mm=chord_mm,
        )
        return Front([slope], face.head)
    ground = without_crumbs(sharpened.ground) if sharpened else None
    if not sharpened or not ground:
        lands = _with(face, left_uncut)
        around = face.floor if lands is face.ink else None
        return straight_front(lands, face.head, relief_mm=face.relief_mm, around=around)
    surface, plate = sharpened_front(
        face,
        ground,
        diagram=diagram or diagram_of(face.ink),
        cutter=sharpened.cutter,
        chord_mm=chord_mm,
    )
    return Front([surface], plate)


def _with(face: Face, beside: shapely.MultiPolygon | None) -> shapely.MultiPolygon:
    return joined(face.ink, beside, face.head) if beside else face.ink


def _reach_mm(relief_mm: float, draft_deg: float) -> float:
    """How much wider the foot of a wall is than its top."""
    if not 0 <= draft_deg <= _MOST_DRAFT_DEG:
        detail = f"a draft of {draft_deg:g} degrees: give 0 to {_MOST_DRAFT_DEG:g}"
        raise JobError.at("draft", detail, pointer="/job/relief/draft_deg")
    return relief_mm * math.tan(math.radians(draft_deg))


def straight_front(
    lands: shapely.MultiPolygon,
    head: shapely.Polygon,
    *,
    relief_mm: float,
    around: shapely.MultiPolygon | None = None,
) -> Front:
    """Vertical walls: top of the lands at 0, the floor, which is known where it lies `around` the ink, at −relief."""
    regions = regions_of(lands, head, around=around)
    surface: list[Corners | Patch] = [
        at_height(triangles_of(regions.lands), 0.0, facing_up=True),
        at_height(triangles_of(regions.floor), -relief_mm, facing_up=True),
        walls(regions.edges, 0.0, -relief_mm),
    ]
    return Front(surface, regions.plate, relief_mm * regions.lands.area)


def _back(rim: Rim, bore: Bore | None, *, thickness_mm: float) -> list[Corners]:
    """The back at −thickness, and the hole in it."""
    back = shapely.difference(rim.back, bore.mouth) if bore else rim.back
    return [at_height(triangles_of(back), -thickness_mm, facing_up=False), *([bore.surface] if bore else [])]


def _volume_mm3(front: Front, rim: Rim, bore: Bore | None, *, plate_mm: float) -> float | None:
    """What the polygons say of the volume; None for a front that no plan tells."""
    if front.volume_mm3 is None:
        return None
    taken_mm3 = rim.broken_mm3 + (bore.volume_mm3 if bore else 0.0)
    return plate_mm * float(front.plate.area) + front.volume_mm3 - taken_mm3
