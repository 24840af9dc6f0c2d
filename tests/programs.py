"""Programs started by tests: this Python, in an environment that names no service."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

COMMAND = Path(sys.executable).with_name("stampwright")


def python(*arguments: str) -> subprocess.CompletedProcess[str]:
    return run(sys.executable, *arguments)


def run(*command: str | Path, cwd: Path | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603  our own programs
        [str(part) for part in command],
        cwd=cwd,
        env=os.environ | environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )


def begin(*command: str) -> subprocess.Popen[str]:
    """Start a program that hears Ctrl-C, also where the tests themselves run in the background of a shell."""
    pipe = subprocess.PIPE
    return subprocess.Popen(  # noqa: S603  our own programs
        command,
        stdin=pipe,
        stdout=pipe,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509  no threads of ours hold locks
    )
