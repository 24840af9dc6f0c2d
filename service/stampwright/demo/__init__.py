"""Stage 16, the demo: marks of a beekeepers' association, whose members burn them into their hive boxes."""

from .marks import DemoMark, demo_marks
from .run import main

__all__ = ["DemoMark", "demo_marks", "main"]
