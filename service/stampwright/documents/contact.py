"""The marks of a contact sheet, packed for the way to where they are reviewed, and reviewed one after the other."""

from __future__ import annotations

import base64
import json
from typing import TYPE_CHECKING, Any, NamedTuple

from stampwright.base import StampwrightError
from stampwright.drawings import Tile
from stampwright.job import read_job
from stampwright.pipeline import review_mark

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence


class Entry(NamedTuple):
    """A mark of the sheet as it was sent: its name, its bytes, its raw job."""

    name: str
    mark: bytes
    job: Mapping[str, Any]


def packed(entries: Iterable[Entry]) -> bytes:
    """Entries as one text; the same for the same entries."""
    rows = [[entry.name, base64.b64encode(entry.mark).decode(), entry.job] for entry in entries]
    return json.dumps(rows, sort_keys=True).encode()


def tiles_of(text: bytes, *, fonts: Sequence[bytes] = ()) -> list[Tile]:
    """Review what `packed` wrote. A mark that is refused is a tile that says so; a wrong job refuses the sheet."""
    return [_tile(Entry(name, base64.b64decode(mark), job), fonts) for name, mark, job in json.loads(text)]


def _tile(entry: Entry, fonts: Sequence[bytes]) -> Tile:
    job = read_job(entry.job)
    try:
        return Tile(entry.name, job, review_mark(entry.mark, job, fonts=fonts))
    except StampwrightError as error:
        return Tile(entry.name, job, None, error.refusals[0].detail)
