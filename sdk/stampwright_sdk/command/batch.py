"""The command `stampwright batch`: a run over many marks, with a bar on terminals and plain lines elsewhere."""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import signal
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn, TimeRemainingColumn

from stampwright_sdk import Client
from stampwright_sdk._inputs import fonts_bytes, read_job
from stampwright_sdk.batch import MANIFEST_FILE, Batch, Outcome, Row, find_orders, run_batch, write_contact_sheets
from stampwright_sdk.embedded import embedded_service, loopback_session

from .exits import BATCH_HELP, INTERRUPTED, batch_exit, told
from .options import FILE, FOLDER, font_option, json_option, url_option

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from stampwright_sdk.batch import Order
    from stampwright_sdk.batch.run import Maker

PATH = click.Path(exists=True, path_type=Path)
TRIES = 10_000  # as many as the waiting time holds


@click.command(epilog=BATCH_HELP)
@click.argument("marks", nargs=-1, required=True, type=PATH)
@click.option("--out", type=FOLDER, required=True, help="Folder for the manifest, and for a folder per mark.")
@click.option("--job", type=FILE, help="JSON file with what all marks want.")
@click.option("--jobs", type=FILE, help="CSV or JSON table of what single marks want instead.")
@font_option
@click.option("--only", multiple=True, metavar="FILE", help="Keep this file of each bundle only; may be given often.")
@click.option("--resume", is_flag=True, help="Skip what the manifest in the folder proves done and unchanged.")
@click.option("--afresh", is_flag=True, help="Begin again in a folder that has a manifest; what it tells is lost.")
@click.option("--workers", type=click.IntRange(1, 256), help="Marks asked for at a time; one more than processors.")
@click.option(
    "--wait",
    type=click.FloatRange(0),
    default=300.0,
    show_default=True,
    help="Seconds to keep asking a service that is busy or not there, before the run stops.",
)
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help="Work on a Dask cluster: address of its scheduler, or `local` for worker processes on this machine.",
)
@click.option("--contact-sheet", is_flag=True, help="Draw all prints with their verdicts, forty a page, as PDF.")
@url_option
@json_option
def batch(  # noqa: PLR0913  each is an option of the command
    marks: tuple[Path, ...],
    *,
    out: Path,
    job: Path | None,
    jobs: Path | None,
    fonts: tuple[Path, ...],
    only: tuple[str, ...],
    resume: bool,
    afresh: bool,
    workers: int | None,
    wait: float,
    cluster: str | None,
    contact_sheet: bool,
    url: str | None,
    as_json: bool,
) -> None:
    """Do the whole job for many MARKS: SVG, PDF and DXF files, and folders of them.

    \b
    stampwright batch members/ --out irons/
    stampwright batch members/ --out irons/ --jobs members/jobs.csv --resume
    stampwright batch members/ --out irons/ --only face.stl --url http://127.0.0.1:8080

    The table of jobs has a column `mark` and one for each field of a job, like `head.width` or `substrate`.
    """  # noqa: D301
    if resume and afresh:
        raise click.UsageError("--resume goes on and --afresh begins again: give one of them")
    if contact_sheet and cluster:
        raise click.UsageError("a contact sheet is drawn by a service: go without --cluster, or without the sheet")
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # what stops services stops a run as Ctrl-C does
    with told(as_json=as_json):
        orders = find_orders(marks, job=read_job(job) if job else None, jobs=jobs)
        count = workers or (os.cpu_count() or 1) + 1
        slots = min(count, os.cpu_count() or 1)
        made_by = _cluster(cluster, workers) if cluster else _client(url, wait_s=wait, slots=slots)
        with made_by as client, _bar(orders) as heard:
            wanted = Batch(
                orders, out, frozenset(only), resume=resume, afresh=afresh, workers=count, fonts=fonts_bytes(fonts)
            )
            outcome = run_batch(client, wanted, told=heard)
            if contact_sheet and isinstance(client, Client) and not (outcome.interrupted or outcome.stopped):
                write_contact_sheets(client, wanted)
    if as_json:
        click.echo(json.dumps(_summary(outcome)))
    else:
        _say(outcome, out, len(orders))
    if outcome.interrupted:
        sys.exit(INTERRUPTED)
    sys.exit(batch_exit(outcome.verdicts, outcome.failed, outcome.stopped))


@contextlib.contextmanager
def _cluster(address: str, workers: int | None) -> Iterator[Maker]:
    try:
        kind = importlib.import_module("stampwright.cluster").Cluster
    except ModuleNotFoundError as error:
        raise click.ClickException(f"a cluster needs {error.name}: pip install 'stampwright[cluster]'") from error
    with kind(None if address == "local" else address, processes=workers) as cluster:
        yield cluster


@contextlib.contextmanager
def _client(url: str | None, *, wait_s: float, slots: int) -> Iterator[Client]:
    with contextlib.ExitStack() as stack:
        session = None
        if not url:
            url = stack.enter_context(embedded_service(slots=slots))
            session = stack.enter_context(loopback_session())
        yield stack.enter_context(Client(url, retries=TRIES, max_wait=wait_s, session=session))


@contextlib.contextmanager
def _bar(orders: Sequence[Order]) -> Iterator[Callable[[Row, bool], None]]:
    """Hear of rows: a bar with the count of each verdict on a terminal, else a line for each on stderr."""
    out = Console(stderr=True, markup=False, highlight=False, emoji=False)
    if not out.is_terminal:
        numbers = iter(range(1, len(orders) + 1))

        def line(row: Row, skipped: bool) -> None:  # noqa: FBT001  as the run tells it
            click.echo(f"{next(numbers)}/{len(orders)} {row.file}: {_words(row, skipped=skipped)}", err=True)

        yield line
        return
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    with Progress(*columns, TimeRemainingColumn(), console=out) as progress:
        task = progress.add_task("no mark yet", total=len(orders))
        counts: Counter[str] = Counter()

        def advance(row: Row, skipped: bool) -> None:  # noqa: FBT001  as the run tells it
            counts["done before" if skipped else row.verdict or "failed"] += 1
            told_so_far = ", ".join(f"{count} {what}" for what, count in sorted(counts.items()))
            progress.update(task, advance=1, description=told_so_far)

        yield advance


def _words(row: Row, *, skipped: bool) -> str:
    if row.error is not None:
        return row.error["says"]
    minutes = f", {row.minutes:.0f} min" if row.minutes is not None else ""
    return f"{row.verdict}{minutes}{', done before' if skipped else ''}"


def _summary(outcome: Outcome) -> dict[str, object]:
    return {
        "verdicts": dict(outcome.verdicts),
        "failed": dict(outcome.failed),
        "skipped": outcome.skipped,
        "interrupted": outcome.interrupted,
        "stopped": None if outcome.stopped is None else str(outcome.stopped),
    }


def _say(outcome: Outcome, folder: Path, total: int) -> None:
    made, failed = outcome.verdicts.total(), outcome.failed.total()
    parts = [f"{count} {what}" for what, count in (*sorted(outcome.verdicts.items()), ("failed", failed)) if count]
    skipped = f" ({outcome.skipped} done before)" if outcome.skipped else ""
    click.echo(f"{made + failed} of {total}: {', '.join(parts) or 'none'}{skipped}; {folder / MANIFEST_FILE}")
    if outcome.stopped is not None:
        click.echo(f"stampwright: stopped: {outcome.stopped}", err=True)
    if outcome.stopped is not None or outcome.interrupted:
        click.echo("To go on, give the same command again with --resume.", err=True)
