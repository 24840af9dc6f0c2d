"""Writes files whole or not at all: into a neighbour first, then renamed into place."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from os import PathLike
    from typing import IO


def save(path: str | PathLike[str], data: bytes) -> Path:
    """Write `data` to `path`, making its folders; an older file stays whole until the new one is. Raises OSError."""
    with beside(path) as file:
        file.write(data)
    return Path(path)


@contextlib.contextmanager
def beside(path: str | PathLike[str]) -> Iterator[IO[bytes]]:
    """A file to write into that becomes `path` at the end of the block, or leaves no trace when the block fails."""
    target = Path(path)
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".part")
    neighbour = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            yield file
        neighbour.chmod(0o666 & ~_umask())  # mkstemp keeps its files from everybody else
        neighbour.replace(target)
    finally:
        neighbour.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
