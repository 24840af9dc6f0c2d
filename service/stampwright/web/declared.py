"""What the part of a form says of its drawing by type and name, where its content is another kind."""

from __future__ import annotations

from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stampwright.artwork import recognised
from stampwright.base import StampwrightError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from typing import Any

    from werkzeug.datastructures import FileStorage

_TYPES = {
    "image/svg+xml": "svg",
    "application/pdf": "pdf",
    "application/x-pdf": "pdf",
    "application/dxf": "dxf",
    "application/x-dxf": "dxf",
    "image/vnd.dxf": "dxf",
    "image/x-dxf": "dxf",
}  # IANA's registry, and what programs write in its place (common practice, no source)
_NAMES = {".svg": "svg", ".svgz": "svg", ".pdf": "pdf", ".dxf": "dxf"}
_PICTURES = frozenset({".png", ".jpg", ".jpeg", ".gif", ".bmp", ".tif", ".tiff", ".webp", ".heic"})


def declared(part: FileStorage) -> Iterator[str]:
    """The kinds of drawing that a part says it is; none where its type and name could be any drawing's."""
    media = part.mimetype.lower()
    if media in _TYPES or media.startswith("image/"):
        yield _TYPES.get(media, "other")
    ending = PurePosixPath(part.filename or "").suffix.lower()
    if ending in _NAMES or ending in _PICTURES:
        yield _NAMES.get(ending, "other")


def with_declared(job: Mapping[str, Any], part: FileStorage, data: bytes) -> Mapping[str, Any]:
    """The raw job, with what the part says of its drawing where that is not so, and the job does not speak of it.

    Where it is so nothing is added: the same mark and job have the same digest, however they came.
    """
    artwork = job.get("artwork", {})
    said = list(declared(part))
    if not said or not isinstance(artwork, dict) or "declared" in artwork:
        return job
    try:
        kind = recognised(data).kind
    except StampwrightError:  # which the reader will raise again, in its place
        return job
    wrong = next((each for each in said if each != kind), None)
    return job if wrong is None else {**job, "artwork": artwork | {"declared": wrong}}
