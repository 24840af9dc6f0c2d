"""Where things are in the house, for tests that look at the code itself."""

from __future__ import annotations

import ast
import shutil
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SERVICE = ROOT / "service/stampwright"
SDK = ROOT / "sdk/stampwright_sdk"
SHIPPED = sorted([*SERVICE.rglob("*.py"), *SDK.rglob("*.py"), *ROOT.glob("service/*.py")])
TESTS = sorted(ROOT.glob("tests/*/test_*.py"))


def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def named(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def tracked_files() -> list[str]:
    git = shutil.which("git") or "git"
    listed = subprocess.run([git, "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True)  # noqa: S603  a fixed command
    return listed.stdout.decode().split("\0")[:-1]
