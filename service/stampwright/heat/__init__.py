"""Stage 10, heat and use: heat-up, target temperature, prints per heat, pressing, the rod, the cautions."""

from .plan_use import plan_use
from .use import RodPlan, UseSheet

__all__ = ["RodPlan", "UseSheet", "plan_use"]
