"""3MF (ISO/IEC 25422, core specification 1.4): millimetres and metadata in the file, the same bytes for the same solid.

Written by lib3mf, the consortium's own library. It draws random identifiers and keeps its own precision, so both are
set here.
"""

from __future__ import annotations

import functools
import uuid
from typing import TYPE_CHECKING, Any

import lib3mf
import numpy as np

from stampwright import __version__
from stampwright.base import InternalFault

if TYPE_CHECKING:
    from .solid import Solid

_DECIMALS = 6  # tells grid steps of 0.000122 mm apart; more would print the noise of single precision


def threemf_bytes(solid: Solid, *, digest: str, title: str = "Branding iron head") -> bytes:
    """Write a solid as 3MF. `digest` names the job: it becomes the part number and seeds the identifiers.

    Raises `InternalFault` when the library does not find the mesh manifold and oriented.
    """
    library = _library()
    model = library.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    model.SetBuildUUID(_uuid(digest, "build"))
    part = model.AddMeshObject()
    part.SetName(title)
    part.SetPartNumber(digest)
    part.SetUUID(_uuid(digest, "object"))
    part.SetGeometry(_positions(solid), _triangles(solid))
    if not part.IsManifoldAndOriented():
        raise InternalFault.at("open-solid", "the 3MF library finds the mesh open or turned inside out")
    model.AddBuildItem(part, library.GetIdentityTransform()).SetUUID(_uuid(digest, "item"))
    metadata = model.GetMetaDataGroup()
    facts = {"Title": title, "Description": _description(solid), "Application": f"stampwright {__version__}"}
    for name, text in facts.items():
        metadata.AddMetaData("", name, text, "xs:string", True)  # noqa: FBT003  the library takes it by place only
    writer = model.QueryWriter("3mf")
    writer.SetDecimalPrecision(_DECIMALS)
    return bytes(writer.WriteToBuffer())


@functools.cache
def _library() -> Any:  # noqa: ANN401  the library ships no types
    return lib3mf.get_wrapper()


def _description(solid: Solid) -> str:
    kind = "as drawn" if solid.kind == "as_drawn" else "as the cutters leave it"
    hole = f"; hole for {solid.hole.thread}" if solid.hole else ""
    return f"{kind}; z = 0 is the face of the lands, which is cut reversed; {solid.mass_g:.1f} g{hole}"


def _uuid(digest: str, what: str) -> str:
    return str(uuid.uuid5(uuid.NAMESPACE_OID, f"{digest} {what}"))


def _positions(solid: Solid) -> list[Any]:
    values = np.ascontiguousarray(solid.vertices, dtype=np.float32)
    return list((lib3mf.Position * len(values)).from_buffer_copy(values))


def _triangles(solid: Solid) -> list[Any]:
    indices = np.ascontiguousarray(solid.triangles, dtype=np.uint32)
    return list((lib3mf.Triangle * len(indices)).from_buffer_copy(indices))
