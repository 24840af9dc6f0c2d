"""Stipple and lace: a floor, or a land, with thousands of holes is triangulated in parts, and is the same surface."""

import numpy as np
import pytest
import shapely

from outside_checks import assert_closed
from relief_shapes import regular_polygon_area
from stampwright.job import Head
from stampwright.layout import Face
from stampwright.plane import on_grid
from stampwright.solid import build_solid, regions
from stampwright.solid.regions import triangles_of

ACROSS, CORNERS, RADIUS_MM = 42, 8, 0.3  # 1,764 dots


def dots():
    """Discs of eight corners, one in each square millimetre, a little aside of its middle."""
    dice = np.random.default_rng(4)
    middles = np.stack(np.meshgrid(*2 * [np.arange(ACROSS)]), axis=-1).reshape(-1, 1, 2) - (ACROSS - 1) / 2
    middles = middles + dice.uniform(-0.1, 0.1, middles.shape)
    turns = np.linspace(0, 2 * np.pi, CORNERS, endpoint=False)
    return on_grid(
        shapely.multipolygons(shapely.polygons(middles + RADIUS_MM * np.column_stack([np.cos(turns), np.sin(turns)])))
    )


PLATE = shapely.box(-24, -24, 24, 24)
AREAS = {"stipple": dots(), "lace": shapely.multipolygons([shapely.difference(shapely.box(-22, -22, 22, 22), dots())])}


@pytest.mark.parametrize("lands", AREAS.values(), ids=AREAS)
def test_the_solid_is_closed_and_has_the_volume_of_its_prisms(lands):
    head = Head(width_mm=48, height_mm=48, corner_radius_mm=0)
    face = Face(lands, PLATE, 1.5, 1.0, reversed=True, mirror_symmetric=False)
    solid = build_solid(face, head=head, hole=None, density_kg_m3=8490)
    assert_closed(solid)
    of_dots = ACROSS**2 * regular_polygon_area(RADIUS_MM, CORNERS)
    expected_mm2 = of_dots if len(lands.geoms) > 1 else 44**2 - of_dots
    assert solid.volume_mm3 == pytest.approx(48 * 48 * 17.5 + 1.5 * expected_mm2, rel=1e-6)


@pytest.mark.parametrize("lands", AREAS.values(), ids=AREAS)
def test_its_triangles_are_those_of_the_whole(lands):
    """GEOS triangulates the whole as well: as many triangles, as wide at their narrowest, over the same ground."""
    floor = shapely.difference(PLATE, lands)
    area = floor if len(lands.geoms) > 1 else lands
    whole = shapely.get_parts(shapely.constrained_delaunay_triangles(area))
    ours = shapely.polygons(triangles_of(area))
    assert len(ours) == len(whole)
    assert shapely.area(ours).sum() == pytest.approx(shapely.area(area), rel=1e-12)
    assert shapely.equals(shapely.coverage_union_all(ours), shapely.coverage_union_all(whole))
    least = [np.min(2 * shapely.area(each) / shapely.length(each)) for each in (ours, whole)]
    assert least[0] == pytest.approx(least[1], rel=1e-9)


def test_the_library_is_given_no_polygon_with_many_holes(monkeypatch):
    seen = []
    triangulate = shapely.constrained_delaunay_triangles
    monkeypatch.setattr(
        regions.shapely,
        "constrained_delaunay_triangles",
        lambda areas: seen.append(shapely.get_num_interior_rings(shapely.get_parts(areas)).max()) or triangulate(areas),
    )
    triangles_of(AREAS["lace"])
    assert max(seen) < 100
