"""What the shop charges: metal, set-up, minutes, as an itemised list."""

from __future__ import annotations

from dataclasses import dataclass


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
