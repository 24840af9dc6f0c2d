"""One short function for each operation of the table."""

from __future__ import annotations

import json
from functools import partial
from typing import TYPE_CHECKING, Any, cast

from flask import Response, current_app, g, request
from werkzeug.exceptions import NotAcceptable, NotFound

from stampwright import __version__, catalogue
from stampwright.base import StampwrightError, Unavailable
from stampwright.job import read_job
from stampwright.pipeline import digest_of

from .bodies import JSON, read_body
from .contract import contract_text
from .form import FORM_PARTS, form_part
from .many import read_many
from .operations import BY_NAME, HTML, METRICS, YAML
from .pages import form_page, problem_page, reference_page
from .problems import PROBLEMS
from .strict_json import Malformed
from .validators import validated

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from stampwright.slots import Compute, Task

    from .operations import Operation

A_WHILE = "public, max-age=300"  # what changes only with the version, which may change at any time
YOURS = "private, max-age=300"  # likewise; it holds the customer's mark, which no shared cache may keep


def make_stamp() -> Response:
    """The whole job."""
    return _work()


def make_solid() -> Response:
    """The solid alone."""
    return _work()


def review_mark() -> Response:
    """The quick answer."""
    return _work()


def draw_proof() -> Response:
    """One drawing."""
    return _work()


def write_sheet() -> Response:
    """The shop sheet."""
    return _work()


def draw_contact_sheet() -> Response:
    """The prints of many marks."""
    return _work()


def list_cutters() -> Response:
    """The cutters a job can name."""
    return _listed(catalogue.CUTTERS)


def list_metals() -> Response:
    """The metals a head can be made of."""
    return _listed(catalogue.METALS)


def list_substrates() -> Response:
    """The materials that can be branded."""
    return _listed(catalogue.SUBSTRATES)


def list_threads() -> Response:
    """The threads the hole in the back can have."""
    return _listed(catalogue.THREADS)


def get_health() -> Response:
    """Whether the service is alive; nothing else may decide it, or a balancer would end a busy one."""
    return _json({"alive": True, "version": __version__})


def get_readiness() -> Response:
    """Whether the service takes work now: not while it stops, nor while its queue is full."""
    if current_app.extensions["stopping"].is_set():
        raise Unavailable.at("stopping", "the service is stopping; another one will answer")
    if not _compute().load().up:
        raise Unavailable.at("starting", "the service is starting: its first place for a job is not ready yet")
    if not _compute().room():
        raise Unavailable.at("busy", "all places are taken and the queue is full")
    return _json({"ready": True, "version": __version__})


def get_contract() -> Response:
    """The contract as this version keeps it."""
    return validated(Response(contract_text(), content_type=YAML, headers={"Cache-Control": A_WHILE}))


def get_metrics() -> Response:
    """What operators watch."""
    metrics = current_app.extensions["metrics"]
    if metrics is None:
        raise NotFound("this service shows no metrics here")
    return Response(metrics.text(), content_type=METRICS)


def explain_problem(slug: str) -> Response:
    """The page of one kind of problem."""
    if slug not in PROBLEMS:
        raise NotFound(f"there is no such kind of problem; there are {', '.join(PROBLEMS)}")
    return _page(problem_page(PROBLEMS[slug]))


def show_reference() -> Response:
    """The contract as a page."""
    return _page(reference_page())


def show_form() -> Response:
    """The page of the order form."""
    return _page(form_page())


def get_form_part(part: str) -> Response:
    """A script, the looks or the texts of the order form."""
    if part not in FORM_PARTS:
        raise NotFound(f"the form has no such part; it has {', '.join(FORM_PARTS)}")
    found, packs = form_part(part), request.accept_encodings.quality("gzip") > 0
    headers = {"Vary": "Accept-Encoding"} | ({"Content-Encoding": "gzip"} if packs else {})
    return _shown(Response(found.packed if packs else found.plain, content_type=found.media, headers=headers))


VIEWS: Mapping[str, Callable[..., Response]] = {
    view.__name__: view
    for view in (
        make_stamp,
        make_solid,
        review_mark,
        draw_proof,
        write_sheet,
        draw_contact_sheet,
        list_cutters,
        list_metals,
        list_substrates,
        list_threads,
        get_health,
        get_readiness,
        get_metrics,
        get_contract,
        show_reference,
        explain_problem,
        show_form,
        get_form_part,
    )
}


def _page(page: str) -> Response:
    return _shown(Response(page, content_type=f"{HTML}; charset=utf-8"))


def _shown(response: Response) -> Response:
    """What a browser shows or runs: kept a while, and held to the pages' own policy."""
    response.headers.update({"Cache-Control": A_WHILE, "Content-Security-Policy": current_app.extensions["form_csp"]})
    return validated(response)


def _work() -> Response:
    operation = BY_NAME[str(request.endpoint)]
    media = _chosen(list(operation.answers))
    task = _task(operation, media)
    sent = read_many(request) if operation.takes_many else read_body(request)
    asked = read_job(sent.job)  # a wrong job is told at once and takes no place in the queue
    g.digest = partial(digest_of, sent.mark, asked, fonts=sent.fonts)  # worked out only where a fault must be named
    gone = request.environ.get("waitress.client_disconnected", lambda: False)
    try:
        done = _compute().do(task, mark=sent.mark, job=sent.job, gone=gone, fonts=sent.fonts)
    except StampwrightError as error:
        error.refusals = tuple(sent.placed(refusal) for refusal in error.refusals)
        raise
    g.spent_s = {"queue": done.ended.waited_s, **done.ended.stages_s}
    response = validated(Response(done.body, content_type=media, headers={"Vary": "Accept", "Cache-Control": YOURS}))
    filename = operation.answers[media].filename
    if filename:
        response.headers["Content-Disposition"] = f'attachment; filename="{filename}"'
    return response


def _task(operation: Operation, media: str) -> Task:
    """The task asked for; where the operation has a query, by its word. Raises `Malformed`."""
    task, query = operation.tasks[media], operation.query
    others = sorted(set(request.args) - ({query.name} if query else set()))
    if query and others:
        raise Malformed("unknown-parameter", f"the query knows only {query.name}", pointer=f"/{others[0][:40]}")
    if query is None or isinstance(task, str):
        return cast("Task", task)
    words = request.args.getlist(query.name) or [query.words[0]]
    if len(words) > 1 or words[0] not in query.words:
        detail = f"{query.name} must be given once, as one of: {', '.join(query.words)}"
        raise Malformed("not-offered", detail, pointer=f"/{query.name}")
    return task[words[0]]


def _listed(records: Mapping[str, Any]) -> Response:
    answers = BY_NAME[str(request.endpoint)].answers
    schema = answers[_chosen(list(answers))].schema
    rows = [schema().dump(record) for record in records.values()] if schema else []
    response = _json(rows)
    response.headers.update({"Vary": "Accept", "Cache-Control": A_WHILE})
    return validated(response)


def _chosen(offered: list[str]) -> str:
    """The media type to answer with; without an Accept header the first that is offered."""
    if not request.accept_mimetypes:
        return offered[0]
    chosen = request.accept_mimetypes.best_match(offered)
    if chosen is None:
        raise NotAcceptable(f"{request.path} answers with {' or '.join(offered)}; no other type is offered yet")
    return str(chosen)


def _json(value: Any) -> Response:  # noqa: ANN401  any JSON value
    return Response(json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False) + "\n", content_type=JSON)


def _compute() -> Compute:
    compute: Compute = current_app.extensions["compute"]
    return compute
