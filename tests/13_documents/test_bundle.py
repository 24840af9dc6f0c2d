"""The bundle: whole, readable by others, the same bytes each time."""

import io
import zipfile

import numpy as np
import pytest
import trimesh

from stamped import NAMES, stamp_of
from stampwright.documents import bundle_bytes
from stampwright.documents.answer import stamp_json
from stampwright.drawings import draw_face


@pytest.fixture(params=NAMES)
def stamp(request):
    return stamp_of(request.param)


def files(stamp):
    with zipfile.ZipFile(io.BytesIO(bundle_bytes(stamp))) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.mark.parametrize("stamp", ["skep", "dandelion", "river"], indirect=True)
def test_the_same_stamp_gives_the_same_bytes(stamp):
    assert bundle_bytes(stamp) == bundle_bytes(stamp)


def test_dates_are_fixed():
    with zipfile.ZipFile(io.BytesIO(bundle_bytes(stamp_of("skep")))) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_the_files_are_those_the_service_gives_one_by_one():
    stamp, found = stamp_of("clover"), files(stamp_of("clover"))
    assert found["stamp.json"] == stamp_json(stamp)
    assert found["face.svg"].decode() == draw_face(stamp)


def test_the_solid_in_it_is_read_by_others(stamp):
    mesh = trimesh.load_mesh(io.BytesIO(files(stamp)["face.stl"]), file_type="stl")
    assert mesh.is_watertight
    assert np.allclose(mesh.bounds, stamp.solid.bounds_mm, atol=1e-4)


def test_the_text_names_every_other_file_and_every_caution(stamp):
    found = files(stamp)
    text = " ".join(found["README.txt"].decode().split())
    assert all(name in text for name in found if name != "README.txt")
    assert all(caution.says in text for caution in (*stamp.plan.cautions, *stamp.use.cautions))


def test_the_text_tells_what_will_not_print():
    assert "WILL NOT PRINT" in files(stamp_of("smoker"))["README.txt"].decode()
