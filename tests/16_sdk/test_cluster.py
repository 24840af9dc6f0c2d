"""A batch on the workers of a cluster: the same rows and bytes as over HTTP, and a worker killed between marks."""

from __future__ import annotations

import contextlib
import json
import os
import signal

import psutil
import pytest

from in_process import ADDRESS, session_of
from lettered import TEXTS, dejavu, drawing
from many_marks import cell, tree, write_cells
from programs import COMMAND, run
from served import until
from stampwright.cluster import Cluster
from stampwright_sdk import Client, InvalidJob, UnusableMark
from stampwright_sdk.batch import Batch, find_orders, run_batch

MARKS = 24


@pytest.fixture(scope="module")
def cluster():
    with Cluster(processes=2) as running:
        yield running


def test_a_worker_killed_in_mid_run_loses_nothing_and_doubles_nothing(cluster, tmp_path):
    marks, out = write_cells(tmp_path / "marks", MARKS), tmp_path / "out"
    told = []

    def hear(row, _skipped):
        told.append(row.file)
        if len(told) == MARKS // 3:
            os.kill(cluster.pids[0], signal.SIGKILL)

    outcome = run_batch(cluster, Batch(find_orders([marks]), out, only=frozenset({"stamp.json"}), workers=4), told=hear)
    assert outcome.verdicts.total() == MARKS
    assert not outcome.failed
    assert sorted(told) == sorted(path.stem for path in marks.iterdir())
    assert len(tree(out)) == MARKS + 2  # and the manifest in its two forms


def test_a_worker_makes_the_same_bytes_as_the_service(cluster, app):
    over_http = Client(ADDRESS, session=session_of(app)).make_stamp(cell(3), accept="bundle")
    assert cluster.make_stamp(cell(3)).body == over_http.body


def test_fonts_reach_the_workers(cluster, app):
    mark = drawing(TEXTS["anchor-middle"])
    over_http = Client(ADDRESS, session=session_of(app)).make_stamp(mark, accept="bundle", fonts=[dejavu()])
    assert cluster.make_stamp(mark, fonts=[dejavu()]).body == over_http.body


@pytest.mark.parametrize(("mark", "job", "kind"), [("<svg", {}, UnusableMark), (cell(1), {"metal": "tin"}, InvalidJob)])
def test_a_refusal_is_the_same_as_the_services(cluster, app, mark, job, kind):
    told = []
    for maker in (cluster, Client(ADDRESS, session=session_of(app))):
        with pytest.raises(kind) as refused:
            maker.make_stamp(mark, job, accept="bundle")
        told.append(refused.value.reasons)
    assert told[0] == told[1]


def test_a_worker_works_in_a_slot_that_can_be_ended(cluster):
    cluster.make_stamp(cell(2))
    until(lambda: slots_at_work(cluster) == 2)  # a worker that was killed before may still be on its way back


def slots_at_work(cluster):
    found = 0
    for pid in cluster.pids:
        with contextlib.suppress(psutil.NoSuchProcess):
            found += sum("stampwright.slots.slot" in child.cmdline() for child in psutil.Process(pid).children())
    return found


def test_the_command_runs_on_workers_of_this_machine(tmp_path):
    marks, out = write_cells(tmp_path / "marks", 2), tmp_path / "out"
    done = run(COMMAND, "batch", marks, "--out", out, "--cluster", "local", "--workers", "2", "--json")
    assert sum(json.loads(done.stdout)["verdicts"].values()) == 2, done.stderr


def test_a_scheduler_that_is_not_there_is_told(tmp_path):
    marks, out = write_cells(tmp_path / "marks", 1), tmp_path / "out"
    done = run(
        COMMAND,
        "batch",
        marks,
        "--out",
        out,
        "--cluster",
        "tcp://127.0.0.1:9",
        DASK_DISTRIBUTED__COMM__TIMEOUTS__CONNECT="1s",
    )
    assert done.returncode == 1
    assert "127.0.0.1:9" in done.stderr
