"""Who comes first is served first: the slots that are free, and the callers who wait for one."""

from __future__ import annotations

import threading
import time
from collections import deque
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")
LOOK_S = 0.05  # between looks whether a waiting caller has gone


class Place(Generic[T]):
    """One caller's place in the line; `given` is what it waited for."""

    def __init__(self) -> None:
        self.called = threading.Event()
        self.given: T | None = None


class Line(Generic[T]):
    """Things handed out in the order in which they were asked for, to at most `length` waiting callers."""

    def __init__(self, *, length: int) -> None:
        self.length = length
        self._lock = threading.Lock()
        self._free: deque[T] = deque()
        self._waiting: deque[Place[T]] = deque()

    @property
    def waiting(self) -> int:
        """How many callers wait."""
        return len(self._waiting)

    @property
    def free(self) -> int:
        """How many things nobody has."""
        return len(self._free)

    def has_room(self) -> bool:
        """Whether the next caller would be let in."""
        return bool(self._free) or len(self._waiting) < self.length

    def give(self, thing: T) -> None:
        """Hand `thing` to whoever is first, or keep it for the next caller."""
        with self._lock:
            if self._waiting:
                place = self._waiting.popleft()
                place.given = thing
                place.called.set()
            else:
                self._free.append(thing)

    def enter(self) -> Place[T] | None:
        """Take a place, with a thing already in it when one is free; None when the line is full."""
        place: Place[T] = Place()
        with self._lock:
            if self._free:
                place.given = self._free.popleft()
            elif len(self._waiting) < self.length:
                self._waiting.append(place)
            else:
                return None
        return place

    def wait(self, place: Place[T], *, limit_s: float, gone: Callable[[], bool]) -> T | None:
        """Wait for the thing; None when it takes longer than `limit_s`, or the caller has gone."""
        limit = time.monotonic() + limit_s
        while place.given is None and not place.called.wait(LOOK_S):
            if time.monotonic() > limit or gone():
                return self._left(place)
        return place.given

    def _left(self, place: Place[T]) -> T | None:
        with self._lock:
            if place in self._waiting:
                self._waiting.remove(place)
        return place.given  # it may have been given in the very moment
