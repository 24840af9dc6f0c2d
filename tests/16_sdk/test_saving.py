"""Files appear whole or not at all, and never outside the folder they were meant for."""

from __future__ import annotations

import io
import stat
import zipfile

import pytest
from werkzeug import Response

from in_process import ADDRESS, session_of
from many_marks import cell
from stampwright_sdk import Client, UnexpectedAnswer, UnusableMark
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


def test_a_bundle_fetched_into_a_file_is_the_bundle(app, tmp_path):
    client = Client(ADDRESS, session=session_of(app))
    path = client.fetch_bundle(tmp_path / "hive.zip", cell(1))
    assert path.read_bytes() == client.make_stamp(cell(1), accept="bundle").body
    assert [file.name for file in tmp_path.iterdir()] == ["hive.zip"]


@pytest.mark.parametrize("digest", ["sha-256=:AAAA:", "sha-512=:AAAA:, sha-256=:AAAA:"])
def test_bytes_that_do_not_fit_their_digest_leave_no_file(tmp_path, digest):
    spoilt = Response(b"PK", 200, {"Repr-Digest": digest}, content_type="application/zip")
    client = Client(ADDRESS, session=session_of(spoilt))
    with pytest.raises(UnexpectedAnswer, match="digest"):
        client.fetch_bundle(tmp_path / "hive.zip", cell(1))
    assert not list(tmp_path.iterdir())


def test_a_refusal_leaves_no_file(app, tmp_path):
    client = Client(ADDRESS, session=session_of(app))
    with pytest.raises(UnusableMark):
        client.fetch_bundle(tmp_path / "hive.zip", "<svg")
    assert not list(tmp_path.iterdir())
