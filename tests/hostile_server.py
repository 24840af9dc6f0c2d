"""The real service over slots whose tasks can be told to misbehave: `python -m hostile_server`."""

from __future__ import annotations

import os

from stampwright.slots import Limits, Slots
from stampwright.web import Settings
from stampwright.web.server import serve

if __name__ == "__main__":
    settings = Settings.from_environment({"STAMPWRIGHT_PORT": "0", **os.environ})
    limits = Limits(deadline_s=settings.job_deadline_s, memory_mb=settings.job_memory_mb)
    slots = Slots(settings.slots, queue=settings.queue, limits=limits, tasks="hostile_tasks")
    serve(settings, compute=slots)
    slots.stop()
