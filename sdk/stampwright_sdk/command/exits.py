"""Exit codes that scripts can rely on, and the way from an error to its code."""

from __future__ import annotations

import contextlib
import json
import sys
from typing import TYPE_CHECKING

from stampwright_sdk.errors import Busy, ConnectionFailed, ProblemError, ServiceFault, StampwrightError, UnusableInput

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stampwright_sdk.parts import Verdict

VERDICT_EXIT: dict[Verdict, int] = {"ready": 0, "compromised": 3, "unmakeable": 4}
FAILED = 1  # a defect of the service, an answer that makes no sense, a file that cannot be written
REFUSED = 5
UNREACHABLE = 6

HELP = """
Exit codes: 0 ready, 1 failed, 2 wrong use, 3 compromised, 4 unmakeable, 5 the mark or job was refused,
6 the service could not be reached or was busy.
"""


@contextlib.contextmanager
def told(*, as_json: bool = False) -> Iterator[None]:
    """Turn what goes wrong into words on stderr and an exit code; with `as_json` a problem also goes to stdout."""
    try:
        yield
    except StampwrightError as error:
        if as_json and isinstance(error, ProblemError):
            sys.stdout.write(json.dumps(error.problem, indent=2, ensure_ascii=False) + "\n")
        sys.stderr.write(f"stampwright: {error}\n")
        sys.exit(exit_of(error))
    except OSError as error:
        sys.stderr.write(f"stampwright: {error}\n")
        sys.exit(FAILED)


def exit_of(error: StampwrightError) -> int:
    """Exit code that stands for `error`."""
    if isinstance(error, (ConnectionFailed, Busy)):
        return UNREACHABLE
    if isinstance(error, ServiceFault):
        return FAILED
    return REFUSED if isinstance(error, (ProblemError, UnusableInput)) else FAILED
