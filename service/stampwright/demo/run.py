"""Runs the demo as a customer's program would: it starts the real service and speaks to it through the SDK alone."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

from .marks import demo_marks
from .summary import lines_on

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stampwright_sdk import Client

    from .marks import DemoMark

ALL = "all"


def main(argv: Sequence[str] | None = None) -> int:
    """Convert a demo mark, or all of them; returns 0, or 1 after words on stderr that say what went wrong."""
    marks = demo_marks()
    asked = _parser(list(marks)).parse_args(argv)
    chosen = list(marks.values()) if asked.mark == ALL else [marks[asked.mark]]
    try:
        from stampwright_sdk import StampwrightError  # noqa: PLC0415  the service itself does without the SDK
    except ModuleNotFoundError as error:
        return _failed(f"the demo speaks to the service through the SDK: pip install stampwright-sdk ({error})")
    try:
        _convert(chosen, out=asked.out, apart=asked.mark == ALL)
    except (StampwrightError, OSError) as error:
        return _failed(str(error))
    return 0


def _parser(names: list[str]) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="stampwright demo", description="Convert a beekeeper's mark through the real service."
    )
    parser.add_argument("mark", nargs="?", default=names[0], choices=[*names, ALL], help="default: %(default)s")
    parser.add_argument("--out", type=Path, default=Path("stampwright-demo"), help="folder, default: %(default)s")
    return parser


def _convert(chosen: Iterable[DemoMark], *, out: Path, apart: bool) -> None:
    from stampwright_sdk import Client  # noqa: PLC0415
    from stampwright_sdk.embedded import embedded_service, loopback_session  # noqa: PLC0415

    began = time.monotonic()
    with embedded_service() as url, loopback_session() as session, Client(url, session=session) as client:
        _say(f"The service runs at {url} (started in {time.monotonic() - began:.1f} s) and ends with this demo.")
        for mark in chosen:
            _one(client, mark, folder=out / mark.name if apart else out)


def _one(client: Client, mark: DemoMark, *, folder: Path) -> None:
    began = time.monotonic()
    bundle = client.make_stamp(mark.svg, mark.job, accept="bundle")
    took_s = time.monotonic() - began
    folder.mkdir(parents=True, exist_ok=True)
    saved = list(bundle.save(folder))
    for name, content in ((f"{mark.name}.svg", mark.svg), (f"{mark.name}-bundle.zip", bundle.body)):
        (folder / name).write_bytes(content)
        saved.append(folder / name)
    for line in lines_on(mark, bundle.stamp, took_s=took_s, saved=saved):
        _say(line)


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def _failed(words: str) -> int:
    sys.stderr.write(f"The demo stopped: {words}\n")
    return 1
