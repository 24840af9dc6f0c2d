"""Stage 2, the job: what a caller asks for beside the mark, read strictly, in millimetres."""

from .fields import Whole, WordOrObject
from .read import read_job
from .record import (
    ArtworkChoice,
    Head,
    InkRule,
    Job,
    Limits,
    Machine,
    Placement,
    Rates,
    Relief,
    Rod,
    SolidKind,
    ThreadChoice,
    UseChoice,
)
from .schema import JobSchema
from .sections import LARGEST_HEAD_MM

__all__ = [
    "LARGEST_HEAD_MM",
    "ArtworkChoice",
    "Head",
    "InkRule",
    "Job",
    "JobSchema",
    "Limits",
    "Machine",
    "Placement",
    "Rates",
    "Relief",
    "Rod",
    "SolidKind",
    "ThreadChoice",
    "UseChoice",
    "Whole",
    "WordOrObject",
    "read_job",
]
