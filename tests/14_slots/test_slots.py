"""Work in processes of its own: what a job cannot do to its neighbours, to the service, or to the next job."""

from __future__ import annotations

import os
import signal
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from lettered import TEXTS, dejavu, drawing
from served import below, napping, until
from stampwright.base import ArtworkError, InternalFault, TooComplex, Unavailable
from stampwright.documents import Entry, packed
from stampwright.slots import Here, Limits, Slots
from stampwright.slots.tasks import TASKS

DEADLINE_S = 1.0
QUEUE = 6
MARK = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 12"><path d="M2 2h16v8h-16z M6 4h8v4h-8z"/></svg>'
HOSTILE = {
    "loop": (TooComplex, "too-slow"),
    "stuck": (TooComplex, "too-slow"),
    "hog": (TooComplex, "too-much-memory"),
    "segfault": (InternalFault, "worker-crashed"),
    "large": (TooComplex, "too-large-answer"),
    "defect": (InternalFault, "defect"),
}


def started(count, *, queue=16, deadline_s=DEADLINE_S):
    limits = Limits(deadline_s=deadline_s, memory_mb=256, answer_bytes=2_000_000)
    slots = Slots(count, queue=queue, limits=limits, tasks="hostile_tasks")
    until(lambda: slots.load().up == count)
    return slots


def ask(slots, task, mark=MARK, *, gone=lambda: False):
    return slots.do(task, mark=mark, job={}, gone=gone).body


def test_every_part_arrives_as_it_was_sent(two):
    fonts = [b"", b"\0", bytes(range(256)) * 9]
    told = two.do("parts", mark=MARK, job={}, gone=lambda: False, fonts=fonts).body
    assert told == b"|".join([MARK, *fonts])


def test_a_job_is_over_before_cycles_are_looked_for(two):
    """Counted: the interpreter alone looks for them at every 700 objects, a twentieth of a small job's time."""
    assert ask(two, "cyclic") == b"0"


def test_text_is_set_in_a_slot_as_in_process(patient):
    asked = {"mark": drawing(TEXTS["on-path"]).encode(), "job": {}, "gone": lambda: False, "fonts": [dejavu()]}
    assert patient.do("review", **asked).body == Here().do("review", **asked).body


