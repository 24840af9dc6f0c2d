"""Hostile PDFs: bombs and 300 seeded faults are answered in bounded time and 300 MB, never by a crash."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

import paper_mutants

SECONDS, MB = 8.0, 300.0  # of CPU; the slowest takes 1.0 s of a quiet machine, a bomb that goes off takes minutes


def told_by(*arguments):
    command = [sys.executable, paper_mutants.__file__, *arguments]
    path = {"PYTHONPATH": str(Path(paper_mutants.__file__).parent), "PATH": "/usr/bin"}
    return json.loads(subprocess.run(command, check=True, capture_output=True, env=path).stdout)  # noqa: S603


@pytest.fixture(scope="module")
def bombs():
    return {name: rest for name, *rest in told_by("bombs")["found"]}


@pytest.mark.parametrize("name", paper_mutants.BOMBS)
def test_a_bomb_is_answered_in_time_and_memory(bombs, name):
    told, spent_s, more_mb = bombs[name]
    assert told != "crash"
    assert spent_s < SECONDS
    assert more_mb < MB


def test_no_fault_in_a_file_is_a_crash():
    answered = told_by("mutants", "300")
    assert len(answered["found"]) == 300
    assert max(spent_s for _, _, spent_s, _ in answered["found"]) < SECONDS
    assert answered["peak_mb"] < MB
    assert {"read", "broken-pdf"} < {told for _, told, _, _ in answered["found"]}
