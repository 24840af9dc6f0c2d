"""Many marks over a real server: nothing lost, nothing twice, whatever is killed; bad input in words of its own."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import shutil
import signal
import threading
from pathlib import Path

import pypdfium2
import pytest
from werkzeug import Response

from in_process import ADDRESS, session_of
from many_marks import cell, tree, write_cells
from programs import COMMAND, begin, run
from served import Server, served, until
from stampwright.web import create_app
from stampwright.web.settings import Settings
from stampwright_sdk import Client, KeyRequired, UnexpectedAnswer, UnusableInput, UnusableMark
from stampwright_sdk.batch import Batch, find_orders, run_batch

MAY_MOUNT = os.geteuid() == 0 and not run("sh", "-c", "unshare -m mount -t tmpfs none /mnt").returncode
FAST = {"only": frozenset({"stamp.json"})}


@pytest.fixture(scope="module")
def url():
    with served() as running:
        yield running.url


def rows_of(folder):
    head, *lines = (folder / "manifest.jsonl").read_text().splitlines()
    assert json.loads(head)["manifest"] == "stampwright-batch"
    return [json.loads(line) for line in lines]


def batch(url, *arguments):
    return run(COMMAND, "batch", *arguments, "--url", url)


def test_ninety_marks_with_the_server_killed_between_them(tmp_path):  # `python3 tests many` sends ten thousand
    marks, out = write_cells(tmp_path / "marks", 90), tmp_path / "out"
    with Server() as running, Client(running.url, retries=10_000, max_wait=120) as client:
        again = threading.Thread(target=running.begin)

        def told(_row, _skipped):
            if len(list(out.glob("cell-*"))) > 30 and again.ident is None:
                running.kill()
                again.start()

        outcome = run_batch(client, Batch(find_orders([marks]), out, workers=3, **FAST), told=told)
        again.join()
        single = {n: client.make_stamp(marks / f"cell-{n:05d}.svg", accept="bundle") for n in (0, 45, 89)}
    assert outcome.stopped is None
    assert sorted(row["file"] for row in rows_of(out)) == sorted(path.stem for path in marks.iterdir())
    assert outcome.verdicts.total() == 90
    for number, bundle in single.items():
        for name in FAST["only"]:
            assert (out / f"cell-{number:05d}" / name).read_bytes() == bundle.files[name]


def test_the_rows_tell_what_came_of_each_mark(url, tmp_path):
    marks = write_cells(tmp_path / "marks", 3)
    (marks / "torn.svg").write_text("<svg")
    (tmp_path / "job.json").write_text('{"rates": {"currency": "EUR", "metal_per_kg": 12, "setup": 8, "per_hour": 40}}')
    done = batch(url, marks, "--out", tmp_path / "out", "--job", tmp_path / "job.json", "--only", "face.stl")
    assert done.returncode == 5, done.stderr
    with (tmp_path / "out" / "manifest.csv").open() as file:
        table = list(csv.DictReader(file))
    for row, told in zip(rows_of(tmp_path / "out"), table, strict=True):
        assert row["file"] == told["file"]
        if row["error"] is None:
            assert row["verdict"] in {"ready", "compromised"}
            assert row["minutes"] > 0
            assert told["minutes"] == f"{row['minutes']:.1f}"
            assert f"{row['verdict']}, {row['minutes']:.0f} min" in done.stderr
            assert row["price"] > 8
            ((name, digest),) = row["outputs"].items()
            assert hashlib.sha256((tmp_path / "out" / name).read_bytes()).hexdigest() == digest
        else:
            assert row["error"]["code"] == "not-xml"
            assert "not-xml" in told["error"]


def test_resume_does_only_what_is_not_done_or_has_changed(url, tmp_path):
    marks, out = write_cells(tmp_path / "marks", 4), tmp_path / "out"
    assert batch(url, marks, "--out", out).returncode in {0, 3}
    (marks / "cell-00000.svg").write_text(cell(5))  # drawn anew
    (out / "cell-00001" / "face.stl").unlink()  # lost
    (out / "cell-00002" / "face.stl").write_bytes(b"solid")  # spoilt
    again = batch(url, marks, "--out", out, "--resume")
    assert [line.endswith("done before") for line in sorted(again.stderr.splitlines(), key=lambda x: x.split()[1])] == [
        False,
        False,
        False,
        True,
    ]
    before = tree(out)
    assert batch(url, marks, "--out", out, "--resume").returncode in {0, 3}
    assert tree(out) == before


def test_a_folder_with_a_manifest_is_begun_again_only_when_told_to(url, tmp_path):
    marks, out = write_cells(tmp_path / "marks", 1), tmp_path / "out"
    arguments = (url, marks, "--out", out, "--only", "stamp.json")
    batch(*arguments)
    before = tree(out)
    refused = batch(*arguments)
    assert refused.returncode == 5
    assert "tells of 1 mark: go on with --resume, begin again with --afresh" in refused.stderr
    assert tree(out) == before
    assert "done before" not in batch(*arguments, "--afresh").stdout
    assert batch(*arguments, "--afresh", "--resume").returncode == 2


def test_the_contact_sheets_show_all_marks_of_a_run_forty_a_page(url, tmp_path):
    marks, out = write_cells(tmp_path / "marks", 41), tmp_path / "out"
    (marks / "cell-00003.svg").write_text("<svg/>")
    assert batch(url, marks, "--out", out, "--only", "stamp.json", "--contact-sheet").returncode == 5
    pages = [pypdfium2.PdfDocument(out / f"contact-sheet-{n}.pdf")[0].get_textpage().get_text_range() for n in (1, 2)]
    assert [page.count("cell-") for page in pages] == [40, 1]
    assert "1 refused" in pages[0]


def test_a_row_cut_off_by_a_crash_is_done_again(url, tmp_path):
    marks, out = write_cells(tmp_path / "marks", 2), tmp_path / "out"
    batch(url, marks, "--out", out, "--only", "stamp.json")
    whole = (out / "manifest.jsonl").read_bytes()
    (out / "manifest.jsonl").write_bytes(whole[:-40])
    again = batch(url, marks, "--out", out, "--only", "stamp.json", "--resume")
    assert "1 done before" in again.stdout
    assert (out / "manifest.jsonl").read_bytes() == whole


@pytest.mark.parametrize("told", [signal.SIGINT, signal.SIGTERM])
def test_an_interrupt_keeps_what_is_done_and_says_how_to_go_on(url, tmp_path, told):
    marks, out = write_cells(tmp_path / "marks", 2000), tmp_path / "out"  # minutes of work: no machine is done by then
    arguments = ("batch", str(marks), "--out", str(out), "--only", "stamp.json", "--url", url)
    with begin(str(COMMAND), *arguments) as running:
        until(lambda: len(list(out.glob("cell-*/stamp.json"))) >= 5)
        running.send_signal(told)
        assert running.wait(30) == 130
    rows = rows_of(out)
    assert 5 <= len(rows) < 2000
    assert {f"{row['file']}/stamp.json" for row in rows} == {n for n in tree(out) if n.endswith("stamp.json")}


def test_an_interrupt_while_a_row_is_told_ends_nothing_half_way(url, tmp_path):
    heard = []

    def told(row, _skipped):
        heard.append(row.file)
        if len(heard) == 3:
            raise KeyboardInterrupt

    marks, out = write_cells(tmp_path / "marks", 60), tmp_path / "out"
    with Client(url) as client:
        outcome = run_batch(client, Batch(find_orders([marks]), out, workers=2, **FAST), told=told)
    assert outcome.interrupted
    assert 3 <= len(heard) < 60
    assert sorted(row["file"] for row in rows_of(out)) == sorted(heard)
    assert outcome.verdicts.total() == len(heard)


def test_make_many_yields_each_as_it_comes_with_its_error(url):
    with Client(url) as client:
        found = {made.index: made for made in client.make_many([cell(1), "<svg", (cell(2), {"substrate": "cork"})])}
    assert found[0].answer.verdict in {"ready", "compromised"}
    assert isinstance(found[1].error, UnusableMark)
    assert found[2].error.place == "#/job/substrate"


def test_make_many_begins_no_more_than_is_read(url):
    taken = []
    endless = (taken.append(number) or cell(number) for number in range(10**9))
    with Client(url) as client:
        stream = client.make_many(endless, workers=2)
        for _ in range(3):
            next(stream)
        stream.close()
    assert len(taken) <= 5


def test_a_table_of_jobs_gives_single_marks_their_own(tmp_path):
    marks = write_cells(tmp_path / "marks", 3)
    (tmp_path / "marks" / "jobs.csv").write_text(
        "mark,head.width,substrate\ncell-00000.svg,50,cork\ncell-00002.svg,,pine-white\n"
    )
    orders = find_orders([marks], job={"head": {"width": 40, "height": 30}}, jobs=marks / "jobs.csv")
    assert [order.job for order in orders] == [
        {"head": {"width": 50, "height": 30}, "substrate": "cork"},
        {"head": {"width": 40, "height": 30}},
        {"head": {"width": 40, "height": 30}, "substrate": "pine-white"},
    ]


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ("name\nx", "no column 'mark'"),
        ("mark,metal\nnobody.svg,zinc", "'nobody.svg', which is not among"),
        ("mark\ncell-00000.svg\ncell-00000.svg", "twice"),
        ("mark\ncell-00000.svg,1,2", "more cells than columns"),
    ],
)
def test_a_broken_table_of_jobs_is_refused_before_anything_is_made(tmp_path, table, says):
    marks = write_cells(tmp_path / "marks", 1)
    (tmp_path / "jobs.csv").write_text(table)
    with pytest.raises(UnusableInput, match=says):
        find_orders([marks], jobs=tmp_path / "jobs.csv")


def test_a_folder_without_marks_is_refused(url, tmp_path):
    done = batch(url, tmp_path, "--out", tmp_path / "out")
    assert done.returncode == 5
    assert "no marks" in done.stderr
    assert not (tmp_path / "out").exists()


def test_two_marks_of_one_name_are_refused(url, tmp_path):
    marks = [write_cells(tmp_path / name, 1) / "cell-00000.svg" for name in ("a", "b")]
    done = batch(url, *marks, "--out", tmp_path / "out")
    assert done.returncode == 5
    assert "would both be written to 'cell-00000'" in done.stderr


def test_a_manifest_of_another_version_is_refused(url, tmp_path):
    marks, out = write_cells(tmp_path / "marks", 1), tmp_path / "out"
    out.mkdir()
    (out / "manifest.jsonl").write_text('{"manifest": "stampwright-batch", "version": 99}\n')
    done = batch(url, marks, "--out", out, "--resume")
    assert done.returncode == 5
    assert "no manifest of this version" in done.stderr
    assert list(tree(out)) == ["manifest.jsonl"]


def test_a_folder_that_cannot_be_written_is_told_and_nothing_is_asked(tmp_path):
    marks = write_cells(tmp_path / "marks", 1)
    (tmp_path / "file").write_text("no folder")
    done = batch("http://127.0.0.1:9", marks, "--out", tmp_path / "file" / "out")
    assert done.returncode == 1
    assert "file" in done.stderr


def test_a_full_disk_ends_the_run_and_leaves_nothing_half_written(url, tmp_path):
    marks, out = write_cells(tmp_path / "marks", 3), tmp_path / "out"
    limited = f"ulimit -f 20; exec {COMMAND} batch {marks} --out {out} --url {url}"  # blocks of 1 KiB: no solid fits
    done = run("bash", "-c", f"trap '' XFSZ; {limited}")
    assert done.returncode == 1
    assert "File too large" in done.stderr
    assert all(row["error"] is None for row in rows_of(out))
    assert not [name for name in tree(out) if name.endswith(".part")]


def test_an_unreadable_mark_is_a_row_and_stops_nothing(url, tmp_path):
    marks, out = write_cells(tmp_path / "marks", 2), tmp_path / "out"
    (marks / "gone.svg").symlink_to(tmp_path / "nowhere.svg")
    paths = [marks / "cell-00000.svg", marks / "gone.svg", marks / "cell-00001.svg"]
    with Client(url) as client:
        outcome = run_batch(client, Batch(find_orders(paths), out, **FAST))
    assert outcome.failed == {"UnusableInput": 1}
    assert outcome.verdicts.total() == 2


def test_a_service_that_is_not_there_stops_the_run_after_the_wait(tmp_path):
    marks = write_cells(tmp_path / "marks", 5)
    done = run(COMMAND, "batch", marks, "--out", tmp_path / "out", "--url", "http://127.0.0.1:9", "--wait", "0.5")
    assert done.returncode == 6
    assert "no answer from" in done.stderr
    assert "--resume" in done.stderr
    assert rows_of(tmp_path / "out") == []


def test_a_page_of_a_proxy_stops_the_run(tmp_path):
    page = Response("<html>log in</html>", 200, content_type="text/html")
    client = Client(ADDRESS, session=session_of(page))
    orders = find_orders([write_cells(tmp_path / "marks", 9)])
    outcome = run_batch(client, Batch(orders, tmp_path / "out", workers=2))
    assert isinstance(outcome.stopped, UnexpectedAnswer)
    assert "text/html" in str(outcome.stopped)
    assert rows_of(tmp_path / "out") == []


def test_a_mark_too_large_for_a_proxy_is_a_row_and_stops_nothing(app, tmp_path):
    page = Response("<html>413 Request Entity Too Large</html>", 413, content_type="text/html")
    proxied = session_of(lambda environ, start: (page if b_of(environ) > 2000 else app)(environ, start))
    marks = write_cells(tmp_path / "marks", 2)
    (marks / "cell-00001.svg").write_text(cell(1) + f"<!--{'x' * 2000}-->")
    with Client(ADDRESS, session=proxied) as client:
        outcome = run_batch(client, Batch(find_orders([marks]), tmp_path / "out", workers=1, **FAST))
    assert (outcome.stopped, outcome.failed, outcome.verdicts.total()) == (None, {"UnexpectedAnswer": 1}, 1)


def b_of(environ):
    """Bytes of a request's body."""
    return int(environ.get("CONTENT_LENGTH") or 0)


