"""The run over many marks: asks, saves, writes down; one bad mark never stops the rest, a lost service or disk does."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, Protocol

from stampwright_sdk._inputs import job_json, mark_bytes
from stampwright_sdk._saving import save
from stampwright_sdk._stream import Stream
from stampwright_sdk.client import STAMP_FILE, Client
from stampwright_sdk.errors import Busy, ConnectionFailed, KeyRequired, ProblemError, StampwrightError, UnexpectedAnswer

from .manifest import Manifest, Row

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from stampwright_sdk._inputs import FontLike, JobLike, MarkLike
    from stampwright_sdk.answers import Bundle, Stamp

    from .orders import Order

Told = Callable[[Row, bool], None]
STOPPING = (ConnectionFailed, UnexpectedAnswer, Busy, KeyRequired)  # the next mark would fare no better
DOUBTFUL = (ConnectionFailed, UnexpectedAnswer)  # unless it is this mark alone: too large for a proxy, too slow


@dataclass(slots=True)
class Outcome:
    """What a run came to. `stopped` is why it ended before its end."""

    verdicts: Counter[str] = field(default_factory=Counter)
    failed: Counter[str] = field(default_factory=Counter)  # by the kind of error
    skipped: int = 0
    interrupted: bool = False
    stopped: StampwrightError | None = None


@dataclass(frozen=True, slots=True)
class Batch:
    """What a run is to do: the orders, where the outputs go, which of the bundle's files are kept (none named: all)."""

    orders: Sequence[Order]
    folder: Path
    only: frozenset[str] = frozenset()
    resume: bool = False
    afresh: bool = False  # forget what the folder's manifest tells
    workers: int = 4
    fonts: tuple[bytes, ...] = ()  # for all marks


def _silent(_row: Row, _skipped: bool, /) -> None:  # noqa: FBT001  as `Told`
    """Tell nobody."""


class Maker(Protocol):
    """Who does the work of a batch: a client of a service, or a cluster."""

    def make_stamp(
        self, mark: MarkLike, job: JobLike | None = None, *, accept: Literal["bundle"], fonts: Sequence[FontLike] = ()
    ) -> Bundle:
        """Do the whole job. Raises a `StampwrightError`."""

    def get_health(self) -> bool:
        """Whether it is there. Raises a `StampwrightError` when somebody else, or nobody, answers."""

    def give_up(self) -> None:
        """Ask for nothing again."""


def run_batch(client: Maker, batch: Batch, *, told: Told = _silent) -> Outcome:
    """Make every order. `told` hears of each row, and whether it was skipped because the manifest proves it done.

    The first interrupt (Ctrl-C) begins nothing more and waits for what is asked already. Raises `UnusableInput` for a
    folder whose manifest would be lost, OSError when an output or the manifest cannot be written: nothing half-written
    stays.
    """
    outcome = Outcome()
    with Manifest(batch.folder, resume=batch.resume, afresh=batch.afresh) as manifest:
        known = dict(manifest.rows)
        for name in known.keys() - {order.name for order in batch.orders}:
            del manifest.rows[name]
        todo = []
        for order in batch.orders:
            row = known.get(order.name)
            if row is not None and row.is_done(batch.folder, sent=_sent(order, batch)):
                outcome.skipped += 1
                outcome.verdicts[str(row.verdict)] += 1
                told(row, True)  # noqa: FBT003  told(row, skipped)
            else:
                todo.append(order)
        with Stream(lambda order: _made(client, order, batch), todo, workers=batch.workers) as stream:
            _drain(stream, client, manifest, outcome, told)
    return outcome


def _drain(
    stream: Stream[Order, Row | StampwrightError],
    client: Maker,
    manifest: Manifest,
    outcome: Outcome,
    told: Told,
) -> None:
    while True:
        try:
            found = next(stream, None)
            if found is None:
                return
            row = found[1]
            if isinstance(row, StampwrightError):
                outcome.stopped = outcome.stopped or row
                stream.stop()
                client.give_up()
                continue
            manifest.add(row)
            if row.error is None:
                outcome.verdicts[str(row.verdict)] += 1
            else:
                outcome.failed[row.error["kind"]] += 1
            told(row, False)  # noqa: FBT003  told(row, skipped)
        except KeyboardInterrupt:  # wherever it comes, while a row is told too
            if outcome.interrupted:
                raise
            outcome.interrupted = True
            stream.stop()
            client.give_up()


def _made(client: Maker, order: Order, batch: Batch) -> Row | StampwrightError:
    """The row of an order, its outputs saved; or the error that ends the run."""
    sent = ""
    try:
        sent = _sent(order, batch)
        stamp, files = _answer(client, order, batch)
    except STOPPING as error:
        if not isinstance(error, DOUBTFUL) or not _is_there(client):
            return error
        return Row(order.name, sent, error=_told(error))
    except StampwrightError as error:
        return Row(order.name, sent, error=_told(error))
    return _row(order, sent, stamp, outputs=_saved(order, files, batch))


def _answer(client: Maker, order: Order, batch: Batch) -> tuple[Stamp, Mapping[str, bytes]]:
    """The stamp and the files kept of it; where that is the stamp alone, no drawing is made for nothing."""
    if batch.only == {STAMP_FILE} and isinstance(client, Client):
        stamp = client.make_stamp(order.path, order.job, fonts=batch.fonts)
        return stamp, {STAMP_FILE: stamp.body}
    bundle = client.make_stamp(order.path, order.job, accept="bundle", fonts=batch.fonts)
    return bundle.stamp, {name: data for name, data in bundle.files.items() if not batch.only or name in batch.only}


def _is_there(client: Maker) -> bool:
    try:
        return client.get_health()
    except StampwrightError:
        return False


def _saved(order: Order, files: Mapping[str, bytes], batch: Batch) -> dict[str, str]:
    for name, data in files.items():
        save(batch.folder / order.name / name, data)
    return {f"{order.name}/{name}": hashlib.sha256(data).hexdigest() for name, data in files.items()}


def _row(order: Order, sent: str, stamp: Stamp, *, outputs: dict[str, str]) -> Row:
    return Row(
        file=order.name,
        sent=sent,
        digest=stamp.digest,
        verdict=stamp.verdict,
        findings=dict(Counter(finding.code for finding in stamp.review.findings)),
        minutes=stamp.plan.total_min,
        price=stamp.price.total if stamp.price else None,
        currency=stamp.price.currency if stamp.price else None,
        outputs=outputs,
    )


def _told(error: StampwrightError) -> dict[str, str]:
    known = error if isinstance(error, ProblemError) else None
    return {
        "kind": type(error).__name__,
        "code": known.code if known else type(error).__name__,
        "place": (known.place if known else None) or "",
        "says": str(error),
        "request_id": error.request_id or "",
    }


def _sent(order: Order, batch: Batch) -> str:
    """SHA-256 over what an order sends and keeps. Raises `UnusableInput`."""
    asked = (job_json(order.job).encode(), " ".join(sorted(batch.only)).encode())
    parts = (mark_bytes(order.path), *asked, *batch.fonts)
    return hashlib.sha256(b"\0".join(hashlib.sha256(part).digest() for part in parts)).hexdigest()
