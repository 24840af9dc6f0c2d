"""The operations as one table: routes, negotiation and the contract all read it, so that they cannot part."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, cast

from stampwright.documents import (
    CutterSchema,
    MetalSchema,
    ReviewAnswerSchema,
    StampSchema,
    SubstrateSchema,
    ThreadSchema,
)
from stampwright.drawings import MOST_TILES

from .bodies import JSON
from .form import FORM_PARTS
from .problems import PROBLEMS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from marshmallow import Schema

    from stampwright.slots import Task

ZIP = "application/zip"
STL = "model/stl"  # registered with IANA, as is the next
THREEMF = "model/3mf"
DXF = "image/vnd.dxf"  # registered as well
YAML = "application/yaml"  # RFC 9512
HTML = "text/html"
CSS = "text/css"
JAVASCRIPT = "text/javascript"  # RFC 9239
SVG = "image/svg+xml"
PNG = "image/png"
PDF = "application/pdf"  # RFC 8118
KEPT = frozenset(
    {"get_contract", "show_reference", "explain_problem", "show_form", "get_form_part"}
)  # beside the catalogues
METRICS = "text/plain; version=0.0.4; charset=utf-8"  # the text format of Prometheus


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing an operation can answer with: its schema (None: bytes, or too plain for one) and how it is made."""

    says: str
    schema: type[Schema] | None = None
    many: bool = False
    task: Task | Mapping[str, Task] | None = None  # by the word of the query, where the operation has one
    filename: str | None = None


@dataclass(frozen=True, slots=True)
class Query:
    """A word in the query that chooses between answers; without it the first."""

    name: str
    words: tuple[str, ...]
    says: str


@dataclass(frozen=True, slots=True)
class PathStep:
    """A step of the path that names something: the words that it may be."""

    words: tuple[str, ...]
    says: str


@dataclass(frozen=True, slots=True)
class Operation:
    """One operation. `answers` by media type, the default first; `refuses`: slugs of problems beside those of all."""

    name: str
    method: Literal["GET", "POST"]
    path: str
    summary: str
    answers: Mapping[str, Answer]
    refuses: tuple[str, ...] = ()
    path_parameters: Mapping[str, PathStep] = field(default_factory=dict)
    query: Query | None = None
    takes_many: bool = False  # marks, each with its own job

    @property
    def is_guarded(self) -> bool:
        """Whether it may ask for a key and count the callers."""
        return self.path.startswith("/v1/")

    @property
    def keeps(self) -> bool:
        """Whether its answer changes with the version only, and so can be kept and checked."""
        return (self.is_guarded and not self.takes_a_mark) or self.name in KEPT

    @property
    def takes_a_mark(self) -> bool:
        """Whether a mark and a job go in."""
        return self.method == "POST"

    @property
    def tasks(self) -> Mapping[str, Task | Mapping[str, Task]]:
        """The task behind each media type, or those by the word of the query."""
        return {media: answer.task for media, answer in self.answers.items() if answer.task}


_WORK = (
    "malformed-request",
    "not-acceptable",
    "too-large",
    "unsupported-media-type",
    "unread-format",
    "invalid-job",
    "unusable-mark",
    "too-complex",
    "does-not-fit",
    "outside-table",
    "busy",
)


VIEWS = ("print", "face", "cutting", "plain")


def _drawn(kind: Literal["svg", "png"]) -> Mapping[str, Task]:
    return {view: cast("Task", f"{view}_{kind}") for view in VIEWS}


def _catalogue(name: str, summary: str, schema: type[Schema]) -> Operation:
    says = "the whole catalogue, each value with its source"
    answers = {JSON: Answer(says, schema=schema, many=True)}
    return Operation(f"list_{name}", "GET", f"/v1/{name}", summary, answers, ("not-acceptable",))


