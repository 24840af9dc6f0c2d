"""Independent readers and checkers of a solid: manifold3d, trimesh, and STL read by its published layout alone."""

from __future__ import annotations

import io
import struct

import manifold3d
import numpy as np
import trimesh

from stampwright.solid import stl_bytes


def manifold_of(solid):
    """The solid as manifold3d takes it, in float32; its status says whether it is a closed oriented manifold."""
    return manifold3d.Manifold(manifold3d.Mesh(solid.vertices.astype(np.float32), solid.triangles.astype(np.uint32)))


def trimesh_of(solid):
    """The solid as trimesh reads its STL: corners are welded again by position alone."""
    return trimesh.load(io.BytesIO(stl_bytes(solid)), file_type="stl")


def facets_of(stl):
    """Normals (n, 3) and corners (n, 3, 3) by the layout of binary STL: 80 bytes, uint32 count, 50 bytes a facet."""
    (count,) = struct.unpack_from("<I", stl, 80)
    assert len(stl) == 84 + 50 * count
    facets = np.frombuffer(stl, dtype=[("numbers", "<f4", (4, 3)), ("attribute", "<u2")], offset=84)
    numbers = facets["numbers"].astype(float)
    return numbers[:, 0], numbers[:, 1:]


def assert_closed(solid):
    """One closed oriented surface, by two libraries; the second one from the file."""
    manifold = manifold_of(solid)
    assert manifold.status() == manifold3d.Error.NoError
    mesh = trimesh_of(solid)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    for volume in (manifold.volume(), float(mesh.volume)):
        assert abs(volume - solid.volume_mm3) <= 1e-6 * solid.volume_mm3
