"""The commands. Each is a thin skin over one method of the client."""

from __future__ import annotations

import contextlib
import dataclasses
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from rich.console import Console

from stampwright_sdk import Client, __version__
from stampwright_sdk.embedded import embedded_service, is_installed, loopback_session

from . import paper
from .batch import batch
from .exits import HELP, VERDICT_EXIT, told
from .options import FILE, FOLDER, OUT, font_option, job_option, json_option, url_option, wait_option
from .show import COLUMNS, show_catalogue, show_review, show_saved, show_work

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


@click.group(epilog=HELP, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="stampwright")
def stampwright() -> None:
    """From a customer's vector mark to a milled branding iron.

    \b
    stampwright convert hive.svg --out hive/
    stampwright review hive.svg --job job.json --json
    stampwright batch members/ --out irons/
    stampwright catalogue substrates
    """  # noqa: D301  \\b is a mark for click, not for Python


@stampwright.command(epilog=HELP)
@click.argument("mark", type=FILE)
@click.option(
    "--out", type=FOLDER, help="Folder for the files; without it, one named after the mark, or none with --json."
)
@job_option
@font_option
@url_option
@wait_option
@json_option
def convert(  # noqa: PLR0913  each is an option of the command
    mark: Path,
    *,
    out: Path | None,
    job: Path | None,
    fonts: tuple[Path, ...],
    url: str | None,
    wait: float,
    as_json: bool,
) -> None:
    """Do the whole job for MARK, an SVG, PDF or DXF file: solid, report, cutting plan, heat and use, drawings.

    \b
    stampwright convert hive.svg --out hive/
    stampwright convert hive.svg --job job.json --url http://127.0.0.1:8080
    stampwright convert lettered.svg --font apiary.ttf --font apiary-bold.ttf
    """  # noqa: D301
    with told(as_json=as_json), _client(url, wait_s=wait) as client:
        bundle = client.make_stamp(mark, job, accept="bundle", fonts=fonts)
        folder = out or (None if as_json else Path(f"{mark.stem}-stamp"))
        saved = bundle.save(folder) if folder else ()
    if as_json:
        _print_json(bundle.stamp.raw)
    else:
        show_review(mark.name, bundle.stamp)
        show_work(bundle.stamp)
        show_saved(saved)
    sys.exit(VERDICT_EXIT[bundle.stamp.verdict])


@stampwright.command(epilog=HELP)
@click.argument("mark", type=FILE)
@job_option
@font_option
@url_option
@wait_option
@json_option
def review(  # noqa: PLR0913  each is an option of the command
    mark: Path, *, job: Path | None, fonts: tuple[Path, ...], url: str | None, wait: float, as_json: bool
) -> None:
    """Say what will disappoint about MARK, an SVG, PDF or DXF file, without planning anything.

    \b
    stampwright review hive.svg
    stampwright review hive.svg --job job.json --json
    """  # noqa: D301
    with told(as_json=as_json), _client(url, wait_s=wait) as client:
        reviewed = client.review_mark(mark, job, fonts=fonts)
    if as_json:
        _print_json(reviewed.raw)
    else:
        show_review(mark.name, reviewed)
    sys.exit(VERDICT_EXIT[reviewed.verdict])


@stampwright.command()
@click.argument("mark", type=FILE)
@click.option("--view", type=click.Choice(paper.VIEWS), default="print", show_default=True, help="What is drawn.")
@click.option("--out", type=OUT, required=True, help="File to write: .svg or .png.")
@job_option
@font_option
@url_option
@wait_option
def proof(  # noqa: PLR0913  each is an option of the command
    mark: Path, *, view: paper.View, out: Path, job: Path | None, fonts: tuple[Path, ...], url: str | None, wait: float
) -> None:
    """Draw MARK, an SVG, PDF or DXF file, as a stamp at true size.

    \b
    stampwright proof hive.svg --out hive-print.png
    stampwright proof hive.svg --view cutting --out hive-cutting.svg
    """  # noqa: D301
    paper.draw(_client(url, wait_s=wait), mark, job=job, fonts=fonts, view=view, out=out)


@stampwright.command()
@click.argument("mark", type=FILE)
@click.option("--paper", "size", type=click.Choice(paper.PAPERS), default="a4", show_default=True, help="Its size.")
@click.option("--out", type=OUT, required=True, help="PDF to write.")
@job_option
@font_option
@url_option
@wait_option
def sheet(  # noqa: PLR0913  each is an option of the command
    mark: Path, *, size: paper.Paper, out: Path, job: Path | None, fonts: tuple[Path, ...], url: str | None, wait: float
) -> None:
    """Write the shop sheet of MARK, an SVG, PDF or DXF file: what lies on the machine.

    \b
    stampwright sheet hive.svg --out hive.pdf
    stampwright sheet hive.svg --paper letter --job job.json --out hive.pdf
    """  # noqa: D301
    paper.write(_client(url, wait_s=wait), mark, job=job, fonts=fonts, paper=size, out=out)


@stampwright.command()
@click.argument("name", type=click.Choice(sorted(COLUMNS)))
@url_option
@wait_option
@json_option
def catalogue(name: str, *, url: str | None, wait: float, as_json: bool) -> None:
    """List what a job can choose from: NAME is cutters, metals, substrates or threads.

    \b
    stampwright catalogue substrates
    stampwright catalogue cutters --json
    """  # noqa: D301
    with told(as_json=as_json), _client(url, wait_s=wait) as client:
        lists: dict[str, Callable[[], tuple[Any, ...]]] = {
            "cutters": client.list_cutters,
            "metals": client.list_metals,
            "substrates": client.list_substrates,
            "threads": client.list_threads,
        }
        rows = lists[name]()
    if as_json:
        _print_json([dataclasses.asdict(row) for row in rows])
    else:
        show_catalogue(name, rows)


@stampwright.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8080, show_default=True, type=click.IntRange(0, 65535), help="Port to listen on.")
def serve(host: str, port: int) -> None:
    """Start the service and its API; Ctrl-C ends it."""
    if not is_installed():
        raise click.ClickException("the service is not installed here; install the distribution `stampwright`")
    arguments = [sys.executable, "-m", "stampwright", "serve", "--host", host, "--port", str(port)]
    os.execv(sys.executable, arguments)  # noqa: S606  becomes the service, so that signals reach it


stampwright.add_command(batch)


@contextlib.contextmanager
def _client(url: str | None, *, wait_s: float) -> Iterator[Client]:
    if url:
        with Client(url, max_wait=wait_s) as client:
            yield client
        return
    with contextlib.ExitStack() as stack:
        with Console(stderr=True).status("Starting the service"):
            here = stack.enter_context(embedded_service())
        session = stack.enter_context(loopback_session())
        yield stack.enter_context(Client(here, session=session))


def _print_json(answer: object) -> None:
    click.echo(json.dumps(answer, indent=2, ensure_ascii=False))
