"""Writes files whole or not at all: into a neighbour first, then renamed into place."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from os import PathLike


def save(path: str | PathLike[str], data: bytes) -> Path:
    """Write `data` to `path`, making its folders; an older file stays whole until the new one is. Raises OSError."""
    target = Path(path)
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".part")
    neighbour = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        neighbour.chmod(0o666 & ~_umask())  # mkstemp keeps its files from everybody else
        neighbour.replace(target)
    finally:
        neighbour.unlink(missing_ok=True)
    return target


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