def is_alive(pid):
    """Whether the process runs; one that has ended and is not yet waited for does not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


@pytest.fixture(scope="module")
def two():
    slots = started(2)
    yield slots
    slots.stop()


@pytest.fixture(scope="module")
def patient():
    """For whole jobs: a bundle takes most of a second of a machine that has nothing else to do."""
    slots = started(1, deadline_s=30.0)
    yield slots
    slots.stop()


@pytest.fixture(scope="module")
def single():
    slots = started(1, queue=QUEUE, deadline_s=60.0)
    yield slots
    slots.stop()


@pytest.fixture
def one(single):
    """One slot that is up, whatever the test before did to it; nothing here waits for its deadline."""
    until(lambda: single.load() == (1, 0, 0))
    return single


@pytest.fixture
def unasked():
    """A slot that has done no job, and the process that waits for its first: its only child, so none that ends."""
    slots = started(1)
    until(lambda: below(slots.pids[0]))
    yield slots, *below(slots.pids[0])
    slots.stop()


@pytest.fixture
def pool():
    with ThreadPoolExecutor(8) as threads:
        yield threads


@pytest.mark.parametrize("task", TASKS)
def test_a_slot_gives_the_same_bytes_as_work_in_process(patient, task):
    mark = packed([Entry("hive", MARK, {})]) if task.startswith("contact") else MARK
    assert ask(patient, task, mark) == ask(Here(), task, mark)


def test_a_refusal_of_the_core_arrives_as_it_was_raised(two):
    with pytest.raises(ArtworkError) as here:
        ask(Here(), "stamp", b"no drawing")
    with pytest.raises(ArtworkError) as there:
        ask(two, "stamp", b"no drawing")
    assert there.value.refusals == here.value.refusals


@pytest.mark.parametrize("task", HOSTILE)
def test_a_hostile_job_is_refused_by_its_deadline_and_its_neighbours_are_not_hurt(two, pool, task):
    kind, code = HOSTILE[task]
    neighbours = [pool.submit(ask, two, "solid") for _ in range(6)]
    with pytest.raises(kind, match=code):  # left alone, the first two would never end
        ask(two, task)
    assert len({neighbour.result() for neighbour in neighbours}) == 1


def test_what_is_refused_for_a_limit_names_the_limit(two):
    with pytest.raises(TooComplex, match="1 s one job may take"):
        ask(two, "loop")


def test_a_defect_never_quotes_the_mark(two, caplog):
    with pytest.raises(InternalFault) as fault:
        ask(two, "defect", b"secret")
    assert "secret" not in str(fault.value) + repr([vars(record) for record in caplog.records])


def test_what_a_job_prints_does_not_reach_its_answer(two):
    assert ask(two, "chatter", b"quiet") == b"quiet"


def test_every_job_has_a_process_of_its_own(two):
    assert len({ask(two, "pid") for _ in range(4)}) == 4


@pytest.mark.parametrize("which", ["slot", "process of its own"])
def test_a_job_is_done_again_when_what_does_it_is_killed(one, pool, held, which):
    asleep = pool.submit(ask, one, "held", held.name)
    until(lambda: napping(os.getpid()))
    os.kill(one.pids[0] if which == "slot" else napping(os.getpid())[0], signal.SIGKILL)
    held.let_go()
    assert asleep.result() == held.name


def test_a_slot_killed_while_idle_costs_no_job(one):
    os.kill(one.pids[0], signal.SIGKILL)
    assert ask(one, "clock")


def test_a_process_killed_while_it_waits_for_a_job_costs_no_job(unasked):
    slots, waiting = unasked
    os.kill(waiting, signal.SIGKILL)
    assert ask(slots, "clock")


def test_a_process_that_waits_for_a_job_ends_with_its_slot(unasked):
    slots, waiting = unasked
    os.kill(slots.pids[0], signal.SIGKILL)
    until(lambda: not is_alive(waiting))


def test_a_slot_that_hangs_is_replaced():
    slots = started(1)
    (stopped,) = slots.pids
    os.kill(stopped, signal.SIGSTOP)
    with pytest.raises(TooComplex, match="too-slow"):
        ask(slots, "pid")
    assert int(ask(slots, "pid")) != stopped
    assert not is_alive(stopped)
    slots.stop()


def test_a_full_queue_refuses_and_says_when_to_come_back(one, pool, held):
    taken = [pool.submit(ask, one, "held", held.name) for _ in range(1 + QUEUE)]
    until(lambda: not one.room())
    with pytest.raises(Unavailable, match="busy") as busy:
        ask(one, "clock")
    assert busy.value.retry_after_s >= 1
    held.let_go()
    assert [job.result() for job in taken] == [held.name] * (1 + QUEUE)


def test_who_comes_first_is_served_first(one, pool, held):
    """Each comes when the one before it waits; the jobs themselves tell when they began."""
    first = pool.submit(ask, one, "held", held.name)
    until(lambda: one.load().busy == 1)
    jobs = []
    for number in range(1, QUEUE + 1):
        jobs.append(pool.submit(ask, one, "clock"))
        until(lambda number=number: one.load().waiting == number)
    held.let_go()
    assert first.result() == held.name
    began = [int(job.result()) for job in jobs]
    assert began == sorted(began)


def test_a_caller_who_hangs_up_frees_the_slot(one, pool, held):
    hung_up = threading.Event()
    asleep = pool.submit(ask, one, "held", held.name, gone=hung_up.is_set)
    until(lambda: napping(os.getpid()))
    (child,) = napping(os.getpid())
    hung_up.set()
    with pytest.raises(Unavailable, match="called-off"):
        asleep.result()
    assert not is_alive(child)
    assert ask(one, "clock")


def test_a_caller_who_hangs_up_leaves_the_queue(one, pool, held):
    hung_up = threading.Event()
    first = pool.submit(ask, one, "held", held.name)
    until(lambda: napping(os.getpid()))
    second = pool.submit(ask, one, "held", held.name, gone=hung_up.is_set)
    until(lambda: one.load().waiting == 1)
    hung_up.set()
    with pytest.raises(Unavailable):
        second.result()
    assert one.load().waiting == 0
    held.let_go()
    assert first.result() == held.name


def test_stopping_leaves_no_process_behind(pool, held):
    slots = started(2, deadline_s=60.0)
    jobs = [pool.submit(ask, slots, "held", held.name) for _ in range(3)]
    until(lambda: len(napping(os.getpid())) == 2)
    processes = [*slots.pids, *(child for pid in slots.pids for child in below(pid))]
    slots.stop()
    for job in jobs:
        with pytest.raises(Unavailable, match="stopping"):
            job.result()
    until(lambda: not any(map(is_alive, processes)))
