"""The outlines as DXF: read back by ezdxf and judged by its audit; units by the DXF reference ($INSUNITS 4 is mm)."""

import io
import os
import subprocess
import sys

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf import recover

from house import ROOT
from stamped import NAMES, stamp_of
from stampwright.documents import LAYERS, outlines_dxf


@pytest.fixture(params=NAMES)
def stamp(request):
    return stamp_of(request.param)


def read(stamp):
    return recover.read(io.BytesIO(outlines_dxf(stamp)))[0]


def areas_on(document, layer):
    """Polygons of the closed polylines on one layer."""
    found = document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    assert all(line.closed for line in found)
    return [shapely.Polygon(line.get_points("xy")) for line in found]


def test_another_program_s_audit_finds_nothing(stamp):
    audit = ezdxf.read(io.StringIO(outlines_dxf(stamp).decode())).audit()
    assert not audit.errors
    assert not audit.fixes


def test_the_header_says_millimetres():
    header = read(stamp_of("skep")).header
    assert (header["$INSUNITS"], header["$MEASUREMENT"]) == (4, 1)


def test_every_layer_is_there_and_nothing_lies_elsewhere(stamp):
    document = read(stamp)
    assert {layer.dxf.name for layer in document.layers} >= set(LAYERS)
    assert {entity.dxf.layer for entity in document.modelspace()} <= set(LAYERS)


def test_lands_less_counters_are_the_ink(stamp):
    document = read(stamp)
    lands, counters = (sum(area.area for area in areas_on(document, layer)) for layer in ("LANDS", "COUNTERS"))
    assert lands - counters == pytest.approx(stamp.face.ink.area, rel=1e-12)


def test_its_places_are_exactly_those_of_the_solid():
    stamp = stamp_of("clover")
    solid = {tuple(xy) for xy in stamp.solid.vertices[:, :2].tolist()}
    corners = np.vstack([shapely.get_coordinates(areas_on(read(stamp), layer)) for layer in ("LANDS", "HEAD")])
    assert {tuple(xy) for xy in corners.tolist()} <= solid


def test_the_hole_is_two_circles_about_the_origin():
    stamp = stamp_of("skep")
    circles = read(stamp).modelspace().query("CIRCLE")
    assert {(c.dxf.center.x, c.dxf.center.y) for c in circles} == {(0, 0)}
    assert [2 * c.dxf.radius for c in circles] == [stamp.solid.hole.drill_mm, stamp.solid.hole.countersink_mm]


def test_the_box_is_that_of_the_lands(stamp):
    (box,) = areas_on(read(stamp), "INK_BOX")
    assert box.bounds == stamp.face.ink.bounds


def test_two_processes_write_the_same_bytes():
    """Words are hashed anew in each process; no set may order the file."""
    code = "import hashlib; from stamped import *; from stampwright.documents import outlines_dxf; "
    code += "print(hashlib.sha256(outlines_dxf(stamp_of('queen'))).hexdigest())"
    seeds = [os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT / "tests")} for seed in ("1", "4", "7")]
    runs = [subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, check=True) for env in seeds]  # noqa: S603  ours
    assert len({run.stdout for run in runs}) == 1
