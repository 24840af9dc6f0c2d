"""The file, read by its published layout: 80-byte header, count, 50 bytes a facet."""

import numpy as np
import pytest

from outside_checks import facets_of, trimesh_of
from relief_shapes import disc, face_of, scattered
from stampwright.job import Head, ThreadChoice
from stampwright.solid import build_solid, plan_hole, stl_bytes


@pytest.fixture(scope="module")
def solid():
    head = Head()
    hole = plan_hole(ThreadChoice(), head=head, relief_mm=1.5)
    return build_solid(face_of(scattered(5)), head=head, hole=hole, density_kg_m3=8490)


def test_a_reader_of_the_layout_finds_every_triangle(solid):
    normals, corners = facets_of(stl_bytes(solid))
    assert len(corners) == len(solid.triangles)
    assert np.array_equal(corners, solid.vertices[solid.triangles].astype(np.float32))
    assert np.allclose(np.linalg.norm(normals, axis=1), 1, atol=1e-6)


def test_normals_follow_the_right_hand_rule(solid):
    normals, corners = facets_of(stl_bytes(solid))
    a, b, c = (corners[:, i].astype(float) for i in range(3))
    turned = np.cross(b - a, c - a)
    assert np.all(np.einsum("ij,ij->i", turned, normals) > 0)


def test_the_header_is_no_text_stl_and_names_the_unit(solid):
    header = stl_bytes(solid)[:80]
    assert not header.lower().startswith(b"solid")
    assert b"millimetres" in header


def test_the_same_solid_gives_the_same_bytes(solid):
    assert stl_bytes(solid) == stl_bytes(solid)


def test_rounding_to_single_precision_keeps_every_vertex_apart(solid):
    assert len(trimesh_of(solid).vertices) == len(solid.vertices)
    xy = solid.vertices[:, :2]
    assert np.array_equal(xy.astype(np.float32).astype(np.float64), xy)


def test_a_solid_of_curves_is_read_back_with_its_volume():
    solid = build_solid(face_of(disc(6)), head=Head(), hole=None, density_kg_m3=8490)
    assert float(trimesh_of(solid).volume) == pytest.approx(solid.volume_mm3, rel=1e-6)
