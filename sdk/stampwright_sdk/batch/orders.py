"""Which marks a batch makes, and under which job each: files, folders, and a table of jobs beside them."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from stampwright_sdk._inputs import read_job
from stampwright_sdk.errors import UnusableInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

SUFFIXES = frozenset({".svg", ".svgz", ".pdf", ".dxf"})
MARK_COLUMN = "mark"
Job = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Order:
    """One mark to make. `name` is unlike all others of the batch: its outputs go into the folder of that name."""

    name: str
    path: Path
    job: Job


def find_orders(
    paths: Sequence[Path], *, job: Mapping[str, Any] | None = None, jobs: Path | None = None
) -> list[Order]:
    """Orders for files, and for every drawing in folders and their folders, in order of their names.

    `job` is for all of them; `jobs` is a table, CSV or JSON, of what single marks want instead, by the mark's path
    relative to the table or by its name alone. Raises `UnusableInput` when there is no mark, when two would have the
    same outputs, and when the table is broken or names a mark that is not there.
    """
    found = list(_marks(paths))
    if not found:
        where = ", ".join(str(path) for path in paths)
        raise UnusableInput(f"no marks: {where} holds no file whose name ends in {' or '.join(sorted(SUFFIXES))}")
    _keep_apart(found)
    own = _jobs_by_mark(jobs, [path for _, path in found]) if jobs else {}
    return [Order(name, path, merged(job or {}, own.get(path, {}))) for name, path in found]


def merged(job: Mapping[str, Any], own: Mapping[str, Any]) -> Job:
    """A job with parts of another over it, object by object."""
    result = dict(job)
    for key, value in own.items():
        below = result.get(key)
        result[key] = merged(below, value) if isinstance(below, Mapping) and isinstance(value, Mapping) else value
    return result


def _marks(paths: Iterable[Path]) -> Iterable[tuple[str, Path]]:
    for path in paths:
        if not path.is_dir():
            yield path.stem, path
            continue
        inside = (file for file in path.rglob("*") if file.suffix.lower() in SUFFIXES and file.is_file())
        yield from ((file.relative_to(path).with_suffix("").as_posix(), file) for file in sorted(inside))


def _keep_apart(found: Sequence[tuple[str, Path]]) -> None:
    """Refuse two marks with the same outputs, also where a file system does not tell capitals from small letters."""
    taken: dict[str, Path] = {}
    for name, path in found:
        other = taken.setdefault(name.casefold(), path)
        if other is not path:
            raise UnusableInput(f"{other} and {path} would both be written to {name!r}: rename one of them")


def _jobs_by_mark(table: Path, marks: Sequence[Path]) -> dict[Path, Job]:
    by_place = {path.resolve(): path for path in marks}
    by_name: dict[str, list[Path]] = {}
    for path in marks:
        by_name.setdefault(path.name, []).append(path)
    own: dict[Path, Job] = {}
    for name, job in _rows(table):
        there = by_place.get((table.parent / name).resolve())
        named = [there] if there else by_name.get(name, [])
        if len(named) != 1:
            says = "is not among the marks" if not named else "is the name of several marks: give its folder too"
            raise UnusableInput(f"the table of jobs {table} names {name!r}, which {says}")
        if named[0] in own:
            raise UnusableInput(f"the table of jobs {table} names {name!r} twice")
        own[named[0]] = job
    return own


def _rows(table: Path) -> Iterable[tuple[str, Job]]:
    if table.suffix.lower() == ".csv":
        return _rows_of_csv(table)
    found = read_job(table)
    if any(not isinstance(job, dict) for job in found.values()):
        raise UnusableInput(f"the table of jobs {table} is no object of jobs by mark")
    return found.items()


def _rows_of_csv(table: Path) -> Iterable[tuple[str, Job]]:
    try:
        text = table.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise UnusableInput(f"the table of jobs {table} cannot be read: {error}") from error
    rows = list(csv.DictReader(text.splitlines()))
    if not rows or MARK_COLUMN not in rows[0]:
        raise UnusableInput(f"the table of jobs {table} has no column {MARK_COLUMN!r}")
    for place, row in enumerate(rows, start=2):
        if None in row:
            raise UnusableInput(f"the table of jobs {table} has more cells than columns in line {place}")
        cells = {name: cell for name, cell in row.items() if name != MARK_COLUMN and cell}
        yield row[MARK_COLUMN], _job_of_cells(cells)


def _job_of_cells(cells: Mapping[str, str]) -> Job:
    """`head.width` = 38 becomes {"head": {"width": 38}}; a cell that is no JSON is taken as text."""
    job: Job = {}
    for name, cell in cells.items():
        inner = job
        *above, last = name.split(".")
        for part in above:
            inner = inner.setdefault(part, {})
        inner[last] = _value(cell)
    return job


def _value(cell: str) -> object:
    try:
        return json.loads(cell)
    except ValueError:
        return cell
