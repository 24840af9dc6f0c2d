"""Build the solid: lands, floor, walls, back and hole, assembled over one grid, and checked before it leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from stampwright.base import InternalFault, JobError
from stampwright.plane import on_grid, part_pinches

from .bore import bore_of
from .mesh import Mesh, at_height, walls, welded
from .regions import Regions, directed_edges, regions_of, triangles_of
from .solid import Solid

if TYPE_CHECKING:
    from stampwright.job import Head
    from stampwright.layout import Face

    from .bore import Bore
    from .solid import Hole

_G_PER_MM3_AT_1_KG_M3 = 1e-6
_VOLUME_SHARE = 1e-9  # mesh against polygons; both are sums over the same grid places, so only rounding parts them


def build_solid(  # noqa: PLR0913  each a separate fact of the job
    face: Face,
    *,
    head: Head,
    hole: Hole | None,
    density_kg_m3: float,
    draft_deg: float = 0.0,
    left_uncut: shapely.MultiPolygon | None = None,
) -> Solid:
    """Build the relief of a face with its hole; with `left_uncut`, as the cutters leave it.

    Raises `JobError` for walls with draft, and `InternalFault` (open-solid) when the result is not one closed, oriented
    surface of the right volume.
    """
    if draft_deg:
        detail = "sloping walls are not offered yet: leave draft_deg out, or give 0 for straight walls"
        raise JobError.at("draft-not-offered", detail, pointer="/job/relief/draft_deg")
    lands = face.ink
    if left_uncut is not None and not left_uncut.is_empty:
        lands = part_pinches(on_grid(shapely.intersection(shapely.union(face.ink, left_uncut), face.head)))
    regions = regions_of(lands, face.head)
    bore = bore_of(hole, thickness_mm=head.thickness_mm) if hole else None
    mesh = _straight(regions, bore, relief_mm=face.relief_mm, thickness_mm=head.thickness_mm)
    _check(mesh, _volume_mm3(regions, bore, relief_mm=face.relief_mm, thickness_mm=head.thickness_mm))
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


def _straight(regions: Regions, bore: Bore | None, *, relief_mm: float, thickness_mm: float) -> Mesh:
    """Vertical walls: top of the lands at 0, the floor at −relief, the back at −thickness."""
    back = shapely.difference(regions.plate, bore.mouth) if bore else regions.plate
    pieces = [
        at_height(triangles_of(regions.lands), 0.0, facing_up=True),
        at_height(triangles_of(regions.floor), -relief_mm, facing_up=True),
        at_height(triangles_of(back), -thickness_mm, facing_up=False),
        walls(directed_edges(regions.lands), 0.0, -relief_mm),
        walls(directed_edges(regions.plate), -relief_mm, -thickness_mm),
    ]
    return welded(pieces + ([bore.surface] if bore else []))


def _volume_mm3(regions: Regions, bore: Bore | None, *, relief_mm: float, thickness_mm: float) -> float:
    plate_mm3 = (thickness_mm - relief_mm) * regions.plate.area
    return float(plate_mm3 + relief_mm * regions.lands.area - (bore.volume_mm3 if bore else 0.0))


def _check(mesh: Mesh, expected_mm3: float) -> None:
    faults = mesh.faults()
    if abs(mesh.volume_mm3 - expected_mm3) > _VOLUME_SHARE * expected_mm3:
        faults.append(f"volume {mesh.volume_mm3!r} mm³ is not {expected_mm3!r} mm³")
    if faults:
        raise InternalFault.at("open-solid", f"the solid failed its own check: {', '.join(faults)}")
