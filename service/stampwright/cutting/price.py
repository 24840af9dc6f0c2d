"""What the shop charges: metal, set-up, minutes, as an itemised list."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stampwright.cutting.plan import CuttingPlan
    from stampwright.job import Rates

_CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class PriceItem:
    """One line of the quote."""

    says: str
    amount: float


@dataclass(frozen=True, slots=True)
class Price:
    """The quote; `total` is the sum of the items, each rounded to the cent first."""

    currency: str
    items: tuple[PriceItem, ...]
    total: float


def price_of(plan: CuttingPlan, rates: Rates | None) -> Price | None:
    """Quote a plan: the blank's metal by weight, the set-up, the minutes. None when no rates are given."""
    if rates is None:
        return None
    lines = (
        (f"metal, {plan.blank.mass_g:.0f} g", plan.blank.mass_g / 1000 * rates.metal_per_kg),
        ("set-up", rates.setup),
        (f"work, {plan.total_min:.0f} min", plan.total_min / 60 * rates.per_hour),
    )
    amounts = [Decimal(amount).quantize(_CENT, ROUND_HALF_UP) for _, amount in lines]
    items = tuple(PriceItem(says, float(amount)) for (says, _), amount in zip(lines, amounts, strict=True))
    return Price(rates.currency, items, float(sum(amounts)))
