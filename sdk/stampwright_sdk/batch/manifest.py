"""What came of each mark of a batch: JSON Lines that grow while it runs, put in order at its end with a CSV beside.

A row is written after the outputs it names are whole, and names them with their SHA-256: a row and the files prove
that a mark is done. A line that was cut off by a crash is the last one, and is left out.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any, Self

from stampwright_sdk._saving import save
from stampwright_sdk.errors import UnusableInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path
    from types import TracebackType
    from typing import IO

MANIFEST_FILE = "manifest.jsonl"
TABLE_FILE = "manifest.csv"
KIND = "stampwright-batch"
VERSION = 1
COLUMNS = ("file", "digest", "verdict", "findings", "minutes", "price", "currency", "outputs", "error")


@dataclass(frozen=True, slots=True)
class Row:
    """One mark of a batch. `sent` is the SHA-256 of mark, job and what was asked for; `outputs` path to SHA-256."""

    file: str
    sent: str
    digest: str | None = None
    verdict: str | None = None
    findings: Mapping[str, int] = field(default_factory=dict)
    minutes: float | None = None
    price: float | None = None
    currency: str | None = None
    outputs: Mapping[str, str] = field(default_factory=dict)
    error: Mapping[str, str] | None = None

    def is_done(self, folder: Path, *, sent: str) -> bool:
        """Whether this row stands for what would be sent now, and every output is there as it was written."""
        return (
            self.error is None
            and self.sent == sent
            and all(_sha256(folder / name) == digest for name, digest in self.outputs.items())
        )


class Manifest:
    """The manifest in a folder, open for rows. As a context manager it is put in order at its end."""

    def __init__(self, folder: Path, *, resume: bool, afresh: bool = False) -> None:
        """Open it: to go on from its rows (`resume`), to forget them (`afresh`), or where there are none.

        Raises `UnusableInput` when there are rows and neither is said.
        """
        self._folder = folder
        known = {} if afresh else read_manifest(folder / MANIFEST_FILE)
        if known and not resume:
            raise UnusableInput(
                f"{folder / MANIFEST_FILE} tells of {len(known)} {'mark' if len(known) == 1 else 'marks'}: "
                "go on with --resume, begin again with --afresh, or give another folder"
            )
        self.rows: dict[str, Row] = known
        folder.mkdir(parents=True, exist_ok=True)
        save(folder / MANIFEST_FILE, _lines(self.rows.values()))
        self._file: IO[bytes] = (folder / MANIFEST_FILE).open("ab")

    def add(self, row: Row) -> None:
        """Write a row down."""
        self._file.write(_line(asdict(row)))
        self._file.flush()
        self.rows[row.file] = row

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None, /
    ) -> None:
        self._file.close()
        if not isinstance(error, OSError):  # a full disk has no room for a second copy either
            rows = [self.rows[name] for name in sorted(self.rows)]
            save(self._folder / MANIFEST_FILE, _lines(rows))
            save(self._folder / TABLE_FILE, _table(rows))


def read_manifest(path: Path) -> dict[str, Row]:
    """Rows by file, the last of each; none without a manifest. Raises `UnusableInput` for one of another kind."""
    try:
        head, *lines = path.read_bytes().split(b"\n")
    except (FileNotFoundError, NotADirectoryError):
        return {}
    except OSError as error:
        raise UnusableInput(f"the manifest {path} cannot be read: {error}") from error
    if not _is_ours(head):
        raise UnusableInput(
            f"{path} is no manifest of this version ({KIND} {VERSION}): "
            "give another folder, or begin again with --afresh"
        )
    found: dict[str, Row] = {}
    for place, line in enumerate(lines[:-1], start=2):  # what follows the last line's end was cut off
        try:
            row = Row(**json.loads(line))
        except (ValueError, TypeError) as error:
            raise UnusableInput(f"line {place} of the manifest {path} is broken: {error}") from error
        found[row.file] = row
    return found


def _is_ours(head: bytes) -> bool:
    try:
        return bool(json.loads(head) == {"manifest": KIND, "version": VERSION})
    except ValueError:
        return False


def _lines(rows: Iterable[Row]) -> bytes:
    return b"".join([_line({"manifest": KIND, "version": VERSION}), *(_line(asdict(row)) for row in rows)])


def _line(value: Mapping[str, Any]) -> bytes:
    return json.dumps(value, ensure_ascii=False).encode() + b"\n"


def _table(rows: Iterable[Row]) -> bytes:
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(COLUMNS)
    for row in rows:
        told = asdict(row) | {
            "findings": " ".join(f"{code}:{count}" for code, count in row.findings.items()),
            "minutes": row.minutes if row.minutes is None else round(row.minutes, 1),
            "outputs": " ".join(row.outputs),
            "error": row.error and f"{row.error['code']}: {row.error['says']}",
        }
        table.writerow([_harmless(told[column]) for column in COLUMNS])
    return out.getvalue().encode()


def _harmless(cell: object) -> object:
    """A text that a spreadsheet would take for a formula gets an apostrophe before it."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(("=", "+", "-", "@", "\t", "\r")) else cell


def _sha256(path: Path) -> str | None:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None
