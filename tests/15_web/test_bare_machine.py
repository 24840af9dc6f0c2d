"""The service where it may do next to nothing: no user of its own, no file it can write, no temporary folder."""

from __future__ import annotations

import contextlib
import io
import os
import re
import resource
import shutil
import zipfile
from pathlib import Path

import pytest
import requests

from served import below, served, until
from stamped import MARKS

LENT = ("--inh-caps=+dac_read_search", "--ambient-caps=+dac_read_search")
MARK = MARKS["comb"].svg


def _write_nothing():
    """What a read-only root amounts to, held by the kernel: not a byte can be written to any file."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))


# The interpreter of the tests may lie in a folder of root's: nobody is lent the right to read, and none to write.
AS_NOBODY = (*("setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"), *LENT)


@pytest.fixture(scope="module")
def service():
    if os.geteuid() == 0 and not shutil.which("setpriv"):
        pytest.skip("there is no setpriv (util-linux) to become nobody with")
    nowhere = dict.fromkeys(("TMPDIR", "TEMP", "TMP", "HOME"), "/nonexistent")
    become = AS_NOBODY if os.geteuid() == 0 else ()  # who is not root is unprivileged already
    with served(become=become, preexec=_write_nothing, **nowhere, PYTHONDONTWRITEBYTECODE="1") as service:
        yield service


def uid_of(pid):
    status = Path(f"/proc/{pid}/status").read_text()
    return int(re.search(r"^Uid:\s+\d+\s+(\d+)", status, re.MULTILINE)[1])


def test_front_and_slots_are_unprivileged(service):
    assert 0 not in {uid_of(pid) for pid in [service.process.pid, *below(service.process.pid)]}


def test_the_whole_job_needs_no_file(service):
    answer = requests.post(
        f"{service.url}/v1/stamps", files={"mark": ("m.svg", MARK)}, headers={"Accept": "application/zip"}, timeout=60
    )
    assert answer.status_code == 200
    assert "face.stl" in zipfile.ZipFile(io.BytesIO(answer.content)).namelist()


def test_an_upload_of_megabytes_needs_no_file(service):
    assert service.solid(MARK + b"\n" * 1_800_000).status_code == 200


def test_every_line_of_the_log_is_an_event_whatever_a_library_has_to_say(service):
    assert service.solid(MARK).status_code == 200
    until(lambda: any(event.get("rule") == "/v1/solids" for event in list(service.said)))
    assert [event for event in list(service.said) if "event" not in event] == []


def test_the_limit_is_felt_at_all(tmp_path):
    """A process under it cannot write: else the tests above would show nothing."""
    pid = os.fork()
    if pid == 0:
        _write_nothing()
        with contextlib.suppress(OSError):
            (tmp_path / "a").write_bytes(b"x")
        os._exit(0)
    os.waitpid(pid, 0)
    assert (tmp_path / "a").read_bytes() == b""
