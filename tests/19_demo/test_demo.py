"""The demo as a newcomer runs it: the real service as a child, the real client, files that others can open."""

import contextlib
import io
import json
import zipfile

import pytest
import trimesh

from served import listens
from stampwright.demo import main
from stampwright.demo.marks import demo_marks


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("demo")


@pytest.fixture(scope="module")
def said(folder):
    with contextlib.redirect_stdout(io.StringIO()) as said:
        assert main(["comb", "--out", str(folder)]) == 0
    return said.getvalue()


def test_it_tells_verdict_cutters_heat_and_where_the_files_are(said, folder):
    answer = json.loads((folder / "stamp.json").read_bytes())
    assert answer["verdict"] in said
    assert all(cutter in said for cutter in answer["plan"]["cutters"])
    assert f"{answer['use']['heat_up_s']:.0f} s in the flame" in said
    assert str(folder) in said


def test_it_tells_the_worst_finding_of_each_kind(said, folder):
    findings = json.loads((folder / "stamp.json").read_bytes())["review"]["findings"]
    kinds = {(finding["code"], finding["severity"]): finding for finding in reversed(findings)}
    assert all(worst["says"].split(";")[0].split(":")[0][:40] in " ".join(said.split()) for worst in kinds.values())


@pytest.mark.usefixtures("said")
def test_it_leaves_solid_report_pictures_and_bundle(folder):
    assert trimesh.load_mesh(folder / "face.stl").is_watertight
    assert {"proof.svg", "face.svg", "README.txt"} <= {path.name for path in folder.iterdir()}
    with zipfile.ZipFile(folder / "comb-bundle.zip") as bundle:
        assert bundle.read("stamp.json") == (folder / "stamp.json").read_bytes()


def test_the_service_has_ended_with_it(said):
    port = int(said.split("http://127.0.0.1:")[1].split()[0])
    assert not listens(port)


def test_a_folder_that_cannot_be_written_is_said_in_words(tmp_path, capsys):
    (tmp_path / "taken").write_text("a file, no folder")
    assert main(["comb", "--out", str(tmp_path / "taken")]) == 1
    assert "The demo stopped" in capsys.readouterr().err


def test_a_mark_that_is_not_in_the_register_is_refused_with_the_names_that_are(capsys):
    with pytest.raises(SystemExit) as end:
        main(["heron"])
    assert end.value.code == 2
    refusal = capsys.readouterr().err
    assert all(name in refusal for name in demo_marks())


def test_the_register_has_a_drawing_and_a_member_for_every_mark():
    assert all(mark.svg.startswith(b"<svg") and mark.member and mark.wants for mark in demo_marks().values())
    assert len(demo_marks()) >= 10
