"""The dangers of the work, as the metal and the substrate have them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright.base import Caution
from stampwright.base.sources import references
from stampwright.base.tables import rows

from .target import capped, face_target_c

if TYPE_CHECKING:
    from stampwright.catalogue import Metal, Substrate

_ROWS = tuple(rows("stampwright.heat", "cautions"))


def cautions_for(metal: Metal, substrate: Substrate) -> tuple[Caution, ...]:
    """Every caution that concerns this metal and substrate; what the pairing itself forbids comes first."""
    general = [
        Caution(row["code"], row["says"], references(row["source"]))
        for row in _ROWS
        if row["metal"] in {"", metal.key} and row["kind"] in {"", substrate.kind}
    ]
    return (*_of_the_pair(metal, substrate), *general)


def _of_the_pair(metal: Metal, substrate: Substrate) -> list[Caution]:
    high_c = face_target_c(metal, substrate)[1]
    limit = f"Do not heat {metal.name} above {metal.not_above_c:g} °C"
    if high_c <= substrate.char_c:
        says = f"{limit}, and {substrate.name} needs {substrate.char_c:g} °C to take a print: choose another metal."
        return [Caution("metal-too-cool", says, references(metal.source))]
    if capped(metal, substrate):
        says = f"{limit}, and {substrate.name} is usually branded from {substrate.face_low_c:g} °C on: dwell longer."
        return [Caution("metal-runs-cool", says, references(metal.source))]
    return []
