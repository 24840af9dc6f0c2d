"""Binary STL (little endian, 84 + 50 n bytes, no unit: millimetres are meant), the same bytes for the same solid."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import numpy as np
from stl import Mode
from stl.mesh import Mesh

if TYPE_CHECKING:
    from .solid import Solid

# exactly 80 characters, else the file breaks; must not begin with "solid", by which readers tell text files
_HEADER = "stampwright relief, millimetres, z = 0 at the face of the lands".ljust(80)


class _Stl(Mesh):
    def get_header(self, name: str | bytes) -> str:  # noqa: ARG002  the library would put time and file name here
        return _HEADER


def stl_bytes(solid: Solid) -> bytes:
    """Write a solid as binary STL, normals from the rounded vertices."""
    facets = np.zeros(len(solid.triangles), dtype=Mesh.dtype)
    facets["vectors"] = solid.vertices[solid.triangles]
    mesh = _Stl(facets, remove_empty_areas=False, calculate_normals=False)
    _set_normals(mesh)
    file = io.BytesIO()
    mesh.save("face.stl", fh=file, mode=Mode.BINARY, update_normals=False)
    return file.getvalue()


def _set_normals(mesh: _Stl) -> None:
    """Unit normals; a triangle thinner than float32 can tell gets the zero vector, which readers recompute."""
    a, b, c = (mesh.vectors[:, corner].astype(np.float64) for corner in range(3))
    normals = np.cross(b - a, c - a)
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    mesh.normals[:] = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0)
