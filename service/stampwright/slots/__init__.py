"""Stage 14, slots: where the work is done. In this process, or in children that can be limited and stopped."""

from .here import Here
from .limits import Limits
from .pool import Slots
from .tasks import TASKS, Compute, Task

__all__ = ["TASKS", "Compute", "Here", "Limits", "Slots", "Task"]
