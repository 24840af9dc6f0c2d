"""The client: one method for each operation of the service."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Self, TypeVar, overload
from urllib.parse import quote

from ._inputs import fonts_bytes, job_json, mark_part, sheet_json
from ._reading import Mismatch, record
from ._stream import Stream
from ._transport import Answer, Patience, Transport, json_of
from .answers import Bundle, DrawingFile, Made, ReviewedMark, SolidFile, Stamp, unpack
from .catalogue import Cutter, Metal, Substrate, Thread
from .errors import StampwrightError, UnexpectedAnswer, UnusableInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from os import PathLike
    from types import TracebackType

    import requests

    from ._inputs import FontLike, JobLike, MarkLike
    from ._transport import Part

URL_VARIABLE = "STAMPWRIGHT_URL"
KEY_VARIABLE = "STAMPWRIGHT_API_KEY"
JSON = "application/json"
ZIP = "application/zip"
STL = "model/stl"
THREEMF = "model/3mf"
PNG = "image/png"
SVG = "image/svg+xml"
PDF = "application/pdf"
DXF = "image/vnd.dxf"
OCTETS = "application/octet-stream"
SOLIDS = {"stl": STL, "3mf": THREEMF, "png": PNG}
STAMP_FILE = "stamp.json"
Record = TypeVar("Record")


class Client:
    """A client of one service; threads may share it. As a context manager it closes its connections at the end.

    `base_url` None: the environment variable STAMPWRIGHT_URL. `api_key` None: STAMPWRIGHT_API_KEY, where the service
    asks for one; it is sent as a bearer token (RFC 6750), so let the address be https. `timeout`: to connect, and
    between bytes of an answer [s]. A call that finds no answer, or 429, 502, 503 or 504, is sent again up to `retries`
    times, as long as that begins within `max_wait` seconds of the first; this is safe, for the service keeps nothing
    and answers the same request with the same bytes. `session`: your own, for proxies, certificates or tests; it is
    used by all threads and not closed here.

    A mark is a path, bytes, or text: SVG, PDF or DXF; a job is a mapping or the path of a JSON file. `fonts`, paths or
    bytes of up to four, are what the text of an SVG is set in.
    """

    def __init__(  # noqa: PLR0913  each is one thing a caller may want to set
        self,
        base_url: str | None = None,
        *,
        api_key: str | None = None,
        timeout: tuple[float, float] = (3.05, 60.0),
        retries: int = 6,
        max_wait: float = 30.0,
        session: requests.Session | None = None,
        user_agent: str | None = None,
    ) -> None:
        url = base_url or os.environ.get(URL_VARIABLE)
        if not url:
            raise UnusableInput(f"no address of a service: give base_url or set {URL_VARIABLE}")
        self._transport = Transport(
            url,
            patience=Patience(timeout, retries, max_wait),
            session=session,
            user_agent=user_agent or _own_name(),
            api_key=api_key or os.environ.get(KEY_VARIABLE),
        )

    @property
    def base_url(self) -> str:
        """Address of the service, without a slash at its end."""
        return self._transport.base_url

    @overload
    def make_stamp(
        self,
        mark: MarkLike,
        job: JobLike | None = None,
        *,
        accept: Literal["json"] = "json",
        fonts: Sequence[FontLike] = (),
    ) -> Stamp: ...

    @overload
    def make_stamp(
        self, mark: MarkLike, job: JobLike | None = None, *, accept: Literal["bundle"], fonts: Sequence[FontLike] = ()
    ) -> Bundle: ...

    @overload
    def make_stamp(
        self, mark: MarkLike, job: JobLike | None = None, *, accept: Literal["dxf"], fonts: Sequence[FontLike] = ()
    ) -> DrawingFile: ...

    def make_stamp(
        self,
        mark: MarkLike,
        job: JobLike | None = None,
        *,
        accept: Literal["json", "bundle", "dxf"] = "json",
        fonts: Sequence[FontLike] = (),
    ) -> Stamp | Bundle | DrawingFile:
        """Do the whole job: a `Stamp`, with `accept="bundle"` all its files, with "dxf" the outlines of its face alone.

        Raises a `StampwrightError`.
        """
        if accept == "dxf":
            answer = self._post("/v1/stamps", mark, job, fonts, accept=DXF)
            return DrawingFile(answer.body, answer.media_type, answer.request_id)
        if accept == "bundle":
            answer = self._post("/v1/stamps", mark, job, fonts, accept=ZIP)
            return bundle_of(answer.body, url=answer.url, request_id=answer.request_id)
        return _whole(Stamp, self._post("/v1/stamps", mark, job, fonts, accept=JSON))

    def make_many(
        self,
        marks: Iterable[MarkLike | tuple[MarkLike, JobLike | None]],
        job: JobLike | None = None,
        *,
        accept: Literal["json", "bundle"] = "json",
        workers: int = 4,
        fonts: Sequence[FontLike] = (),
    ) -> Iterator[Made]:
        """Do the whole job for many marks, `workers` at a time, and yield each as it comes.

        A mark may come with a job of its own, as a pair; `fonts` are for all. `marks` is read as work gets done, and
        no more is begun than is read: it may be endless. A mark that fails yields its error and stops nothing.
        """
        sent = fonts_bytes(fonts)

        def made(task: tuple[int, MarkLike, JobLike | None]) -> Made:
            index, mark, own = task
            try:
                return Made(index, mark, self.make_stamp(mark, own, accept=accept, fonts=sent), None)
            except StampwrightError as error:
                return Made(index, mark, None, error)

        pairs = (each if isinstance(each, tuple) else (each, job) for each in marks)
        tasks = ((index, mark, own) for index, (mark, own) in enumerate(pairs))
        with Stream(made, tasks, workers=workers) as stream:
            for _, found in stream:
                yield found

    def make_solid(
        self,
        mark: MarkLike,
        job: JobLike | None = None,
        *,
        accept: Literal["stl", "3mf", "png"] = "stl",
        fonts: Sequence[FontLike] = (),
    ) -> SolidFile:
        """Build the solid alone in millimetres, as binary STL, as 3MF, or as a picture. Raises a `StampwrightError`."""
        answer = self._post("/v1/solids", mark, job, fonts, accept=SOLIDS[accept])
        return SolidFile(answer.body, answer.media_type, answer.request_id)

    def draw_proof(
        self,
        mark: MarkLike,
        job: JobLike | None = None,
        *,
        view: Literal["print", "face", "cutting", "plain"] = "print",
        accept: Literal["svg", "png"] = "svg",
        fonts: Sequence[FontLike] = (),
    ) -> DrawingFile:
        """Draw the print, the face or the cutting at true size, as SVG or PNG. Raises a `StampwrightError`."""
        media = {"svg": SVG, "png": PNG}[accept]
        answer = self._post(f"/v1/proofs?view={quote(view)}", mark, job, fonts, accept=media)
        return DrawingFile(answer.body, answer.media_type, answer.request_id)

    def write_sheet(
        self,
        mark: MarkLike,
        job: JobLike | None = None,
        *,
        paper: Literal["a4", "letter"] = "a4",
        fonts: Sequence[FontLike] = (),
    ) -> DrawingFile:
        """Write the shop sheet as PDF, one or two pages. Raises a `StampwrightError`."""
        answer = self._post(f"/v1/sheets?paper={quote(paper)}", mark, job, fonts, accept=PDF)
        return DrawingFile(answer.body, answer.media_type, answer.request_id)

    def draw_contact_sheet(
        self,
        marks: Iterable[tuple[str, MarkLike, JobLike | None]],
        *,
        paper: Literal["a4", "letter"] = "a4",
        accept: Literal["pdf", "svg"] = "pdf",
        fonts: Sequence[FontLike] = (),
    ) -> DrawingFile:
        """Draw the prints of up to forty marks on one page, each with its name and verdict.

        `marks`: name, mark and job of each. A mark that is refused has a field that says why; a wrong job refuses the
        sheet. Raises a `StampwrightError`.
        """
        media = {"pdf": PDF, "svg": SVG}[accept]
        path, body = f"/v1/contact-sheets?paper={quote(paper)}", sheet_json(marks, fonts)
        answer = self._expected(self._transport.ask("POST", path, accept=media, json_body=body), media)
        return DrawingFile(answer.body, answer.media_type, answer.request_id)

    def fetch_bundle(
        self,
        path: str | PathLike[str],
        mark: MarkLike,
        job: JobLike | None = None,
        *,
        fonts: Sequence[FontLike] = (),
    ) -> Path:
        """Do the whole job and write its bundle, a ZIP file, to `path` as it comes; returns the path.

        Nothing is held in memory; the file appears whole and as the service's digest says, or not at all. Raises a
        `StampwrightError`, and OSError when it cannot be written.
        """
        target = Path(path)
        parts = _parts(mark, job, fonts)
        media = self._transport.fetch("POST", "/v1/stamps", accept=ZIP, files=parts, into=target)
        if media != ZIP:
            target.unlink(missing_ok=True)
            raise UnexpectedAnswer(self.base_url, f"answered with {media or 'no type'} where {ZIP} was asked for")
        return target

    def review_mark(
        self,
        mark: MarkLike,
        job: JobLike | None = None,
        *,
        fonts: Sequence[FontLike] = (),
        drawn: Literal["none", "plain"] = "none",
    ) -> ReviewedMark:
        """Review the mark alone: what will disappoint, nothing planned. Raises a `StampwrightError`.

        With `drawn="plain"` the plain print comes along, in `print_svg`.
        """
        return _whole(ReviewedMark, self._post(f"/v1/reviews?drawn={quote(drawn)}", mark, job, fonts, accept=JSON))

    def list_cutters(self) -> tuple[Cutter, ...]:
        """The cutters a job can name."""
        return self._list("cutters", Cutter)

    def list_metals(self) -> tuple[Metal, ...]:
        """The metals a head can be made of."""
        return self._list("metals", Metal)

    def list_substrates(self) -> tuple[Substrate, ...]:
        """The materials that can be branded."""
        return self._list("substrates", Substrate)

    def list_threads(self) -> tuple[Thread, ...]:
        """The threads the hole in the back can have."""
        return self._list("threads", Thread)

    def get_health(self) -> bool:
        """Whether the service is alive; asked once. Raises `ConnectionFailed` when nobody answers."""
        return _says_so(self._transport.probe("/healthz"), "alive")

    def get_readiness(self) -> bool:
        """Whether the service takes work now; asked once. Raises `ConnectionFailed` when nobody answers."""
        return _says_so(self._transport.probe("/readyz"), "ready")

    def get_metrics(self) -> str:
        """What operators watch, in the text format of Prometheus. Raises `NotOffered` where it is turned off."""
        return self._transport.ask("GET", "/metrics", accept="*/*").body.decode()

    def get_contract(self) -> str:
        """The service's own description, OpenAPI 3.1 as YAML."""
        return self._transport.ask("GET", "/openapi.yaml", accept="*/*").body.decode()

    def explain_problem(self, slug: str) -> str:
        """What a kind of problem means and what to do, as a short page of HTML. Raises `NotOffered`."""
        return self._transport.ask("GET", f"/problems/{quote(slug, safe='')}", accept="text/html").body.decode()

    def give_up(self) -> None:
        """Send nothing again from now on: calls that wait to be sent again end with the error they have."""
        self._transport.give_up()

    def close(self) -> None:
        """Close the connections this client opened."""
        self._transport.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None, /
    ) -> None:
        self.close()

    def _post(
        self, path: str, mark: MarkLike, job: JobLike | None, fonts: Sequence[FontLike], *, accept: str
    ) -> Answer:
        return self._expected(self._transport.ask("POST", path, accept=accept, files=_parts(mark, job, fonts)), accept)

    @staticmethod
    def _expected(answer: Answer, accept: str) -> Answer:
        if answer.media_type != accept:
            says = f"answered with {answer.media_type or 'no type'} where {accept} was asked for"
            raise UnexpectedAnswer(answer.url, says, request_id=answer.request_id)
        return answer

    def _list(self, name: str, kind: type[Record]) -> tuple[Record, ...]:
        answer = self._transport.ask("GET", f"/v1/{name}", accept=JSON)
        rows = json_of(answer)
        if not isinstance(rows, list):
            raise UnexpectedAnswer(answer.url, "answered with something else than a list", request_id=answer.request_id)
        return tuple(_read(kind, answer, row) for row in rows)


