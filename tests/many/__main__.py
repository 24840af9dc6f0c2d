"""`python3 tests many [--count 10000]`: a batch of so many marks, its server killed and begun again in the middle.

Prints how many rows there are, how many are lost or double, whether outputs equal single conversions byte for byte,
how much of the processors was busy, how much of what other programs left free the run took, and the memory of client
and server along the way.
"""

import argparse
import json
import os
import random
import sys
import tempfile
import threading
import time
from pathlib import Path

import psutil

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from many_marks import write_cells
from served import Server
from stampwright_sdk import Client
from stampwright_sdk.batch import MANIFEST_FILE, Batch, find_orders, run_batch

ONLY = frozenset({"stamp.json"})
COMPARED = 40


class Watch(threading.Thread):
    """Looks at the server and this process each second: memory [MB] and processor time [s]."""

    def __init__(self, server):
        super().__init__(daemon=True)
        self.server, self.memory, self.over = server, [], threading.Event()
        self._seen = {}

    @property
    def used_s(self):
        """Processor time of client, servers, slots and jobs so far, the killed server's up to its last look."""
        own = psutil.Process().cpu_times()
        return sum(self._seen.values()) + own.user + own.system

    def run(self):
        while not self.over.wait(1.0):
            self.look()

    def look(self):
        try:
            server = psutil.Process(self.server.process.pid)
            family = [server, *server.children()]  # with its slots; the job of the moment shares a slot's pages
            rss = sum(process.memory_info().rss for process in (psutil.Process(), *family))
            for process in family:
                times = process.cpu_times()
                self._seen[process.pid] = times.user + times.system + times.children_user + times.children_system
        except psutil.Error:
            return
        self.memory.append(rss / 1e6)


def main():
    """Run, compare, print."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--count", type=int, default=10_000)
    count = wanted.parse_args().count
    with tempfile.TemporaryDirectory() as place:
        report(Path(place), count)


def report(place, count):
    """One run and what came of it."""
    marks, out = write_cells(place / "marks", count), place / "out"
    slots = os.cpu_count() or 1
    server = Server(slots=slots)
    watch = Watch(server)
    watch.start()
    told, killed = [], threading.Event()

    def hear(row, _skipped):
        told.append(row.file)
        if len(told) == count // 2:
            killed.set()
            server.kill()
            threading.Thread(target=server.begin).start()

    before, began, used_s = psutil.cpu_times(), time.monotonic(), watch.used_s
    with Client(server.url, retries=10**6, max_wait=600) as client:
        outcome = run_batch(client, Batch(find_orders([marks]), out, only=ONLY, workers=slots + 1), told=hear)
        took_s = time.monotonic() - began
        after, used_s = psutil.cpu_times(), watch.used_s - used_s
        chosen = random.Random(7).sample(range(count), min(COMPARED, count))  # noqa: S311  a sample, no secret
        singles = [(n, client.make_stamp(marks / f"cell-{n:05d}.svg", accept="bundle").files) for n in chosen]
    watch.over.set()
    server.end()
    unlike = sum((out / f"cell-{n:05d}" / name).read_bytes() != files[name] for n, files in singles for name in ONLY)
    idle_s = after.idle - before.idle
    idle = idle_s / (took_s * (os.cpu_count() or 1))
    rows = [json.loads(line)["file"] for line in (out / MANIFEST_FILE).read_text().splitlines()[1:]]
    third = max(1, len(watch.memory) // 3)
    print(  # noqa: T201  a report on the command line
        f"{count} marks in {took_s:.0f} s ({took_s / count * 1e3:.0f} ms each); server killed and begun again: "
        f"{killed.is_set()}\nrows {len(rows)}, lost {count - len(set(rows))}, double {len(told) - len(set(told))}, "
        f"failed {outcome.failed.total()}, verdicts {dict(outcome.verdicts)}\n"
        f"outputs unlike single conversions: {unlike} of {len(singles) * len(ONLY)}\n"
        f"processors {1 - idle:.0%} busy; the run took {used_s / (used_s + idle_s):.0%} of what other programs left "
        f"free ({used_s:.0f} s); memory of client and server at most {max(watch.memory[:third]):.0f} MB in "
        f"the first third, {max(watch.memory[-third:]):.0f} MB in the last"
    )


main()
