"""The command `stampwright`, as a shell starts it: over real sockets, with a service of its own that ends with it."""

from __future__ import annotations

import json
import os
import signal
import sys
from collections import Counter

import pytest

from lettered import TEXTS, dejavu, drawing
from programs import COMMAND, begin, run
from served import kept_port, listens, until
from stampwright_sdk import Busy, ConnectionFailed, InvalidJob, ServiceFault, UnexpectedAnswer
from stampwright_sdk.command.exits import exit_of, told
from stampwright_sdk.embedded import embedded_service

DISC = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 20" width="20mm"><circle cx="10" cy="10" r="8"/></svg>'
THREAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 20" width="20mm"><path d="M1 1h18v.05H1z"/></svg>'
EXIT = {"ready": 0, "compromised": 3, "unmakeable": 4}


@pytest.fixture(scope="module")
def url():
    with embedded_service() as url:
        yield url


@pytest.fixture
def disc(tmp_path):
    path = tmp_path / "disc.svg"
    path.write_text(DISC)
    return path


def test_convert_brings_up_its_own_service_and_leaves_the_files(disc, tmp_path):
    done = run(COMMAND, "convert", disc, "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert {"face.stl", "stamp.json", "proof.svg"} <= {path.name for path in (tmp_path / "out").iterdir()}
    assert "disc.svg: ready" in done.stdout


def test_json_is_the_stamp_and_leaves_no_files(url, disc, tmp_path):
    done = run(COMMAND, "convert", disc, "--json", "--url", url, cwd=tmp_path)
    assert json.loads(done.stdout)["verdict"] == "ready"
    assert [path.name for path in tmp_path.iterdir()] == ["disc.svg"]


def test_without_a_folder_the_files_go_into_one_named_after_the_mark(url, disc, tmp_path):
    assert run(COMMAND, "convert", disc, cwd=tmp_path, STAMPWRIGHT_URL=url).returncode == 0
    assert (tmp_path / "disc-stamp" / "face.stl").is_file()


def test_text_is_set_in_the_fonts_that_are_named(url, tmp_path):
    (tmp_path / "lettered.svg").write_text(drawing(TEXTS["anchor-middle"]))
    (tmp_path / "font.ttf").write_bytes(dejavu())
    asked = ("review", tmp_path / "lettered.svg", "--json", "--url", url)
    refused, done = run(COMMAND, *asked), run(COMMAND, *asked, "--font", tmp_path / "font.ttf")
    assert (refused.returncode, "text-not-outlined" in refused.stderr) == (5, True)
    assert json.loads(done.stdout)["mark"]["lands"] == len("Beekeepers")


@pytest.mark.parametrize("mark", [DISC, THREAD, THREAD.replace(".05", ".4")])
def test_the_exit_code_is_the_verdict(url, tmp_path, mark):
    (tmp_path / "mark.svg").write_text(mark)
    done = run(COMMAND, "review", tmp_path / "mark.svg", "--json", "--url", url)
    assert done.returncode == EXIT[json.loads(done.stdout)["verdict"]]


def test_of_many_findings_alike_the_worst_are_told_and_the_others_counted(url, tmp_path):
    dots = "".join(f"M{x} {y}h.3v.3h-.3z" for x in range(2, 38, 2) for y in range(2, 30, 2))  # 18 by 14
    (tmp_path / "mark.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 32" width="40mm"><path d="{dots}"/></svg>'
    )
    (tmp_path / "job.json").write_text('{"placement": {"fit": "actual_size"}, "head": {"width": 44, "height": 36}}')
    asked = ("review", tmp_path / "mark.svg", "--job", tmp_path / "job.json", "--url", url)
    review = json.loads(run(COMMAND, *asked, "--json").stdout)["review"]
    listed = Counter((finding["severity"], finding["code"]) for finding in review["findings"])
    printed = run(COMMAND, *asked).stdout.splitlines()
    assert max(listed.values()) > 100
    for (severity, code), count in listed.items():
        told = [line for line in printed if line.split()[:2] == [severity, code]]
        assert len(told) == min(count, 4)
        assert count <= 3 or f"{count - 3} more like these" in told[3]
    for code, count in review["findings_left_out"].items():
        assert any(line.split()[:2] == [code, str(count)] for line in printed)
    assert listed["warning", "speck"] + review["findings_left_out"]["speck"] == 18 * 14


@pytest.mark.parametrize(("name", "begins"), [("hive.svg", b"<?xml"), ("hive.png", b"\x89PNG")])
def test_a_proof_is_what_the_file_s_name_says(url, disc, tmp_path, name, begins):
    done = run(COMMAND, "proof", disc, "--view", "face", "--out", tmp_path / name, "--url", url)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / name).read_bytes().startswith(begins)


