"""Reads a data table: a CSV whose head states, in `#` lines, what it holds, unit and source of each column, the date.

The head keeps a number honest: a row without a source cannot be loaded.
"""

from __future__ import annotations

import csv
from importlib import resources
from typing import TYPE_CHECKING

from .problems import InternalFault

if TYPE_CHECKING:
    from collections.abc import Iterator


def rows(package: str, name: str) -> Iterator[dict[str, str]]:
    """Yield the rows of `data/<name>.csv` beside `package`; empty cells stay empty strings.

    Raises `InternalFault` when a row names no source or has cells to spare.
    """
    text = resources.files(package).joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    for row in csv.DictReader(lines):
        if None in row or not row.get("source"):
            raise InternalFault.at("bad-table", f"{name}.csv, row {row}: every row has its columns and a source")
        yield {key: value.strip() for key, value in row.items()}


def number(text: str) -> float | None:
    """Read a cell as a number; an empty cell is None."""
    return float(text) if text else None
