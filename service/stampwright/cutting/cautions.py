"""Dangers of the cutting, from the table beside this module."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from stampwright.base import Caution
from stampwright.base.sources import references
from stampwright.base.tables import rows

if TYPE_CHECKING:
    from stampwright.catalogue import Metal

_LEADED = "leaded-brass"


@cache
def _table() -> tuple[Caution, ...]:
    return tuple(
        Caution(row["code"], row["says"], references(row["source"])) for row in rows("stampwright.cutting", "cautions")
    )


def cautions_for(metal: Metal, *, tapped: bool, plunged: bool, sloping: bool) -> tuple[Caution, ...]:
    """Those that concern this metal, this hole, these entries and sloping walls, in the order of the table."""
    concerned = {"tapping": tapped, "tight-entry": plunged, "draft": sloping, _LEADED: metal.key == "brass-c36000"}
    left_out = {code for code, concerns in concerned.items() if not concerns}
    return tuple(caution for caution in _table() if caution.code not in left_out)