def test_a_proof_of_no_known_kind_is_refused_before_anything_is_asked(disc, tmp_path):
    done = run(COMMAND, "proof", disc, "--out", tmp_path / "hive.gif", "--url", "http://127.0.0.1:9")
    assert done.returncode == 2
    assert "must end in .svg or .png" in done.stderr


def test_a_sheet_is_a_pdf(url, disc, tmp_path):
    done = run(COMMAND, "sheet", disc, "--paper", "letter", "--out", tmp_path / "hive.pdf", "--url", url)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "hive.pdf").read_bytes().startswith(b"%PDF-")


def test_a_refused_job_is_told_with_its_place(url, disc, tmp_path):
    (tmp_path / "job.json").write_text('{"metal": "cheese"}')
    done = run(COMMAND, "review", disc, "--job", tmp_path / "job.json", "--url", url, "--json")
    assert done.returncode == 5
    assert "at #/job/metal" in done.stderr
    assert json.loads(done.stdout)["type"] == "/problems/invalid-job"


def test_a_refused_mark_is_told(url, tmp_path):
    (tmp_path / "mark.svg").write_text("no drawing")
    assert run(COMMAND, "convert", tmp_path / "mark.svg", "--url", url).returncode == 5


def test_a_folder_that_cannot_be_written_is_told(url, disc, tmp_path):
    (tmp_path / "file").touch()
    done = run(COMMAND, "convert", disc, "--out", tmp_path / "file" / "below", "--url", url)
    assert (done.returncode, "file" in done.stderr) == (1, True)


@pytest.mark.parametrize("name", ["cutters", "metals", "substrates", "threads"])
def test_a_catalogue_is_a_table_or_json(url, name):
    rows = json.loads(run(COMMAND, "catalogue", name, "--json", "--url", url).stdout)
    table = run(COMMAND, "catalogue", name, "--url", url).stdout
    assert rows[-1].get("key", rows[-1].get("size")) in table


@pytest.mark.parametrize("arguments", [["convert"], ["convert", "missing.svg"], ["catalogue", "cheese"], ["--wat"]])
def test_wrong_use_is_two(arguments):
    assert run(COMMAND, *arguments).returncode == 2


def test_help_teaches_by_example():
    assert "stampwright convert hive.svg --out hive/" in run(COMMAND, "--help").stdout


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (ConnectionFailed("http://x", "refused", request_id="1"), 6),
        (Busy({}, status=503, request_id="1", retry_after_s=1.0), 6),
        (ServiceFault({}, status=500, request_id="1", retry_after_s=None), 1),
        (UnexpectedAnswer("http://x", "is a stranger"), 1),
        (InvalidJob({}, status=422, request_id="1", retry_after_s=None), 5),
    ],
    ids=lambda value: type(value).__name__,
)
def test_each_error_has_its_exit_code(error, code):
    assert exit_of(error) == code


@pytest.mark.parametrize("as_json", [False, True])
def test_what_is_no_problem_of_the_service_is_told_in_words_alone(capsys, as_json):
    with pytest.raises(SystemExit), told(as_json=as_json):
        raise ConnectionFailed("http://hives.example", "no route", request_id="b33")
    assert capsys.readouterr().out == ""


def test_a_problem_is_told_as_json_where_it_was_asked_for(capsys):
    problem = {"type": "/problems/invalid-job", "title": "no such wood"}
    for as_json in (False, True):
        with pytest.raises(SystemExit), told(as_json=as_json):
            raise InvalidJob(problem, status=422, request_id="b33", retry_after_s=None)
        out = capsys.readouterr().out
        assert (json.loads(out) == problem) if as_json else (out == "")


def test_a_wrong_address_is_six(disc):
    with kept_port() as nobody:
        port = nobody.getsockname()[1]
        done = run(COMMAND, "review", disc, "--wait", "0", "--url", f"http://127.0.0.1:{port}")
    assert (done.returncode, f"127.0.0.1:{port}" in done.stderr) == (6, True)


def test_a_service_ends_with_a_parent_that_was_killed():
    hold = (
        "from stampwright_sdk.embedded import embedded_service as e\nwith e() as url: print(url, flush=True); input()"
    )
    parent = begin(sys.executable, "-c", hold)
    port = int(parent.stdout.readline().rpartition(":")[2])
    os.kill(parent.pid, signal.SIGKILL)
    parent.communicate()
    until(lambda: not listens(port))