def test_a_key_that_is_not_known_stops_the_run(tmp_path):
    guarded = create_app(Settings(api_keys=f"hive:{hashlib.sha256(b'smoke').hexdigest()}"))
    orders = find_orders([write_cells(tmp_path / "marks", 4)])
    with Client(ADDRESS, session=session_of(guarded), api_key="wax") as client:
        outcome = run_batch(client, Batch(orders, tmp_path / "out", workers=2, **FAST))
    assert isinstance(outcome.stopped, KeyRequired)
    assert rows_of(tmp_path / "out") == []


@pytest.mark.skipif(not MAY_MOUNT, reason="needs the right to mount a small file system")
def test_a_file_system_without_room_ends_the_run_and_what_is_there_is_whole(url, tmp_path):
    marks, small = write_cells(tmp_path / "marks", 6), tmp_path / "small"
    small.mkdir()
    asked = (
        f"{COMMAND} batch {marks} --out {small}/out --url {url}; code=$?; cp -r {small}/out {tmp_path}/seen; exit $code"
    )
    done = run("unshare", "-m", "bash", "-c", f"mount -t tmpfs -o size=200k none {small} && {{ {asked}; }}")
    assert (done.returncode, "No space left" in done.stderr) == (1, True), done.stderr
    rows = rows_of(tmp_path / "seen")
    assert not [name for name in tree(tmp_path / "seen") if name.endswith(".part")]
    for name, digest in (output for row in rows for output in row["outputs"].items()):
        assert hashlib.sha256((tmp_path / "seen" / name).read_bytes()).hexdigest() == digest


