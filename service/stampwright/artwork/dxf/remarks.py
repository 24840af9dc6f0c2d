"""Notices kept until the page is known: entities have places in the world, notices on the page."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stampwright.artwork.boxes import around

if TYPE_CHECKING:
    from collections.abc import Callable

    from stampwright.artwork.notices import Log
    from stampwright.base import Bounds

    from .placed import Placed

_MOST_PARTICULARS = 5


@dataclass(slots=True)
class _Entry:
    placed: Placed | None
    count: int = 0
    box: Bounds | None = None
    what: dict[str, None] = field(default_factory=dict)


@dataclass(slots=True)
class Remarks:
    """One entry a code; refusals go to the log at once."""

    log: Log
    _entries: dict[str, _Entry] = field(default_factory=dict)

    def note(
        self, code: str, placed: Placed | None = None, *, what: str = "", box: Bounds | None = None, count: int = 1
    ) -> None:
        """Count an occurrence; `box` in millimetres of the world."""
        entry = self._entries.setdefault(code, _Entry(placed))
        entry.count += count
        entry.box = around((entry.box, box))
        if what and len(entry.what) < _MOST_PARTICULARS:
            entry.what[what] = None

    def refuse(self, code: str, placed: Placed, *, what: str) -> None:
        """Refuse because of an entity, unless the job ignores the code."""
        self.log.refuse(code, placed, what=what)

    @property
    def codes(self) -> list[str]:
        """What was noted so far."""
        return list(self._entries)

    def tell(self, to_page: Callable[[Bounds], Bounds]) -> None:
        """Hand all on to the log."""
        for code, entry in self._entries.items():
            box = to_page(entry.box) if entry.box else None
            self.log.note(code, entry.placed, what=", ".join(entry.what), count=entry.count, box_mm=box)
