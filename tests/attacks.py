"""Attacks and loads on a running service, and what was measured meanwhile. The bars stand where they are called."""

from __future__ import annotations

import contextlib
import itertools
import socket
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import requests

from served import Pulse
from stampwright_sdk import Client
from stampwright_sdk.errors import StampwrightError

MARK = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 12"><path d="M2 2h16v8h-16z M6 4h8v4h-8z"/></svg>'
PATIENT = {"retries": 10_000, "max_wait": 300.0, "timeout": (30.0, 120.0)}
MISDEEDS = {"loop": "too-complex", "stuck": "too-complex", "hog": "too-complex", "segfault": "internal-fault"}


class Siege(NamedTuple):
    """Of one attack: answers to the hostile as (status, kind, seconds), good ones lost, the health meanwhile."""

    hostile: list[tuple[int, str, float]]
    lost: int
    pulse: Pulse


def misbehave(service, *, neighbours, clients=8):
    """Each misdeed once, in turn, while `neighbours` good marks are sent by patient clients."""
    with Pulse(service.url) as pulse, ThreadPoolExecutor(clients) as pool, Client(service.url, **PATIENT) as client:
        hostile, good = [], []
        for number, name in enumerate(MISDEEDS):
            began = threading.Event()
            attack = pool.submit(_misdeed, service, name, began)
            began.wait()
            time.sleep(0.2)  # it has a slot by now, and its time runs
            share = neighbours * (number + 1) // len(MISDEEDS) - neighbours * number // len(MISDEEDS)
            good += [pool.submit(_good, client) for _ in range(share)]
            hostile.append(attack.result())
        lost = sum(not neighbour.result() for neighbour in good)
    return Siege(hostile, lost, pulse)


def _misdeed(service, name, began):
    start = time.perf_counter()
    began.set()
    answer = service.solid(name.encode())
    return answer.status_code, answer.json()["type"].removeprefix("/problems/"), time.perf_counter() - start


def _good(client):
    try:
        return client.make_solid(MARK).body[80:84] != b"\0\0\0\0"
    except StampwrightError:
        return False


class Slow(NamedTuple):
    """Connections that are open and say little."""

    ends: list[socket.socket]
    over: threading.Event


def slow_connections(url, kind, count):
    """Open `count` connections that say nothing (`idle`), or a byte of a head or a body a second."""
    host, port = url.removeprefix("http://").split(":")
    ends = [socket.create_connection((host, int(port)), timeout=30) for _ in range(count)]
    opening = {
        "idle": b"",
        "headers": b"POST /v1/stamps HTTP/1.1\r\nHost: hives\r\nX-Slow: ",
        "body": b"POST /v1/stamps HTTP/1.1\r\nHost: hives\r\nContent-Length: 9999\r\n\r\n",
    }[kind]
    for end in ends:
        end.sendall(opening)
    over = threading.Event()
    if opening:
        threading.Thread(target=_dribble, args=(ends, over), daemon=True).start()
    return Slow(ends, over)


def _dribble(ends, over):
    for end in itertools.cycle(ends):
        if over.wait(1.0 / len(ends)):
            return
        with contextlib.suppress(OSError):  # it has been hung up on
            end.sendall(b"a")


def health_beside_slow(url, kind, *, count, seconds):
    """The health beside `count` slow connections of a kind."""
    slow = slow_connections(url, kind, count)
    time.sleep(1.0)  # that so many have come in one moment is a crowd, measured elsewhere
    try:
        with Pulse(url) as pulse:
            time.sleep(seconds)
    finally:
        slow.over.set()
        for end in slow.ends:
            end.close()
    return pulse


def crowd(service, *, clients):
    """The answers to `clients` that ask once, all at the same time, as (status, whether it says when to come back)."""
    together = threading.Barrier(clients)

    def ask(_number):
        together.wait()
        answer = requests.post(f"{service.url}/v1/solids", files={"mark": ("m.svg", MARK)}, timeout=120)
        return answer.status_code, answer.headers.get("Retry-After", "").isdecimal()

    with ThreadPoolExecutor(clients) as pool:
        return list(pool.map(ask, range(clients)))


def patient_crowd(service, *, clients):
    """How many of as many clients of the SDK get their solid when they all come at the same time."""
    together = threading.Barrier(clients)

    def ask(_number):
        with Client(service.url, **PATIENT) as client:
            together.wait()
            return _good(client)

    with ThreadPoolExecutor(clients) as pool:
        return sum(pool.map(ask, range(clients)))
