"""The command `stampwright`. It needs the extra `cli`; the rest of the package does without."""

from __future__ import annotations

import sys

NEEDED = {"click", "rich"}


def main() -> None:
    """Run the command line, or say what it lacks."""
    try:
        from .app import stampwright  # noqa: PLC0415  this import is what may fail
    except ModuleNotFoundError as error:
        if error.name not in NEEDED:
            raise
        sys.stderr.write(f"The command line needs {error.name}: pip install 'stampwright-sdk[cli]'\n")
        sys.exit(2)
    stampwright()
