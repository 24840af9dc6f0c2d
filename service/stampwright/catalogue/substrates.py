"""Substrates: what a species is (`woods.csv`, `leathers.csv`) joined with how its class is branded (`working.csv`)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright.base.tables import number, rows

from .records import Substrate
from .wood import Thermal, thermal

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from .records import Kind

_PACKAGE = "stampwright.catalogue"
_KINDS: dict[str, Kind] = {"softwood": "softwood", "hardwood": "hardwood"}


def substrates() -> Iterator[Substrate]:
    """Yield every substrate, woods first, in the order of the files."""
    working = {row["key"]: row for row in rows(_PACKAGE, "working")}
    for row in rows(_PACKAGE, "woods"):
        heat = thermal(float(row["specific_gravity"]))
        yield _substrate(row, kind=_KINDS[row["kind"]], heat=heat, practice=working[row["working"]])
    for row in rows(_PACKAGE, "leathers"):
        heat = Thermal(
            conductivity_w_mk=float(row["conductivity_w_mk"]),
            density_kg_m3=float(row["density_kg_m3"]),
            specific_heat_j_kgk=float(row["specific_heat_j_kgk"]),
        )
        yield _substrate(row, kind="leather", heat=heat, practice=working[row["working"]])


def _substrate(row: Mapping[str, str], *, kind: Kind, heat: Thermal, practice: Mapping[str, str]) -> Substrate:
    return Substrate(
        key=row["key"],
        name=row["name"],
        kind=kind,
        janka_n=number(row.get("janka_n", "")),
        crush_mpa=number(row.get("crush_mpa", "")),
        conductivity_w_mk=heat.conductivity_w_mk,
        diffusivity_mm2_s=heat.diffusivity_mm2_s,
        effusivity_w_sqrts_m2k=heat.effusivity_w_sqrts_m2k,
        source=f"{row['source']}; {practice['source']}",
        **{name: float(cell) for name, cell in practice.items() if name not in {"key", "source"}},
    )
