"""The 3MF file by its core specification, read with a zip reader and an XML parser, and by trimesh."""

import io
import xml.etree.ElementTree as ET
import zipfile

import manifold3d
import numpy as np
import pytest
import stl

from relief_shapes import face_of, scattered
from stampwright.job import Head, ThreadChoice
from stampwright.solid import build_solid, plan_hole, threemf_bytes

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
DIGEST = "5f" * 32


@pytest.fixture(scope="module")
def solid():
    hole = plan_hole(ThreadChoice(), head=Head(), relief_mm=1.5)
    return build_solid(face_of(scattered(5)), head=Head(), hole=hole, density_kg_m3=8490)


@pytest.fixture(scope="module")
def package(solid):
    return threemf_bytes(solid, digest=DIGEST)


@pytest.fixture(scope="module")
def model(package):
    with zipfile.ZipFile(io.BytesIO(package)) as parts:
        relations = ET.fromstring(parts.read("_rels/.rels"))  # noqa: S314  our own bytes
        kind = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
        (target,) = [relation.get("Target") for relation in relations if relation.get("Type") == kind]
        return ET.fromstring(parts.read(target.lstrip("/")))  # noqa: S314


def test_the_unit_is_said(model):
    assert model.tag == f"{CORE}model"
    assert model.get("unit") == "millimeter"


def test_the_mesh_is_the_solid(model, solid):
    vertices = np.array([[float(v.get(axis)) for axis in "xyz"] for v in model.iter(f"{CORE}vertex")])
    triangles = np.array([[int(t.get(corner)) for corner in ("v1", "v2", "v3")] for t in model.iter(f"{CORE}triangle")])
    assert np.array_equal(triangles, solid.triangles)
    assert np.abs(vertices - solid.vertices).max() < 2e-6
    assert len(np.unique(vertices, axis=0)) == len(vertices)


@pytest.mark.parametrize("draft_deg", [0.0, 45.0])
def test_at_the_least_relief_face_and_floor_are_still_two(draft_deg):
    face = face_of(scattered(5), relief_mm=0.01)
    low = build_solid(face, head=Head(), hole=None, density_kg_m3=8490, draft_deg=draft_deg)
    with zipfile.ZipFile(io.BytesIO(threemf_bytes(low, digest=DIGEST))) as parts:
        (name,) = [name for name in parts.namelist() if name.endswith(".model")]
        tree = ET.fromstring(parts.read(name))  # noqa: S314  our own bytes
    vertices = np.array([[float(v.get(axis)) for axis in "xyz"] for v in tree.iter(f"{CORE}vertex")])
    assert len(np.unique(vertices, axis=0)) == len(vertices) == len(low.vertices)


def test_the_object_is_built_once_and_carries_its_job(model):
    (item,) = model.iter(f"{CORE}item")
    (part,) = model.iter(f"{CORE}object")
    assert item.get("objectid") == part.get("id")
    assert part.get("partnumber") == DIGEST


def test_it_says_what_it_is(model):
    facts = {entry.get("name"): entry.text for entry in model.iter(f"{CORE}metadata")}
    assert facts["Title"] == "Branding iron head"
    assert "1/4-20 UNC" in facts["Description"]


def test_the_same_solid_gives_the_same_bytes(package, solid):
    from stampwright.solid.threemf import threemf_bytes

    assert threemf_bytes(solid, digest=DIGEST) == package


def test_another_reader_finds_the_volume(package, solid, tmp_path):
    """numpy-stl reads the package's triangles as a soup; the volume is manifold3d's."""
    file = tmp_path / "face.3mf"
    file.write_bytes(package)
    (soup,) = stl.Mesh.from_3mf_file(file)
    corners, index = np.unique(soup.vectors.reshape(-1, 3), axis=0, return_inverse=True)
    manifold = manifold3d.Manifold(manifold3d.Mesh(corners, index.reshape(-1, 3).astype(np.uint32)))
    assert manifold.status() == manifold3d.Error.NoError
    assert manifold.volume() == pytest.approx(solid.volume_mm3, rel=1e-6)
