"""The outlines as DXF: read back by ezdxf and judged by its audit; units by the DXF reference ($INSUNITS 4 is mm)."""

import io
from functools import cache

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf import recover

from stamped import NAMES, stamp_of
from stampwright.documents import LAYERS, outlines_dxf


@pytest.fixture(params=NAMES)
def name(request):
    return request.param


@cache
def read(name):
    return recover.read(io.BytesIO(outlines_dxf(stamp_of(name))))[0]


def areas_on(document, layer):
    """Polygons of the closed polylines on one layer."""
    found = document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    assert all(line.closed for line in found)
    return [shapely.Polygon(line.get_points("xy")) for line in found]


def test_another_program_s_audit_finds_nothing(name):
    audit = ezdxf.read(io.StringIO(outlines_dxf(stamp_of(name)).decode())).audit()
    assert not audit.errors
    assert not audit.fixes


def test_the_header_says_millimetres():
    header = read("skep").header
    assert (header["$INSUNITS"], header["$MEASUREMENT"]) == (4, 1)


def test_every_layer_is_there_and_nothing_lies_elsewhere(name):
    document = read(name)
    assert {layer.dxf.name for layer in document.layers} >= set(LAYERS)
    assert {entity.dxf.layer for entity in document.modelspace()} <= set(LAYERS)


def test_lands_less_counters_are_the_ink(name):
    document = read(name)
    lands, counters = (sum(area.area for area in areas_on(document, layer)) for layer in ("LANDS", "COUNTERS"))
    assert lands - counters == pytest.approx(stamp_of(name).face.ink.area, rel=1e-12)


def test_its_places_are_exactly_those_of_the_solid():
    solid = {tuple(xy) for xy in stamp_of("clover").solid.vertices[:, :2].tolist()}
    corners = np.vstack([shapely.get_coordinates(areas_on(read("clover"), layer)) for layer in ("LANDS", "HEAD")])
    assert {tuple(xy) for xy in corners.tolist()} <= solid


def test_the_hole_is_two_circles_about_the_origin():
    hole = stamp_of("skep").solid.hole
    circles = read("skep").modelspace().query("CIRCLE")
    assert {(c.dxf.center.x, c.dxf.center.y) for c in circles} == {(0, 0)}
    assert [2 * c.dxf.radius for c in circles] == [hole.drill_mm, hole.countersink_mm]


def test_the_box_is_that_of_the_lands(name):
    (box,) = areas_on(read(name), "INK_BOX")
    assert box.bounds == stamp_of(name).face.ink.bounds
