"""Makes `.venv` at the root of the repository and runs something in it. Standard library only.

    packages, Python, place ──hash──> stamp ── fits? ── yes ─────────────────────────> .venv/bin/python
                                                 └───── no: lock, make afresh, stamp ──┘

The stamp is written last. A set-up that was killed left none, so the next one starts afresh; a moved folder, another
Python or a changed list of packages no longer fit theirs. Whatever `python3` the machine has reads this file first,
therefore its syntax stays that of Python 3.7.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import os
import shutil
import subprocess  # the package installer runs as a process of its own
import sys
import venv
from pathlib import Path
from typing import IO, TYPE_CHECKING, NoReturn

if TYPE_CHECKING:
    from collections.abc import Iterator

LEAST_PYTHON = (3, 11)
if sys.version_info < LEAST_PYTHON:
    sys.exit(
        f"stampwright needs Python {LEAST_PYTHON[0]}.{LEAST_PYTHON[1]} or newer; {sys.executable} is "
        f"{sys.version_info[0]}.{sys.version_info[1]}. Install a newer one and start it with that: python3.11 service"
    )

ROOT = Path(__file__).resolve().parent.parent
LISTS = ("service/requirements.lock", "pyproject.toml", "sdk/pyproject.toml")
STAMP = "stampwright-set-up"
UNFINISHED = "unfinished"
INSTALLER = ("-I", "-m", "pip", "--no-input", "--disable-pip-version-check", "--quiet", "install")
# Variables of the caller's shell that would lead packages in from, or out to, somewhere else.
DISTURBING = ("PYTHONHOME", "PYTHONPATH", "__PYVENV_LAUNCHER__", "PIP_USER", "PIP_TARGET", "PIP_PREFIX")
WINDOWS = os.name == "nt"  # its branches follow the documentation and are untested


def run(*arguments: str, cwd: Path | None = None) -> NoReturn:
    """Go on as `.venv`'s Python with `arguments`, after making `.venv` where need be.

    Ends with words on stderr and status 1 when the environment cannot be made.
    """
    command = [str(ready(ROOT)), *arguments]
    if cwd is not None:
        os.chdir(cwd)
    if WINDOWS:  # execve would return to the shell before the work is done
        sys.exit(subprocess.call(command, env=_surroundings()))  # noqa: S603  our own interpreter
    os.execve(command[0], command, _surroundings())  # noqa: S606  no shell wanted


def ready(root: Path) -> Path:
    """Path of an interpreter in which everything is installed; makes the environment first when it does not fit."""
    folder = root / ".venv"
    stamp = stamp_of(root)
    try:
        if not fits(folder, stamp):
            with _locked(root / ".venv.lock") as lock:
                if not fits(folder, stamp):  # the one we waited for may have made it
                    _make(folder, root, stamp, lock)
    except KeyboardInterrupt:
        sys.exit("The set-up was stopped. The next start does it again from the beginning.")
    except OSError as error:
        sys.exit(f"The set-up cannot write {folder}: {error}. It needs a folder that you may write to, with 1 GB free.")
    return _python(folder)


def stamp_of(root: Path) -> str:
    """Hash of all that the environment depends on: lists of packages, Python, place [hex]."""
    seal = hashlib.sha256()
    for name in LISTS:
        seal.update((root / name).read_bytes() + b"\0")
    seal.update(f"{sys.implementation.name} {sys.version} {root.resolve()}".encode())
    return seal.hexdigest()


def fits(folder: Path, stamp: str) -> bool:
    """Whether `folder` holds a finished environment of this stamp whose interpreter is still there."""
    try:
        return (folder / STAMP).read_text(encoding="ascii") == stamp and _python(folder).exists()
    except FileNotFoundError:
        return False


def _make(folder: Path, root: Path, stamp: str, lock: IO[bytes]) -> None:
    if importlib.util.find_spec("ensurepip") is None:
        sys.exit(
            "This Python lacks its module ensurepip. On Debian and Ubuntu that is the package python3-venv: "
            "`sudo apt install python3-venv`, then start again."
        )
    _clear(folder)
    folder.mkdir()
    (folder / STAMP).write_text(UNFINISHED, encoding="ascii")
    _say(f"Setting up {folder} (once, about a minute) ...")
    _create(folder)
    _install(folder, lock, "--require-hashes", "--only-binary", ":all:", "-r", str(root / LISTS[0]))
    _install(folder, lock, "--no-deps", "--no-build-isolation", "-e", str(root), "-e", str(root / "sdk"))
    (folder / STAMP).write_text(stamp, encoding="ascii")
    _say("Set up.")


def _clear(folder: Path) -> None:
    """Remove an environment that this set-up made; one that somebody else made is theirs."""
    if not folder.exists():
        return
    if not (folder / STAMP).exists() and any(folder.iterdir()):
        sys.exit(f"{folder} was not made by this set-up. Delete it or move it away, then start again.")
    shutil.rmtree(folder)


def _create(folder: Path) -> None:
    try:
        venv.EnvBuilder(with_pip=True, symlinks=not WINDOWS).create(folder)
    except subprocess.CalledProcessError as error:
        said = (error.output or b"").decode(errors="replace").strip()
        sys.exit(f"{said}\n\nThe set-up could not make {folder}; above is what Python's venv said: {error}")


def _install(folder: Path, lock: IO[bytes], *what: str) -> None:
    done = subprocess.run(  # noqa: S603  our own interpreter
        [str(_python(folder)), *INSTALLER, *what],
        env=_surroundings(),
        # Should this process be killed, the lock stays taken for as long as the installer still writes.
        pass_fds=() if WINDOWS else (lock.fileno(),),
        stdin=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        check=False,
    )
    if done.returncode:
        said = "\n".join(done.stderr.decode(errors="replace").strip().splitlines()[-12:])
        sys.exit(
            f"{said}\n\nThe set-up could not install its packages; above is what pip said. It needs the network once: "
            "check the connection (behind a proxy, set HTTPS_PROXY), then start again."
        )


@contextlib.contextmanager
def _locked(path: Path) -> Iterator[IO[bytes]]:
    with path.open("a+b") as lock:
        _take(lock)
        yield lock


def _take(lock: IO[bytes]) -> None:
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415  exists on Windows only

        lock.seek(0)
        msvcrt.locking(lock.fileno(), msvcrt.LK_LOCK, 1)
        return
    import fcntl  # noqa: PLC0415  exists on Unix only

    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        _say("Another set-up is at work here; waiting for it ...")
        fcntl.flock(lock, fcntl.LOCK_EX)


def _python(folder: Path) -> Path:
    return folder / ("Scripts/python.exe" if WINDOWS else "bin/python")


def _surroundings() -> dict[str, str]:
    return {name: value for name, value in os.environ.items() if name not in DISTURBING}


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)  # noqa: T201  nothing else is installed yet
