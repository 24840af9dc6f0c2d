"""Stage 0, the words every stage uses: problems, remarks, quantities, tolerances, tables, sources."""

from .problems import (
    ArtworkError,
    DoesNotFit,
    InternalFault,
    JobError,
    OutsideTable,
    Refusal,
    StampwrightError,
    TooComplex,
    Unavailable,
    UnreadFormat,
    pointer_to,
)
from .remarks import SEVERITY_RANK, VERDICT_OF, Bounds, Caution, Finding, Mend, Notice, Point, Severity, Verdict
from .stopwatch import stage, stopwatch
from .words import numbered

__all__ = [
    "SEVERITY_RANK",
    "VERDICT_OF",
    "ArtworkError",
    "Bounds",
    "Caution",
    "DoesNotFit",
    "Finding",
    "InternalFault",
    "JobError",
    "Mend",
    "Notice",
    "OutsideTable",
    "Point",
    "Refusal",
    "Severity",
    "StampwrightError",
    "TooComplex",
    "Unavailable",
    "UnreadFormat",
    "Verdict",
    "numbered",
    "pointer_to",
    "stage",
    "stopwatch",
]
