"""Fetches the open drawings by their package names into `.corpora/`, with the registries' own clients."""

import csv
import fnmatch
import json
import shutil
import subprocess
import tarfile
from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).parent
STORE = HERE.parent.parent / ".corpora"


class Corpus(NamedTuple):
    """One row of `corpora.csv`."""

    key: str
    client: str
    package: str
    version: str
    files: str
    leave_out: str
    licence: str
    style: str


def corpora():
    """All rows of the table."""
    lines = [line for line in (HERE / "corpora.csv").read_text().splitlines() if not line.startswith("#")]
    return [Corpus(**row) for row in csv.DictReader(lines)]


def drawings(corpus):
    """Name and text of every drawing of a corpus that has been fetched, in order; nothing when it has not."""
    folder = STORE / corpus.key
    if corpus.files.endswith(".json"):
        return list(_in_json(folder / corpus.files)) if (folder / corpus.files).exists() else []
    found = sorted(folder.glob(corpus.files))
    return [
        (path.name, path.read_bytes())
        for path in found
        if not (corpus.leave_out and fnmatch.fnmatch(path.name, corpus.leave_out))
    ]


def _in_json(path):
    """A set that is published as bodies without their frame: width, height and viewBox are given beside them."""
    every = json.loads(path.read_text())
    for name, icon in sorted(every["icons"].items()):
        width, height = (icon.get(side, every.get(side, 16)) for side in ("width", "height"))
        frame = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}">'
        )
        yield name, f"{frame}{icon['body']}</svg>".encode()


def fetch(corpus):
    """Fetch a corpus unless it is there."""
    folder = STORE / corpus.key
    if drawings(corpus):
        return
    folder.mkdir(parents=True, exist_ok=True)
    {"npm": _from_npm, "apt": _from_debian}[corpus.client](corpus, folder)


def _from_npm(corpus, folder):
    archive = folder / _run(folder, "npm", "pack", "--silent", f"{corpus.package}@{corpus.version}").splitlines()[-1]
    with tarfile.open(archive) as packed:
        packed.extractall(folder, filter="data")
    archive.unlink()


def _from_debian(corpus, folder):
    _run(folder, "apt-get", "download", "-q", corpus.package)
    for archive in folder.glob("*.deb"):
        _run(folder, "dpkg-deb", "-x", archive.name, ".")
        archive.unlink()


def _run(folder, program, *arguments):
    found = shutil.which(program)
    if found is None:
        message = f"{program} is not installed; it fetches the drawings"
        raise SystemExit(message)
    command = [found, *arguments]
    done = subprocess.run(command, cwd=folder, check=True, capture_output=True, text=True)  # noqa: S603  fixed words
    return done.stdout.strip()
