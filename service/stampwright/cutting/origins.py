"""Where the numbers of a plan are from, from the table beside this module."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from stampwright.base.sources import references
from stampwright.base.tables import rows


@dataclass(frozen=True, slots=True)
class Origin:
    """A number of the plan, by its place in it, the rule it is worked out by, and whose rule that is."""

    quantity: str
    says: str
    source: str


@cache
def origins() -> tuple[Origin, ...]:
    """All of them, in the order of the plan."""
    found = rows("stampwright.cutting", "origins")
    return tuple(Origin(row["quantity"], row["says"], references(row["source"])) for row in found)
