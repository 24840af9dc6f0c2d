"""A thin client of the stampwright service: a mark goes in, a stamp comes out.

    with Client("http://127.0.0.1:8080") as client:
        stamp = client.make_stamp("hive.svg", {"substrate": "pine-white"})

Importing it needs `requests` alone; the command line needs the extra `cli`.
"""

from .answers import Bundle, DrawingFile, Made, ReviewedMark, SolidFile, Stamp
from .client import Client
from .errors import (
    Busy,
    ConnectionFailed,
    DoesNotFit,
    InvalidJob,
    KeyRequired,
    MalformedRequest,
    NotOffered,
    OutsideTable,
    ProblemError,
    Reason,
    ServiceFault,
    StampwrightError,
    TooComplex,
    TooLarge,
    TooManyRequests,
    UnexpectedAnswer,
    UnusableInput,
    UnusableMark,
)

__version__ = "0.1.0"

__all__ = [
    "Bundle",
    "Busy",
    "Client",
    "ConnectionFailed",
    "DoesNotFit",
    "DrawingFile",
    "InvalidJob",
    "KeyRequired",
    "Made",
    "MalformedRequest",
    "NotOffered",
    "OutsideTable",
    "ProblemError",
    "Reason",
    "ReviewedMark",
    "ServiceFault",
    "SolidFile",
    "Stamp",
    "StampwrightError",
    "TooComplex",
    "TooLarge",
    "TooManyRequests",
    "UnexpectedAnswer",
    "UnusableInput",
    "UnusableMark",
    "__version__",
]