def _parts(mark: MarkLike, job: JobLike | None, fonts: Sequence[FontLike]) -> list[Part]:
    sent = [("font", (f"font-{place}", data, OCTETS)) for place, data in enumerate(fonts_bytes(fonts), start=1)]
    return [("mark", mark_part(mark)), ("job", (None, job_json(job), JSON)), *sent]


def _says_so(answer: Answer, word: str) -> bool:
    """Whether it is this service that says so: a proxy's page may come with status 200 too."""
    if answer.status != 200 or answer.media_type != JSON:
        return False
    said = json_of(answer)
    return isinstance(said, dict) and said.get(word) is True


def _whole(kind: type[Record], answer: Answer) -> Record:
    raw = json_of(answer)
    return _read(kind, answer, raw, raw=raw, body=answer.body, request_id=answer.request_id)


def _read(kind: type[Record], answer: Answer, raw: object, /, **own: object) -> Record:
    try:
        return record(kind, raw, "#", **own)
    except Mismatch as error:
        says = f"answered in a shape that this version of the client does not know: {error}"
        raise UnexpectedAnswer(answer.url, says, request_id=answer.request_id) from error


def bundle_of(body: bytes, *, url: str, request_id: str) -> Bundle:
    """Read the bytes of a bundle that came from `url`. Raises `UnexpectedAnswer` when they are none."""
    try:
        files = unpack(body)
    except ValueError as error:
        raise UnexpectedAnswer(url, f"sent a bundle that {error}", request_id=request_id) from error
    if STAMP_FILE not in files:
        raise UnexpectedAnswer(url, f"sent a bundle without {STAMP_FILE}", request_id=request_id)
    inside = Answer(url, 200, JSON, files[STAMP_FILE], None, request_id)
    return Bundle(_whole(Stamp, inside), files, body, request_id)


def _own_name() -> str:
    from . import __version__  # noqa: PLC0415  the package imports this module first

    return f"stampwright-sdk/{__version__}"
