"""The bundle: whole, readable by others, the same bytes each time."""

import dataclasses
import io
import json
import os
import subprocess
import sys
import zipfile
from functools import cache

import numpy as np
import pypdfium2
import pytest
import trimesh

from house import ROOT
from stamped import NAMES, stamp_of
from stampwright.documents import bundle_bytes
from stampwright.documents.answer import stamp_json
from stampwright.drawings import draw_face, svg_of


def files(stamp):
    with zipfile.ZipFile(io.BytesIO(bundle_bytes(stamp))) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


@cache
def files_of(name):
    """The files of a demo mark's bundle."""
    return files(stamp_of(name))


@pytest.mark.parametrize("name", ["skep", "dandelion", "river"])
def test_the_same_stamp_gives_the_same_bytes(name):
    assert files(stamp_of(name)) == files_of(name)


def test_two_processes_pack_the_same_bytes():
    """Words are hashed anew in each process; no set may order a file, no address get into one."""
    code = "import hashlib; from stamped import *; from stampwright.documents import bundle_bytes; "
    code += "print(hashlib.sha256(bundle_bytes(stamp_of('queen'))).hexdigest())"
    seeds = [os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT / "tests")} for seed in ("1", "4", "7")]
    runs = [subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, check=True) for env in seeds]  # noqa: S603  ours
    assert len({run.stdout for run in runs}) == 1


def test_it_holds_all_that_was_promised():
    drawings = {f"{name}.{kind}" for name in ("proof", "face", "cutting") for kind in ("svg", "png")}
    solids = {"face.stl", "as_cut.stl", "face.3mf", "solid.png"}
    papers = {"README.txt", "stamp.json", "sheet.pdf", "face.dxf", "paths.svg", "paths.dxf"}
    assert set(files_of("skep")) == drawings | solids | papers


def test_a_hostile_name_is_words_in_every_file():
    words = "<script>alert(1)</script>\x07\u202e]]>--> \"'&"
    stamp = stamp_of("skep")
    found = files(dataclasses.replace(stamp, job=dataclasses.replace(stamp.job, name=words)))
    drawn = [content for name, content in found.items() if name.endswith(("svg", "dxf"))]
    assert not any(b"<script" in content for content in drawn)  # in a plain text these are letters like others
    assert not any(
        turning in content for content in (*drawn, found["README.txt"]) for turning in (b"\x07", b"\xe2\x80\xae")
    )
    assert json.loads(found["stamp.json"])["digest"] == stamp.digest


def test_dates_are_fixed():
    with zipfile.ZipFile(io.BytesIO(bundle_bytes(stamp_of("skep")))) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_the_files_are_those_the_service_gives_one_by_one():
    stamp, found = stamp_of("clover"), files_of("clover")
    assert found["stamp.json"] == stamp_json(stamp)
    assert found["face.svg"].decode() == svg_of(draw_face(stamp))


@pytest.mark.parametrize("name", NAMES)
def test_the_solid_in_it_is_read_by_others(name):
    mesh = trimesh.load_mesh(io.BytesIO(files_of(name)["face.stl"]), file_type="stl")
    assert mesh.is_watertight
    assert np.allclose(mesh.bounds, stamp_of(name).solid.bounds_mm, atol=1e-4)


@pytest.mark.parametrize("name", NAMES)
def test_the_text_names_every_other_file_and_every_caution(name):
    stamp, found = stamp_of(name), files_of(name)
    text = " ".join(found["README.txt"].decode().split())
    assert all(name in text for name in found if name != "README.txt")
    assert all(caution.says in text for caution in (*stamp.plan.cautions, *stamp.use.cautions))


def test_the_papers_of_an_order_bear_the_name_that_the_job_gives_it():
    stamp, found = stamp_of("skep"), files_of("skep")
    assert f"\n  {stamp.job.name}\n" in found["README.txt"].decode()
    assert stamp.job.name in pypdfium2.PdfDocument(found["sheet.pdf"])[0].get_textpage().get_text_range()
    assert stamp.job.name in found["face.svg"].decode()


def test_the_text_tells_what_will_not_print():
    assert "WILL NOT PRINT" in files_of("smoker")["README.txt"].decode()
