"""Stage 9, plan the cutting: cutters in order, speeds, depths, minutes; blank, hole and thread; the price."""

from .failure import with_failure
from .plan import Blank, CuttingPlan, Operation, OperationKind, ThreadPlan
from .price import Price, PriceItem, price_of
from .sequence import plan_cutting

__all__ = [
    "Blank",
    "CuttingPlan",
    "Operation",
    "OperationKind",
    "Price",
    "PriceItem",
    "ThreadPlan",
    "plan_cutting",
    "price_of",
    "with_failure",
]
