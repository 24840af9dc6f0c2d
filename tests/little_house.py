"""A house with our own set-up and next to nothing in it, so that setting up takes seconds and no network."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import tiny_wheel
from house import ROOT
from tiny_wheel import write_wheel

TELLS = "import os, sys\nprint({name!r}, sys.argv[1:], os.getcwd(), sys.prefix, sep='|')\n"
PYPROJECT = """
[build-system]
requires = []
build-backend = "tiny_wheel"
backend-path = ["."]
[project]
name = "{name}"
version = "1.0"
[tool.tiny]
source = "{source}"
"""


@dataclass(frozen=True)
class Told:
    """What a start said: the program that ran in the environment, its arguments, folder and environment."""

    program: str
    arguments: str
    folder: str
    prefix: str


class LittleHouse:
    """A copy of the real set-up files around tiny packages, whose wheels lie beside it."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.wheels = root.parent / "wheels"

    @classmethod
    def built(cls, root: Path) -> LittleHouse:
        """Build one at `root`."""
        house = cls(root)
        for name in ("service/__main__.py", "service/environment.py", "tests/__main__.py"):
            house.write(name, (ROOT / name).read_text(encoding="utf-8"))
        for folder, name, source in ((".", "stampwright", "service"), ("sdk", "stampwright_sdk", ".")):
            house.write(f"{folder}/pyproject.toml", PYPROJECT.format(name=name, source=source))
            house.write(f"{folder}/tiny_wheel.py", Path(tiny_wheel.__file__).read_text(encoding="utf-8"))
        house.write("service/stampwright.py", TELLS.format(name="stampwright"))
        house.write("tests/corpora/__main__.py", TELLS.format(name="corpora"))
        house.wheels.mkdir()
        wheel = write_wheel(house.wheels, "pytest", {"pytest.py": TELLS.format(name="pytest")})
        house.write("service/requirements.lock", f"pytest==1.0 --hash=sha256:{_sha256(wheel)}\n")
        return house

    def write(self, name: str, text: str) -> None:
        path = self.root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def copied_to(self, root: Path) -> LittleHouse:
        """Copy it with its environment."""
        shutil.copytree(self.root, root, symlinks=True)
        shutil.copytree(self.wheels, root.parent / self.wheels.name)
        return LittleHouse(root)

    def start(self, *arguments: str, cwd: Path | None = None, **environment: str) -> subprocess.Popen[str]:
        """Begin `python3 <arguments>` as on a fresh machine: the first is a folder of the house."""
        command = [sys._base_executable, str(self.root / arguments[0]), *arguments[1:]]  # noqa: SLF001  documented nowhere, but the way out of an environment
        bare = {"PATH": os.environ["PATH"], "PIP_NO_INDEX": "1", "PIP_FIND_LINKS": str(self.wheels)}
        pipe = subprocess.PIPE
        return subprocess.Popen(  # noqa: S603  this Python and our own files
            command,
            cwd=cwd or self.root,
            env=bare | environment,
            stdin=subprocess.DEVNULL,
            stdout=pipe,
            stderr=pipe,
            text=True,
        )

    def run(self, *arguments: str, cwd: Path | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
        """Do `python3 <arguments>` to its end."""
        process = self.start(*arguments, cwd=cwd, **environment)
        out, err = process.communicate()
        return subprocess.CompletedProcess(process.args, process.returncode, out, err)


def told(done: subprocess.CompletedProcess[str]) -> Told:
    """What ran at the end of a start that went well."""
    assert done.returncode == 0, done.stderr
    return Told(*done.stdout.strip().split("|"))


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