OPERATIONS = (
    Operation(
        "make_stamp",
        "POST",
        "/v1/stamps",
        "The whole job: a mark goes in, a stamp comes out",
        {
            JSON: Answer("the stamp: face, solid, review, plan, use", schema=StampSchema, task="stamp"),
            ZIP: Answer("all files of the job", task="bundle", filename="stamp.zip"),
            DXF: Answer("outlines of the face, in millimetres", task="outlines", filename="face.dxf"),
        },
        _WORK,
    ),
    Operation(
        "make_solid",
        "POST",
        "/v1/solids",
        "The solid alone, in millimetres",
        {
            STL: Answer("binary STL", task="solid", filename="face.stl"),
            THREEMF: Answer("3MF, which says its unit", task="solid_3mf", filename="face.3mf"),
            PNG: Answer("a shaded picture", task="solid_png"),
        },
        _WORK,
    ),
    Operation(
        "review_mark",
        "POST",
        "/v1/reviews",
        "The quick answer: what will disappoint, nothing planned",
        {
            JSON: Answer(
                "mark, face and review", schema=ReviewAnswerSchema, task={"none": "review", "plain": "review_drawn"}
            )
        },
        _WORK,
        query=Query("drawn", ("none", "plain"), "whether the plain print comes with it, in `print_svg`"),
    ),
    Operation(
        "draw_proof",
        "POST",
        "/v1/proofs",
        "A drawing of the stamp at true size",
        {
            SVG: Answer("SVG", task=_drawn("svg")),
            PNG: Answer("the same as PNG", task=_drawn("png")),
        },
        _WORK,
        query=Query(
            "view",
            VIEWS,
            "the print as it will read, the face, or what each step clears; plain: the print alone, without words, "
            "with 3 mm of ground around the head, as fast as a review",
        ),
    ),
    Operation(
        "write_sheet",
        "POST",
        "/v1/sheets",
        "The shop sheet: one or two pages for the machine",
        {PDF: Answer("PDF, the face on it at true size", task={"a4": "a4_pdf", "letter": "letter_pdf"})},
        _WORK,
        query=Query("paper", ("a4", "letter"), "the paper: A4 (ISO 216), or Letter of 8.5 by 11 in"),
    ),
    Operation(
        "draw_contact_sheet",
        "POST",
        "/v1/contact-sheets",
        f"The prints of up to {MOST_TILES} marks on one page, each with its name and verdict",
        {
            PDF: Answer("PDF", task={"a4": "contact_a4_pdf", "letter": "contact_letter_pdf"}),
            SVG: Answer("the same as SVG", task={"a4": "contact_a4_svg", "letter": "contact_letter_svg"}),
        },
        _WORK,
        query=Query("paper", ("a4", "letter"), "the paper: A4 (ISO 216), or Letter of 8.5 by 11 in"),
        takes_many=True,
    ),
    _catalogue("cutters", "The cutters a job can name", CutterSchema),
    _catalogue("metals", "The metals a head can be made of", MetalSchema),
    _catalogue("substrates", "The materials that can be branded", SubstrateSchema),
    _catalogue("threads", "The threads the hole in the back can have", ThreadSchema),
    Operation("get_health", "GET", "/healthz", "Whether the service is alive", {JSON: Answer("it is")}),
    Operation(
        "get_readiness", "GET", "/readyz", "Whether the service takes work now", {JSON: Answer("it does")}, ("busy",)
    ),
    Operation(
        "get_metrics",
        "GET",
        "/metrics",
        "What operators watch: jobs, stages, queue, slots, memory",
        {METRICS: Answer("the text format of Prometheus")},
        ("not-found",),
    ),
    Operation("get_contract", "GET", "/openapi.yaml", "The contract for programs", {YAML: Answer("OpenAPI 3.1")}),
    Operation(
        "show_reference",
        "GET",
        "/docs",
        "The contract for people: each operation, field and problem",
        {HTML: Answer("a page")},
    ),
    Operation(
        "explain_problem",
        "GET",
        "/problems/<slug>",
        "What a kind of problem means and what to do",
        {HTML: Answer("a short page")},
        path_parameters={"slug": PathStep(tuple(PROBLEMS), "the kind of problem: the last step of a problem's type")},
    ),
    Operation("show_form", "GET", "/", "The order form, for browsers", {HTML: Answer("the page")}),
    Operation(
        "get_form_part",
        "GET",
        "/form/<part>",
        "A part of the order form, for browsers; a page that embeds the form loads iron-order.js",
        {
            JAVASCRIPT: Answer("scripts"),
            CSS: Answer("looks"),
            JSON: Answer("texts, and the job that no field was changed of"),
            SVG: Answer("pictures"),
            HTML: Answer("a shop's page with the form in it, as an example"),
        },
        path_parameters={"part": PathStep(FORM_PARTS, "the name of the part")},
    ),
)

BY_NAME = {operation.name: operation for operation in OPERATIONS}
