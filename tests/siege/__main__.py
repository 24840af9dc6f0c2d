"""`python3 tests siege [--marks 1000]`: the attacks and loads against the promised bars, on a quiet machine.

A line each with what was measured; ends with status 1 when a bar is missed. Takes some minutes.
"""

# ruff: noqa: T201  a report on the command line

import argparse
import os
import signal
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

import requests

from attacks import MISDEEDS, crowd, health_beside_slow, misbehave, patient_crowd
from hostile_swarm import swarm
from served import HOSTILE, PLAIN, Pulse, below, is_there, napping, served, until

DEADLINE_S = 3.0
MEMORY_MB = 512
SETTINGS = {"STAMPWRIGHT_JOB_DEADLINE_S": str(DEADLINE_S), "STAMPWRIGHT_JOB_MEMORY_MB": str(MEMORY_MB)}
WHOLE_BYTES = "1.073741824e+09"  # a GiB as the metrics write it: half is the limit, the loaded program has 150 MiB


def main():
    """Attack, measure, print."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--marks", type=int, default=1000, help="hostile drawings to send")
    asked = wanted.parse_args()
    held = [*beside_misdeeds(), *beside_slow_ones(), *crowds(), *kills(), stop(), *drawings(asked.marks)]
    return 0 if all(held) else 1


def bar(says, *, holds):
    print(f"{'holds' if holds else 'MISSED'}: {says}", flush=True)
    return holds


def beside_misdeeds():
    with served(*HOSTILE, **SETTINGS) as service:
        siege = misbehave(service, neighbours=72)
    told = [kind for _, kind, _ in siege.hostile] == list(MISDEEDS.values())
    slowest_s = max(seconds for _, _, seconds in siege.hostile)
    yield bar(
        f"{', '.join(MISDEEDS)}: a problem after {slowest_s:.2f} s at most, deadline {DEADLINE_S:g} + 0.5 s",
        holds=told and slowest_s <= DEADLINE_S + 0.5,
    )
    yield bar(f"of 72 neighbours {siege.lost} lost", holds=siege.lost == 0)
    worst_ms = siege.pulse.worst_ms
    yield bar(
        f"/healthz meanwhile {worst_ms:.0f} ms at worst, under 100", holds=not siege.pulse.lost and worst_ms < 100
    )


def beside_slow_ones():
    with served(*PLAIN) as service:
        for kind in ("idle", "headers", "body"):
            pulse = health_beside_slow(service.url, kind, count=300, seconds=8)
            yield bar(
                f"300 slow connections ({kind}): /healthz {pulse.worst_ms:.0f} ms at worst, under 50",
                holds=not pulse.lost and pulse.worst_ms < 50,
            )


def crowds():
    with served(*PLAIN) as service:
        with Pulse(service.url) as pulse:
            answers = [answer for _ in range(3) for answer in crowd(service, clients=200)]
        done, later = answers.count((200, False)), answers.count((503, True))
        says = f"200 clients, 3 times: {done} done, {later} told when to come back, {len(answers) - done - later} else"
        yield bar(f"{says}; /healthz {pulse.worst_ms:.0f} ms at worst", holds=done + later == len(answers) and done > 0)
        began = time.perf_counter()
        done = patient_crowd(service, clients=200)
        yield bar(f"200 clients of the SDK: {done} done in {time.perf_counter() - began:.1f} s", holds=done == 200)


def kills():
    with served(*HOSTILE) as service, ThreadPoolExecutor(8) as pool:
        for which in range(8):
            answers = [pool.submit(service.solid, b"nap 0.5") for _ in range(8)]
            until(lambda: len(napping(service.process.pid)) == 2)
            os.kill(below(service.process.pid)[which % 4], signal.SIGKILL)
            lost = sum(answer.result().status_code != 200 for answer in answers)
            yield bar(f"kill -9 of a compute process among 8 requests: {lost} lost", holds=lost == 0)


def stop():
    with served(*HOSTILE) as service, ThreadPoolExecutor(8) as pool:
        answers = [pool.submit(service.solid, b"nap 1") for _ in range(8)]
        until(lambda: service.metric("stampwright_jobs_waiting") == 6)
        processes = below(service.process.pid)
        service.process.send_signal(signal.SIGTERM)
        done = sum(answer.result().status_code == 200 for answer in answers)
        status = service.process.wait(timeout=60)
        time.sleep(0.5)
        orphans = sum(map(is_there, processes))
    return bar(
        f"SIGTERM with 8 in flight: {done} answered, status {status}, {orphans} orphans",
        holds=(done, status, orphans) == (8, 0, 0),
    )


def drawings(count):
    slowest_s, faults, refused = 0.0, 0, 0
    with served(*PLAIN, **SETTINGS) as service, Pulse(service.url) as pulse:
        for _kind, drawing in swarm(count):
            began = time.perf_counter()
            answer = requests.post(f"{service.url}/v1/stamps", files={"mark": ("m.svg", drawing)}, timeout=60)
            slowest_s = max(slowest_s, time.perf_counter() - began)
            faults += answer.status_code >= 500
            refused += 400 <= answer.status_code < 500
        within = service.metric(f'stampwright_job_peak_bytes_bucket{{le="{WHOLE_BYTES}"}}')
        over = service.metric("stampwright_job_peak_bytes_count") - within
    yield bar(f"{count} hostile drawings: {refused} refused, {faults} answers of 500 and above", holds=faults == 0)
    yield bar(
        f"the slowest answered after {slowest_s:.2f} s, deadline {DEADLINE_S:g} + 0.5 s",
        holds=slowest_s <= DEADLINE_S + 0.5,
    )
    yield bar(f"{over:.0f} of them with more than 1 GiB of memory", holds=over == 0)
    yield bar(f"/healthz meanwhile {pulse.worst_ms:.0f} ms at worst, under 100", holds=pulse.worst_ms < 100)


if __name__ == "__main__":
    sys.exit(main())
