"""What one job may use, and what is said when it wants more."""

from __future__ import annotations

from dataclasses import dataclass

from stampwright.base import Refusal

OUR_TASKS = "stampwright.slots.tasks"
"""The module of the service's own tasks, by name: loading it loads the whole geometry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits of one job: seconds of wall time, MiB on top of the loaded program, bytes of its answer."""

    deadline_s: float = 30.0
    memory_mb: int = 1024
    answer_bytes: int = 100_000_000


LESS = "simplify the drawing: fewer points, no scribbles that cross themselves, no textures"


def too_slow(limits: Limits) -> Refusal:
    """The job was ended at its deadline."""
    return Refusal("too-slow", f"the mark takes longer than the {limits.deadline_s:g} s one job may take; {LESS}")


def too_much_memory(limits: Limits) -> Refusal:
    """The job asked for memory it may not have."""
    return Refusal("too-much-memory", f"the mark needs more than the {limits.memory_mb} MiB one job may use; {LESS}")


def too_large_answer(limits: Limits) -> Refusal:
    """The answer grew beyond what is carried back."""
    return Refusal("too-large-answer", f"the answer is larger than {limits.answer_bytes} bytes; {LESS}")
