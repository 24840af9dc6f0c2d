"""Stage 14, slots: where the work is done. In this process, or in children that can be limited and stopped."""

from .compute import Compute, Done, Ended, Load, Task
from .here import Here
from .limits import Limits
from .pool import Slots

__all__ = ["Compute", "Done", "Ended", "Here", "Limits", "Load", "Slots", "Task"]
