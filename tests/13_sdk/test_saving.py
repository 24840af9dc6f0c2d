"""Files appear whole or not at all, and never outside the folder they were meant for."""

from __future__ import annotations

import io
import stat
import zipfile

import pytest

from stampwright_sdk._saving import save
from stampwright_sdk.answers import unpack


def archive_of(*names):
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w") as archive:
        for name in names:
            archive.writestr(name, "brass")
    return written.getvalue()


def test_a_file_replaces_an_older_one_and_leaves_nothing_beside_it(tmp_path):
    save(tmp_path / "a/face.stl", b"old")
    save(tmp_path / "a/face.stl", b"new")
    assert [(path.name, path.read_bytes()) for path in (tmp_path / "a").iterdir()] == [("face.stl", b"new")]


def test_a_file_may_be_read_by_others_as_any_new_file(tmp_path):
    plain = tmp_path / "plain"
    plain.touch()
    saved = save(tmp_path / "saved", b"")
    assert stat.S_IMODE(saved.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


def test_what_cannot_be_put_in_place_leaves_nothing_behind(tmp_path):
    (tmp_path / "face.stl").mkdir()
    with pytest.raises(OSError, match=r"face\.stl"):
        save(tmp_path / "face.stl", b"brass")
    assert [path.name for path in tmp_path.iterdir()] == ["face.stl"]


@pytest.mark.parametrize("name", ["../face.stl", "/etc/face.stl", "a/../../face.stl", "..\\face.stl", "C:\\face.stl"])
def test_a_name_that_leads_outside_is_refused(name):
    with pytest.raises(ValueError, match="leads outside"):
        unpack(archive_of("stamp.json", name))


def test_a_damaged_archive_is_refused():
    whole = archive_of("stamp.json")
    with pytest.raises(ValueError, match="no whole archive"):
        unpack(whole.replace(b"brass", b"grass", 1))