@pytest.mark.skipif(os.geteuid() == 0 and not shutil.which("setpriv"), reason="root needs setpriv to obey permissions")
def test_a_read_only_folder_is_told_before_anything_is_asked(tmp_path):
    marks, out = write_cells(tmp_path / "marks", 1), tmp_path / "out"
    out.mkdir(mode=0o555)
    obeying = ("setpriv", "--bounding-set=-dac_override,-dac_read_search") if os.geteuid() == 0 else ()
    done = run(*obeying, COMMAND, "batch", marks, "--out", out, "--url", "http://127.0.0.1:9")
    assert (done.returncode, "Permission denied" in done.stderr) == (1, True), done.stderr


def test_json_sums_up(url, tmp_path):
    done = batch(url, write_cells(tmp_path / "marks", 2), "--out", tmp_path / "out", "--json", "--only", "stamp.json")
    assert json.loads(done.stdout)["skipped"] == 0
    assert sum(json.loads(done.stdout)["verdicts"].values()) == 2


def test_without_an_address_a_service_is_started_with_a_slot_per_processor(tmp_path):
    environment = {key: value for key, value in os.environ.items() if key != "STAMPWRIGHT_URL"}
    done = run(COMMAND, "batch", write_cells(Path(tmp_path / "marks"), 3), "--out", tmp_path / "out", **environment)
    assert done.returncode in {0, 3}, done.stderr
    assert len(rows_of(tmp_path / "out")) == 3
