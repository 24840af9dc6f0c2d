"""What every step of the planning needs to know of the job at hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stampwright.catalogue import Metal
    from stampwright.job import Job, Machine


@dataclass(frozen=True, slots=True)
class Work:
    """The job, its metal and the relief of its face."""

    job: Job
    metal: Metal
    relief_mm: float

    @property
    def machine(self) -> Machine:
        """The mill."""
        return self.job.machine
