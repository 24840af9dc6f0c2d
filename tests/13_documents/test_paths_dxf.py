"""The cutters' ways as DXF: read back by ezdxf, judged by its audit, and held to the plan's figures."""

import io
from functools import cache

import ezdxf
import pytest
import shapely

from stamped import NAMES, stamp_of
from stampwright.documents import layer_of, paths_dxf


@pytest.fixture(params=NAMES[:4])
def name(request):
    return request.param


@cache
def read(name):
    return ezdxf.read(io.StringIO(paths_dxf(stamp_of(name)).decode()))


def ways_on(document, layer):
    found = document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    return [shapely.LineString(line.get_points("xy")) for line in found]


def test_another_program_s_audit_finds_nothing(name):
    audit = read(name).audit()
    assert not audit.errors
    assert not audit.fixes


def test_every_operation_on_the_face_has_a_layer_of_its_own_in_the_order_of_work(name):
    names = [layer.dxf.name for layer in read(name).layers if layer.dxf.name.startswith("STEP_")]
    assert names == sorted(names)
    assert len(names) == len([step for step in stamp_of(name).plan.operations if step.side == "face"])


def test_the_path_that_the_plan_times_is_at_least_its_ways_in_every_pass(name):
    document = read(name)
    for step in stamp_of(name).plan.operations:
        if step.side == "face" and step.path_mm:
            laid_mm = sum(way.length for way in ways_on(document, layer_of(step)))
            assert step.path_mm >= 0.999 * step.passes * laid_mm


def test_no_way_leaves_the_sawn_block_by_more_than_a_cutter_s_width(name):
    stamp = stamp_of(name)
    blank, most_mm = stamp.plan.blank, max(cutter.diameter_mm for cutter in stamp.job.cutters)
    sawn = shapely.box(
        -blank.saw_width_mm / 2, -blank.saw_height_mm / 2, blank.saw_width_mm / 2, blank.saw_height_mm / 2
    )
    around = shapely.buffer(sawn, most_mm)
    document = read(name)
    ways = [way for step in stamp.plan.operations for way in ways_on(document, layer_of(step))]
    assert ways
    assert shapely.covers(around, shapely.MultiLineString(ways))


def test_the_discs_of_the_first_way_free_the_ground_that_its_step_claims():
    """Read back from the file alone: the widest cutter's ways, grown by its radius, hold what the step clears."""
    stamp = stamp_of("skep")
    step = next(step for step in stamp.plan.operations if step.side == "face" and step.kind == "rough")
    radius_mm = next(cutter for cutter in stamp.job.cutters if cutter.key == step.cutter).diameter_mm / 2
    ways = shapely.MultiLineString(ways_on(read("skep"), layer_of(step)))
    ground = stamp.plan.cleared[[s.step for s in stamp.plan.operations if s.side == "face"].index(step.step)]
    missed = shapely.difference(ground, shapely.buffer(ways, radius_mm, quad_segs=64))
    assert shapely.area(missed) <= 1e-3 * shapely.area(ground)
