"""What a worker does: one mark and one job in, a bundle or the problem's document out. Pure, so it may be repeated."""

from __future__ import annotations

import json
from typing import Any

from stampwright.base import StampwrightError
from stampwright.slots import Here
from stampwright.web import problem_document


def bundle_or_problem(mark: bytes, job: str, *, request_id: str) -> bytes | dict[str, Any]:
    """The bytes of the bundle, the same as the service's; or what the service would say against it."""
    try:
        return Here().do("bundle", mark=mark, job=json.loads(job), gone=lambda: False).body
    except StampwrightError as error:
        problem: dict[str, Any] = json.loads(problem_document(error, request_id=request_id))
        return problem
