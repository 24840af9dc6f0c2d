"""Exit codes that scripts can rely on, and the way from an error to its code."""

from __future__ import annotations

import contextlib
import json
import sys
from typing import TYPE_CHECKING

from stampwright_sdk.errors import Busy, ConnectionFailed, ProblemError, ServiceFault, StampwrightError, UnusableInput

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from stampwright_sdk.parts import Verdict

VERDICT_EXIT: dict[Verdict, int] = {"ready": 0, "compromised": 3, "unmakeable": 4}
FAILED = 1  # a defect of the service, an answer that makes no sense, a file that cannot be written
REFUSED = 5
UNREACHABLE = 6

HELP = """
Exit codes: 0 ready, 1 failed, 2 wrong use, 3 compromised, 4 unmakeable, 5 the mark or job was refused,
6 the service could not be reached or was busy.
"""

INTERRUPTED = 130  # 128 + SIGINT, as shells have it

BATCH_HELP = """
Exit codes: 0 all ready, 1 failed, 2 wrong use, 3 the worst is compromised, 4 the worst is unmakeable, 5 some marks or
jobs were refused, 6 the service could not be reached or stayed busy, 130 interrupted.
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


def batch_exit(verdicts: Mapping[str, int], failed: Mapping[str, int], stopped: StampwrightError | None) -> int:
    """Exit code of a batch: what stopped it, else the worst that came of a mark."""
    if stopped is not None:
        return exit_of(stopped)
    if failed:
        return FAILED if ServiceFault.__name__ in failed else REFUSED
    return max((code for verdict, code in VERDICT_EXIT.items() if verdicts.get(verdict)), default=0)
