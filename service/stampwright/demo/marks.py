"""The members' registered marks, each with the job its owner asked for. Drawn for this demo, all of them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib import resources
from typing import Any

HERE = resources.files(__package__ or "stampwright.demo")


@dataclass(frozen=True, slots=True)
class DemoMark:
    """One mark of the register: who wants what, the drawing, the job as a caller would post it."""

    name: str
    member: str
    wants: str
    svg: bytes
    job: dict[str, Any]


def demo_marks() -> dict[str, DemoMark]:
    """All marks by name, in the order of the register; the first is the one a newcomer sees."""
    register = json.loads(HERE.joinpath("jobs.json").read_text(encoding="utf-8"))
    return {
        name: DemoMark(name, entry["member"], entry["wants"], _drawing(name), _job(name, entry))
        for name, entry in register.items()
    }


def _drawing(name: str) -> bytes:
    return HERE.joinpath("marks", f"{name}.svg").read_bytes()


def _job(name: str, entry: dict[str, Any]) -> dict[str, Any]:
    return {"name": f"{name}, {entry['member']}", **entry["job"]}  # what its papers call it
