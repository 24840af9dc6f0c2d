"""What the methods of a client return. Frozen; `raw` and `body` hold the answer just as the service gave it."""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

from ._saving import save

# Records read their own annotations when an answer comes in, so these names must be there at run time.
from .parts import Face, Growth, Mark, Review, Solid, Verdict  # noqa: TC001
from .work import Plan, Price, Use  # noqa: TC001

if TYPE_CHECKING:
    from collections.abc import Mapping
    from os import PathLike

    from ._inputs import MarkLike
    from .errors import StampwrightError


@dataclass(frozen=True, slots=True)
class Stamp:
    """The whole answer: what will be made, what will disappoint, how to cut it, how to use it."""

    verdict: Verdict
    digest: str
    mark: Mark
    face: Face
    growth: Growth | None
    solid: Solid
    review: Review
    plan: Plan
    use: Use
    price: Price | None
    raw: dict[str, Any] = field(repr=False, compare=False)
    body: bytes = field(repr=False, compare=False)
    request_id: str | None = field(compare=False)

    def save(self, folder: str | PathLike[str]) -> tuple[Path, ...]:
        """Write `stamp.json` into `folder`, byte for byte as it came; returns the paths. Raises OSError."""
        return (save(Path(folder) / "stamp.json", self.body),)


@dataclass(frozen=True, slots=True)
class ReviewedMark:
    """The quick answer: mark, face and review, nothing planned."""

    verdict: Verdict
    digest: str
    mark: Mark
    face: Face
    growth: Growth | None
    review: Review
    print_svg: str | None
    raw: dict[str, Any] = field(repr=False, compare=False)
    body: bytes = field(repr=False, compare=False)
    request_id: str | None = field(compare=False)

    def save(self, folder: str | PathLike[str]) -> tuple[Path, ...]:
        """Write `review.json` into `folder`, byte for byte as it came; returns the paths. Raises OSError."""
        return (save(Path(folder) / "review.json", self.body),)


@dataclass(frozen=True, slots=True)
class Bundle:
    """The whole answer as files: the stamp, and every file by its name."""

    stamp: Stamp
    files: Mapping[str, bytes] = field(repr=False)
    body: bytes = field(repr=False, compare=False)
    request_id: str | None = field(compare=False)

    def save(self, folder: str | PathLike[str]) -> tuple[Path, ...]:
        """Write all files into `folder`, each whole or not at all; returns the paths. Raises OSError."""
        return tuple(save(Path(folder) / name, data) for name, data in self.files.items())


@dataclass(frozen=True, slots=True)
class SolidFile:
    """The head as a file for other programs, of `media_type` `model/stl`, `model/3mf` or `image/png`."""

    body: bytes = field(repr=False)
    media_type: str
    request_id: str | None = field(compare=False)

    def save(self, path: str | PathLike[str]) -> Path:
        """Write the file, whole or not at all; returns its path. Raises OSError."""
        return save(path, self.body)


@dataclass(frozen=True, slots=True)
class Made:
    """One of many marks: its place in the order given, and the answer or the error that came of it."""

    index: int
    mark: MarkLike
    answer: Stamp | Bundle | None
    error: StampwrightError | None


@dataclass(frozen=True, slots=True)
class DrawingFile:
    """A drawing or a sheet, of `media_type` `image/svg+xml`, `image/png`, `application/pdf` or `image/vnd.dxf`."""

    body: bytes = field(repr=False)
    media_type: str
    request_id: str | None = field(compare=False)

    def save(self, path: str | PathLike[str]) -> Path:
        """Write the file, whole or not at all; returns its path. Raises OSError."""
        return save(path, self.body)


def unpack(body: bytes) -> dict[str, bytes]:
    """Files of a bundle by name. Raises ValueError when it is no archive, is damaged, or a name leads outside."""
    import zipfile  # noqa: PLC0415  a tenth of what loading the client would take, and only bundles want it

    try:
        with zipfile.ZipFile(io.BytesIO(body)) as archive:
            files = {name: archive.read(name) for name in archive.namelist() if not name.endswith("/")}
    except (zipfile.BadZipFile, EOFError) as error:
        raise ValueError(f"is no whole archive: {error}") from error
    for name in files:
        path = PurePosixPath(name.replace("\\", "/"))
        if path.is_absolute() or ".." in path.parts or ":" in name:
            raise ValueError(f"holds a file whose name leads outside its folder: {name!r}")
    return files
