"""The smallest wheels that pip installs (PyPA binary distribution format), and a build backend (PEP 517, 660) of them.

With these a set-up can be tried for real, by pip itself, without a network.
"""

from __future__ import annotations

import tomllib
import zipfile
from pathlib import Path


def write_wheel(folder: Path, name: str, files: dict[str, str]) -> Path:
    """Write `name` 1.0 with `files` (path in site-packages → text) into `folder`."""
    inside = f"{name}-1.0.dist-info"
    files = files | {
        f"{inside}/METADATA": f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n",
        f"{inside}/WHEEL": "Wheel-Version: 1.0\nGenerator: by hand\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    record = "".join(f"{path},,\n" for path in [*files, f"{inside}/RECORD"])
    wheel = folder / f"{name}-1.0-py3-none-any.whl"
    with zipfile.ZipFile(wheel, "w") as archive:
        for path, text in (files | {f"{inside}/RECORD": record}).items():
            archive.writestr(zipfile.ZipInfo(path), text)  # dated 1980: the same files give the same hash
    return wheel


def build_editable(wheel_directory, _config_settings=None, _metadata_directory=None):
    """Called by pip in the folder of a pyproject: a path file that leads to the folder named as `source`."""
    house = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))
    source = (Path.cwd() / house["tool"]["tiny"]["source"]).resolve()
    name = house["project"]["name"]
    return write_wheel(Path(wheel_directory), name, {f"{name}.pth": f"{source}\n"}).name
